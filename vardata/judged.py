"""Rows of an intake on which more is decided than intake can: which product, which rank.

In: rows. Out: the same rows, each record as it was judged; a row whose record cannot be judged
comes held, once, however many pieces it has.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from vardata.intake.record import HeldRow, Intaken, Record
from vardata.problems import Problem

if TYPE_CHECKING:
    from vardata.numbering import RecordSource


class Judged(ABC):
    """Read it as often as wanted."""

    def __init__(self, rows: RecordSource) -> None:
        self._rows = rows

    @property
    def notes(self) -> Sequence[Problem]:
        return self._rows.notes

    @property
    def state(self) -> str:
        return self._rows.state

    def __iter__(self) -> Iterator[Intaken]:
        held = 0
        for row in self._rows:
            if not isinstance(row, Record):
                yield row
                continue
            judged = self._judge(row)
            if not isinstance(judged, Problem):
                yield judged
            elif row.row != held:
                yield self._held(row, judged)
                held = row.row

    @abstractmethod
    def _judge(self, record: Record) -> Record | Problem:
        """The record with what was found, or why its row is held."""

    @abstractmethod
    def _held(self, record: Record, problem: Problem) -> HeldRow:
        """The record's row, with its place in the sheet."""
