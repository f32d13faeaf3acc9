"""The order sheet as a stream of records.

In: a ``Source`` and the ``Plan`` of its columns. Out: an ``Intake``, which gives one ``Record``
for each piece of each row, and a ``HeldRow`` or ``SkippedRow`` for every row that gives none.
Keeps no rows: what would come a thousand times is counted.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import TYPE_CHECKING

from vardata.intake.asking import Asking
from vardata.intake.columns import Plan
from vardata.intake.heldseal import HELD_SEAL, Seals, reason_places
from vardata.intake.judge import WHOLE_ROW, Judge
from vardata.intake.original import Original
from vardata.intake.pooled import SUFFIX as POOL
from vardata.intake.record import HeldRow, Intaken, Record, SkippedRow
from vardata.intake.source import CellFault, SheetRow, Source
from vardata.intake.tally import Tally
from vardata.intake.tidy import is_clean, looked_through
from vardata.problems import Problem, SheetError
from vardata.spreadsafe import HELD_MARK, unguard

if TYPE_CHECKING:
    from vardata.intake.checks.checker import Checker
    from vardata.intake.checks.expected import Totals
    from vardata.intake.findings import Findings
    from vardata.job.model import Setup

_AHEAD = 256  # rows


class Intake:
    """An order sheet that is ready to be read, as often as wanted.

    ``names`` are the safe names of the columns, ``headings`` their headings as found, both in
    sheet order. ``notes`` holds what is known so far, and all of it after an iteration.
    """

    def __init__(
        self, setup: Setup, source: Source, plan: Plan, blanks: dict[str, str],
        notes: list[Problem], checker: Checker, totals: Totals | None,
    ) -> None:  # fmt: skip
        self.sheet = source.sheet
        self.names = plan.names
        self.headings = plan.headings
        self.state = ""  # nothing but the sheet itself decides what its rows are
        self.notes = list(notes)
        self._opening_notes = list(notes)
        self._job, self._file = setup.job, setup.sheet_file
        self._source = source
        self._plan = plan
        self._checker, self._totals = checker, totals
        self._learned = not checker.must_learn and totals is None
        self._judge = Judge(source.sheet, plan, checker.levels)
        self._reasons = reason_places(plan.headings)
        sealed = self.supplement and HELD_SEAL in (heading.strip() for heading in plan.headings)
        self._seals = Seals(plan.headings, plan.indexes) if sealed else None
        self._asking = Asking(setup.job, plan, source.sheet, blanks)

    @property
    def plan(self) -> Plan:
        """Which column gives what."""
        return self._plan

    @property
    def supplement(self) -> bool:
        """Whether the sheet is one of rows that were held before."""
        return HELD_MARK in self.headings

    def __iter__(self) -> Iterator[Intaken]:
        """Every row below the headings, in sheet order; rows without anything are passed over.

        Raises ``SheetError`` before the first where the job's expectations are not met.
        """
        if not self._learned:
            self._learn()
        return self._stream(self._checker)

    @property
    def pooled(self) -> bool:
        """Whether the rows are those of several sheets."""
        return self._file.suffix.lower() == POOL

    def tell(self, listener: Findings) -> None:
        """Have ``listener`` told of each finding that holds no row, with its place."""
        self._judge.listener = listener

    def original(self) -> Original:
        """The sheet as it is, headings and all."""
        rows = ((row.number, row.cells) for row in self._source.rows())
        path = self._file if self._file.suffix.lower() in (".xlsx", ".xlsm") else None
        return Original(path, self.sheet, rows, self._job.sheet.header_row)

    def _learn(self) -> None:
        """One reading before all others: what is usual in each column, and the totals."""
        checker, totals = self._checker, self._totals
        listener, self._judge.listener = self._judge.listener, None
        for row in self._stream(None):
            if totals is not None:
                totals.add(row)
            if not isinstance(row, Record) or row.piece == 1:
                checker.learn(row.row, row.values)
        checker.settle()
        self._learned, self._judge.listener = True, listener
        faults = tuple(totals.problems(self.sheet)) if totals is not None else ()
        if faults:
            raise SheetError(faults)

    def _stream(self, checker: Checker | None) -> Iterator[Intaken]:
        """One reading; without a checker, texts are looked at only as far as always."""
        self._judge.tally = tally = Tally()
        self.notes = list(self._opening_notes)
        if checker is not None:
            checker.begin()
        if self._judge.listener is not None:
            self._judge.listener.begin()
        plan, source = self._plan, self._source
        width, indexes, delimited = plan.width, plan.indexes, source.delimited
        straight = indexes == tuple(range(width))
        prefix = f"{self.sheet}!"
        last = header_row = self._job.sheet.header_row
        splits = plan.splits
        hidden_rows = self._job.sheet.hidden_rows
        seals, judged, asked = self._seals, self._judge.judged, self._asking.asked
        rows = self._rows() if checker is None else self._foreseen(self._rows(), checker)
        for number, cells, faults, hidden in rows:
            if number <= header_row:
                continue
            short = len(cells) < width
            if len(cells) == width and straight:
                values = tuple(cells)
            else:
                cells, faults = self._fitted(number, cells, faults)
                values = tuple([cells[i] for i in indexes])
            if hidden and hidden_rows != "use":
                if hidden_rows == "skip":
                    last = number
                    if any(values):
                        key = f"{prefix}{number}"
                        yield SkippedRow(number, key, values, "the row is hidden in the sheet")
                    continue
                source.tally.add("hidden-row", -1, number)
            clean = is_clean("|".join(values))
            if not clean:
                values, faults = self._tidied(number, values, faults)
            if seals is not None:
                faults = (*faults, *seals.faults(values, faults))
            if splits:
                values, faults = self._taken_apart(values, faults)
            held: list[Problem] = []
            doubtful: set[int] = set()
            if faults:
                held, doubtful = judged(number, faults)
            if not held and (not any(values) or not (clean or "".join(values).strip())):
                continue
            if number > last + 1:
                tally.bump("empty-row", last + 1, number - last - 1)
            last = number
            if short and delimited and WHOLE_ROW not in doubtful:
                tally.add("short-row", -1, number)
            quantity, order, blank = asked(number, values, held, doubtful)
            if checker is not None and quantity != 0 and WHOLE_ROW not in doubtful:
                found = checker.row(number, values, order, quantity, doubtful)
                if found:
                    held += judged(number, tuple(found))[0]
            if quantity == 0:
                yield SkippedRow(number, f"{prefix}{number}", values, "quantity is 0")
            elif held:
                yield HeldRow(number, f"{prefix}{number}", order, values, tuple(held))
            elif quantity == 1:
                yield Record(f"{prefix}{number}#1", number, 1, order, blank, values)
            else:
                for piece in range(1, quantity + 1):
                    yield Record(f"{prefix}{number}#{piece}", number, piece, order, blank, values)
        self._finish(last)

    def _rows(self) -> Iterator[SheetRow]:
        """The source's rows. A CSV of held rows that comes back loses the guards of its cells:
        they were written against spreadsheets and are no part of a name."""
        rows = self._source.rows()
        if not (self._source.delimited and self.supplement):
            return rows
        return (row._replace(cells=[unguard(cell) for cell in row.cells]) for row in rows)

    def _foreseen(self, rows: Iterator[SheetRow], checker: Checker) -> Iterator[SheetRow]:
        """The same rows, read some way ahead so that the checker may see many at once."""
        width = self._plan.width
        failed: SheetError | None = None
        while failed is None:
            ahead: list[SheetRow] = []
            try:
                ahead.extend(islice(rows, _AHEAD))
            except SheetError as error:  # those before it come first
                failed = error
            if not ahead:
                break
            checker.foresee([row.cells for row in ahead if len(row.cells) == width])
            yield from ahead
        if failed is not None:
            raise failed

    # ------------------------------------------------------------ cells

    def _fitted(
        self, number: int, cells: list[str], faults: tuple[CellFault, ...]
    ) -> tuple[list[str], tuple[CellFault, ...]]:
        """The cells brought to the width of the headings, with what lies outside reported."""
        plan = self._plan
        if self._source.delimited and any(cell.strip() for cell in cells[plan.span :]):
            found = max(i for i, cell in enumerate(cells) if cell.strip()) + 1
            what = f"the row has {found} cells, but there are {plan.span} headings"
            remedy = "put quotes around each text that holds the delimiter"
            fault = CellFault(-1, "too-many-cells", what, remedy, "".join(cells[plan.span :][:1]))
            return self._cut(cells), (*faults, fault)
        known = self._judge.position
        strays = [(i, cell) for i, cell in enumerate(cells) if cell.strip() and i not in known]
        for i, cell in strays:
            self._judge.tally.add("stray-cell", i, number, cell)
        cells = self._cut(cells)
        if strays and not any(cells[i].strip() for i in plan.indexes):
            index, value = strays[0]
            what = "the row has values only in columns without a heading"
            remedy = "give the column a heading, or delete the row"
            faults = (*faults, CellFault(index, "stray-row", what, remedy, value))
        return cells, faults

    def _cut(self, cells: list[str]) -> list[str]:
        width = self._plan.width
        return cells[:width] if len(cells) >= width else cells + [""] * (width - len(cells))

    def _tidied(
        self, number: int, values: tuple[str, ...], faults: tuple[CellFault, ...]
    ) -> tuple[tuple[str, ...], tuple[CellFault, ...]]:
        """Texts tidied and looked through; codes only looked through."""
        if any(fault.column < 0 for fault in faults):
            return values, faults  # the row has slipped: its texts say nothing about columns
        out = list(values)
        found = list(faults)
        plan, levels = self._plan, self._judge.levels
        for place, text in enumerate(values):
            if not text or place in self._reasons or is_clean(text):
                continue
            index = plan.indexes[place]
            better, faulty = looked_through(
                index, text, place in plan.codes, levels.spared(place)
            )
            found += faulty
            if better != text:
                out[place] = better
                if better:
                    self._judge.tally.add("tidied", index, number, text, better)
        return tuple(out), tuple(found)

    def _taken_apart(
        self, values: tuple[str, ...], faults: tuple[CellFault, ...]
    ) -> tuple[tuple[str, ...], tuple[CellFault, ...]]:
        """The values with the parts of cells after them."""
        plan = self._plan
        for split in plan.splits:
            text = values[split.place]
            parts = split.parts(text)
            if parts is None:
                parts = ("",) * len(split.names)
                faults = (*faults, split.fault(plan.indexes[split.place], text))
            values += parts
        return values, faults

    # ------------------------------------------------------------ notes

    def _finish(self, last: int) -> None:
        """Bring the notes to their end."""
        source = self._source
        self.notes += source.sheet_remarks(set(self._plan.indexes), last)
        for tally in (source.tally, self._judge.tally):
            self.notes += tally.problems(self.sheet, self._judge.label)
        repeats, lines = self._checker.repeats(self.sheet)
        if self._judge.listener is not None:
            for line in lines:
                self._judge.listener.again(repeats, line)
        self.notes += lines
        self.notes += self._checker.census(self.sheet)
