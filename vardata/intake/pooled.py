"""Sheets of several days as one: their rows one after another, below one row of headings.

In: a pool, which is a small file that names sheets and their hashes and lies beside copies of
them, and a way to open each. Out: a ``Source``. Columns are brought together by their headings;
rows are numbered through, and a note says which are of which sheet. What the sheets themselves
have to remark keeps their own names and rows.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from vardata.intake.safenames import fold
from vardata.intake.source import CellFault, SheetRow, Source
from vardata.intake.spread import Spread
from vardata.intake.tally import Tally
from vardata.letters import letters
from vardata.problems import Problem, Severity, SheetError, Where, fail
from vardata.spreadsafe import HELD_MARK

SUFFIX = ".pool"


def make_pool(sheets: Sequence[Path], folder: Path) -> Path:
    """Writes a pool of these sheets into ``folder``."""
    entries = []
    for number, path in enumerate(sheets, 1):
        kept = folder / str(number) / path.name
        kept.parent.mkdir()
        shutil.copyfile(path, kept)
        with kept.open("rb") as file:
            entries.append([path.name, hashlib.file_digest(file, "sha256").hexdigest()])
    pool = folder / ("+".join(path.stem for path in sheets)[:100] + SUFFIX)
    pool.write_text(json.dumps(entries), encoding="utf-8")
    return pool


class _Part(NamedTuple):
    """One sheet: its heading row, and where each of its columns goes."""

    file: str
    source: Source
    heading_row: int
    headings: tuple[str, ...]
    columns: tuple[int, ...]  # by the sheet's own columns


class PooledSource:
    """The sheets of a pool, to be read as often as wanted."""

    delimited = False  # each part tells on its own where a row has slipped

    def __init__(
        self, pool: Path, heading_row: int, keyed: bool,
        open_part: Callable[[Path], tuple[Source, SheetRow]],
    ) -> None:
        """``open_part`` opens a sheet and gives its heading row; ``keyed``: rows are told apart
        by order and line. Raises ``SheetError``."""
        self.sheet = pool.stem
        self.tally = Tally()
        self.remarks: list[Problem] = []
        self.spreads: list[Spread] = []
        self._heading_row = heading_row
        self._headings: list[str] = []
        self._parts = []
        for number, (name, _) in enumerate(json.loads(pool.read_text(encoding="utf-8")), 1):
            source, header = open_part(pool.parent / str(number) / name)
            self._parts.append(self._part(name, source, header))
            self.remarks += source.remarks
        self._found: list[Problem] = []
        if not keyed:
            what = "nothing tells rows that are in several of the pooled sheets"
            remedy = "name the line's column in records.line, or see that no row comes twice"
            where = Where(sheet=self.sheet)
            self.remarks.append(Problem("pool-unkeyed", Severity.WARNING, what, remedy, where))

    def _part(self, name: str, source: Source, header: SheetRow) -> _Part:
        if HELD_MARK in (cell.strip() for cell in header.cells):
            raise fail(
                SheetError, "pooled-held", "a sheet of held rows cannot be pooled with others",
                "build it by itself", file=name,
            )
        columns: list[int] = []
        for cell in header.cells:
            same = [
                at for at, known in enumerate(self._headings)
                if cell.strip() and fold(known) == fold(cell) and at not in columns
            ]  # fmt: skip
            if not same:
                self._headings.append(cell)
            columns.append(same[0] if same else len(self._headings) - 1)
        for one in getattr(source, "spreads", ()):
            self.spreads.append(one._replace(columns=tuple(columns[at] for at in one.columns)))
        return _Part(name, source, header.number, tuple(header.cells), tuple(columns))

    def rows(self) -> Iterator[SheetRow]:
        """The headings, then the rows of each sheet below its own."""
        yield SheetRow(self._heading_row, list(self._headings))
        self._found = []
        before = self._heading_row
        for part in self._parts:
            last = before
            for row in part.source.rows():
                if row.number > part.heading_row:
                    last = before + row.number - part.heading_row
                    yield self._moved(part, row, last)
            if last > before:
                self._found.append(self._told(part, before + 1, last))
            before = last

    def _moved(self, part: _Part, row: SheetRow, number: int) -> SheetRow:
        """A row with its cells under the pool's headings, and its faults with them."""
        cells = [""] * len(self._headings)
        for at, cell in zip(part.columns, row.cells):
            cells[at] = cell
        places = dict(enumerate(part.columns))
        faults = tuple(
            fault._replace(column=places.get(fault.column, -1)) for fault in row.faults
        )
        beyond = [cell for cell in row.cells[len(part.columns) :] if cell.strip()]
        if beyond:
            what = f"the row has {len(row.cells)} cells, but there are {len(part.columns)} headings"
            remedy = "put quotes around each text that holds the delimiter"
            if not part.source.delimited:
                remedy = "give each column a heading"
            faults = (*faults, CellFault(-1, "too-many-cells", what, remedy, beyond[0]))
        return SheetRow(number, cells, faults, row.hidden)

    def _told(self, part: _Part, first: int, last: int) -> Problem:
        what = f"rows {first} to {last} of the pool are of {part.file}, from its row "
        what += str(part.heading_row + 1)
        return Problem("pooled", Severity.NOTE, what, "", Where(sheet=self.sheet))

    def sheet_remarks(self, columns: set[int], last_row: int) -> list[Problem]:
        """Which rows are of which sheet, and what each sheet has to remark of itself."""
        out = list(self._found)
        for part in self._parts:
            own = {at for at, place in enumerate(part.columns) if place in columns}

            def label(at: int, headings: tuple[str, ...] = part.headings) -> str:
                return headings[at] if at < len(headings) and headings[at] else letters(at)

            out += part.source.sheet_remarks(own, last_row)
            out += part.source.tally.problems(part.source.sheet, label)
        return out
