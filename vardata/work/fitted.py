"""What becomes of a record before it gets a slot: it fits, or it is held."""

from __future__ import annotations

from typing import NamedTuple

from vardata.fit.result import FieldFit
from vardata.problems import Problem


class Fitted(NamedTuple):
    """A record that fits, as it waits on disk for its bed."""

    key: str
    order: str
    blank: str
    fits: tuple[FieldFit, ...]


class HeldRecord(NamedTuple):
    """A record set aside by resolve, fit or dress."""

    row: int
    piece: int
    order: str
    values: tuple[str, ...]
    problems: tuple[Problem, ...]
