"""The values that intake gives: one ``Record`` a piece, or a row set aside with its reason."""

from __future__ import annotations

import marshal
from collections.abc import Iterable
from typing import Any, NamedTuple, TypeAlias

from vardata.problems import Problem


class Record(NamedTuple):
    """One item to print. ``values`` line up with ``Intake.names``; ``key`` is sheet!row#piece."""

    key: str
    row: int
    piece: int
    order: str
    blank: str  # a key of the job's blanks
    values: tuple[str, ...]
    product: int = 0  # its place among the job's products
    rank: int = 0  # in the order of work: the smaller, the earlier


class HeldRow(NamedTuple):
    """A row that cannot be printed as it stands."""

    row: int
    key: str  # sheet!row
    order: str
    values: tuple[str, ...]
    problems: tuple[Problem, ...]


class SkippedRow(NamedTuple):
    """A row that asks for nothing, with the reason."""

    row: int
    key: str
    values: tuple[str, ...]
    reason: str


Intaken: TypeAlias = Record | HeldRow | SkippedRow
_new: Any = tuple.__new__  # what ``_make`` does, without asking for the number of values


def packed(records: Iterable[Record]) -> bytes:
    """Records on their way to another process of this run: plain values, which ``marshal`` writes
    ten times faster than pickle writes named tuples."""
    return marshal.dumps([tuple(record) for record in records])


def unpacked(chunk: bytes) -> list[Record]:
    """The records that were packed."""
    return [_new(Record, values) for values in marshal.loads(chunk)]
