"""What every kind of order sheet gives: rows of displayed texts, in order, as a stream.

``Source`` is the one door through which cells come; a csv file and a workbook each have one.
A source knows nothing of headings or records. Raises ``SheetError`` for what stops reading.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple, Protocol

from vardata.intake.cellfault import CellFault
from vardata.intake.tally import Tally
from vardata.problems import Problem

__all__ = ["CellFault", "SheetRow", "Source"]


class SheetRow(NamedTuple):
    """One row. ``cells`` are displayed texts from the first column on, as many as were found."""

    number: int  # the sheet's own row number, from 1; 0 for headings that stand in no row
    cells: list[str]
    faults: tuple[CellFault, ...] = ()
    hidden: bool = False


class Source(Protocol):
    """A sheet to be read, as often as wanted, from its first row to its last."""

    sheet: str  # the worksheet's name, or the stem of a text file
    delimited: bool  # a text file: a cell too many means that the row has slipped
    remarks: list[Problem]  # known since opening
    tally: Tally  # what the last reading met, complete after it

    def rows(self) -> Iterator[SheetRow]:
        """All rows with anything in them, numbers rising."""

    def sheet_remarks(self, columns: set[int], last_row: int) -> list[Problem]:
        """Remarks on the sheet as a whole, after reading; ``columns`` are those kept."""
