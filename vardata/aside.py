"""Rows that are not printed, kept on disk with their reasons until they are written out.

In: rows held by intake and records held by later stages, skipped rows. Out: the same in the
sheet's order, one entry a row, however many pieces it asked for.
"""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from vardata.intake.record import HeldRow, SkippedRow
from vardata.personal import Personal
from vardata.problems import Problem
from vardata.spool import SpoolReader, SpoolWriter
from vardata.work.fitted import HeldRecord

_WHY = 120  # characters of a reason that a pick list has room for
_ROWS = 8  # rows that it names of an order


class AsideRow(NamedTuple):
    row: int
    values: tuple[str, ...]
    problems: tuple[Problem, ...]


class _RowFile:
    """Rows in any order in, by row number out."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._writer = SpoolWriter(path)
        self._rows = array("Q")
        self._offsets = array("Q")
        self._lengths = array("I")

    def add(self, row: int, value: tuple[object, ...]) -> None:
        offset, length = self._writer.put(value)
        self._rows.append(row)
        self._offsets.append(offset)
        self._lengths.append(length)

    def __iter__(self) -> Iterator[tuple[object, ...]]:
        self._writer.flush()
        reader = SpoolReader(self._path)
        try:
            for index in sorted(range(len(self._rows)), key=self._rows.__getitem__):
                yield reader.get(self._offsets[index], self._lengths[index])
        finally:
            reader.close()

    def __len__(self) -> int:
        return len(self._rows)


class HeldOfOrder:
    """The rows of one order that are held: how many, which, and why that is of the first met."""

    __slots__ = ("_problem", "_rows", "rows")

    def __init__(self, row: int, problem: Problem) -> None:
        self.rows, self._rows, self._problem = 1, [row], problem

    def add(self, row: int) -> None:
        self.rows += 1
        if len(self._rows) < _ROWS:
            self._rows.append(row)

    def told(self, personal: Personal) -> str:
        """For the people who pack the order; nothing personal is shown."""
        why = personal.masked(self._problem).what
        why = f"row {self._rows[0]}, {why if len(why) <= _WHY else f'{why[:_WHY]}…'}"
        if self.rows == 1:
            return f"1 row held, not printed: {why}"
        more = f" and {self.rows - _ROWS} more" if self.rows > _ROWS else ""
        rows = ", ".join(map(str, sorted(self._rows)))
        return f"{self.rows} rows held, not printed: {rows}{more}; {why}"


class Aside:
    """What a run sets aside. ``kinds`` counts held rows by the kind of their first problem,
    ``orders`` has those orders of which rows are held."""

    def __init__(self, folder: Path) -> None:
        self._held = _RowFile(folder / "held.spool")
        self._skipped = _RowFile(folder / "skipped.spool")
        self._last_held = 0
        self.held_records = 0
        self.kinds: Counter[str] = Counter()
        self.orders: dict[str, HeldOfOrder] = {}

    def hold_row(self, row: HeldRow) -> None:
        self.held_records += 1
        self._hold(row.row, row.order, row.values, row.problems)

    def hold_record(self, record: HeldRecord) -> None:
        """Pieces of one row follow one another: the row is written down once."""
        self.held_records += 1
        if record.row != self._last_held:
            self._hold(record.row, record.order, record.values, record.problems)
            self._last_held = record.row

    def _hold(
        self, row: int, order: str, values: tuple[str, ...], problems: tuple[Problem, ...]
    ) -> None:
        known = self.orders.get(order)
        if known is None:
            self.orders[order] = HeldOfOrder(row, problems[0])
        else:
            known.add(row)
        self._held.add(row, (row, values, problems))
        self.kinds[problems[0].kind] += 1

    def skip(self, row: SkippedRow) -> None:
        self._skipped.add(row.row, (row.row, row.values, row.reason))

    @property
    def held_rows(self) -> int:
        return len(self._held)

    @property
    def skipped_rows(self) -> int:
        return len(self._skipped)

    def held(self) -> Iterator[AsideRow]:
        for row in self._held:
            yield AsideRow(*row)  # type: ignore[arg-type]

    def skipped(self) -> Iterator[tuple[int, tuple[str, ...], str]]:
        yield from self._skipped  # type: ignore[misc]
