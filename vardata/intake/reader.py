"""The order sheet as a stream of records.

In: a ``Source`` and the ``Plan`` of its columns. Out: an ``Intake``, which gives one ``Record``
for each piece of each row, and a ``HeldRow`` or ``SkippedRow`` for every row that gives none.
Keeps no rows: what would come a thousand times is counted.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from vardata.intake.blankmatch import fold_value, known_blanks
from vardata.intake.headings import Plan
from vardata.intake.quantity import QuantityFault, parse_quantity
from vardata.intake.record import HeldRow, Intaken, Record, SkippedRow
from vardata.intake.source import CellFault, SheetRow, Source
from vardata.intake.tally import Tally
from vardata.intake.tidy import garbled, is_clean, tidy, unfit, unfit_code, unseen
from vardata.letters import letters
from vardata.problems import Problem, Severity, Where
from vardata.spreadsafe import HELD_MARK, unguard

if TYPE_CHECKING:
    from vardata.job.model import Setup

_CACHE = 10_000
_UNKNOWN = -1  # a quantity that could not be read


class Intake:
    """An order sheet that is ready to be read, as often as wanted.

    ``names`` are the safe names of the columns, ``headings`` their headings as found, both in
    sheet order. ``notes`` holds what is known so far, and all of it after an iteration.
    """

    def __init__(
        self, setup: Setup, source: Source, plan: Plan, blanks: dict[str, str], notes: list[Problem]
    ) -> None:
        self.sheet = source.sheet
        self.names = plan.names
        self.headings = plan.headings
        self.state = ""  # nothing but the sheet itself decides what its rows are
        self.notes = list(notes)
        self._opening_notes = list(notes)
        self._job = setup.job
        self._source = source
        self._plan = plan
        self._position = {index: place for place, index in enumerate(plan.indexes)}
        self._tally = Tally()
        self._blanks = blanks  # folded value -> key
        self._blank_cache: dict[str, str | None] = {}
        self._quantities: dict[str, int | QuantityFault] = {}

    @property
    def plan(self) -> Plan:
        """Which column gives what."""
        return self._plan

    @property
    def supplement(self) -> bool:
        """Whether the sheet is one of rows that were held before."""
        return HELD_MARK in self.headings

    def __iter__(self) -> Iterator[Intaken]:
        """Every row below the headings, in sheet order; rows without anything are passed over."""
        self._tally = tally = Tally()
        self.notes = list(self._opening_notes)
        plan, source = self._plan, self._source
        width, indexes, delimited = plan.width, plan.indexes, source.delimited
        straight = indexes == tuple(range(width))
        prefix = f"{self.sheet}!"
        last = header_row = self._job.sheet.header_row
        for number, cells, faults in self._rows():
            if number <= header_row:
                continue
            short = len(cells) < width
            if len(cells) == width and straight:
                values = tuple(cells)
            else:
                cells, faults = self._fitted(number, cells, faults)
                values = tuple([cells[i] for i in indexes])
            clean = is_clean("|".join(values))
            if not clean:
                values, faults = self._tidied(number, values, faults)
            held: list[Problem] = []
            doubtful: set[int] = set()
            if faults:
                held, doubtful = self._judged(number, faults)
            if not held and (not any(values) or not (clean or "".join(values).strip())):
                continue
            if number > last + 1:
                tally.bump("empty-row", last + 1, number - last - 1)
            last = number
            if short and delimited and _UNKNOWN not in doubtful:
                tally.add("short-row", -1, number)
            quantity, order, blank = self._asked(number, values, held, doubtful)
            if quantity == 0:
                yield SkippedRow(number, f"{prefix}{number}", values, "quantity is 0")
            elif held:
                yield HeldRow(number, f"{prefix}{number}", order, values, tuple(held))
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
        return (SheetRow(row, [unguard(cell) for cell in cells], f) for row, cells, f in rows)

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
        strays = [
            (i, cell) for i, cell in enumerate(cells) if cell.strip() and i not in self._position
        ]
        for i, cell in strays:
            self._tally.add("stray-cell", i, number, cell)
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
        tally, plan = self._tally, self._plan
        for place, text in enumerate(values):
            if not text or is_clean(text):
                continue
            index = plan.indexes[place]
            code = place in plan.codes
            if not code and not text.strip():
                out[place] = ""
                continue
            bad = unfit_code(text) if code else unfit(text)
            if bad:
                found.append(_unfit_fault(index, text, bad))
                continue
            if code:
                continue
            better = tidy(text)
            if better != text:
                out[place] = better
                if better:
                    tally.add("tidied", index, number, text, better)
            if unseen(better):
                tally.add("unseen-characters", index, number, better)
            elif before := garbled(better):
                tally.add("garbled", index, number, better, before)
        return tuple(out), tuple(found)

    def _judged(self, number: int, faults: tuple[CellFault, ...]) -> tuple[list[Problem], set[int]]:
        """The faults that hold the row, and the positions they make doubtful.

        A fault in a column that nothing uses is only counted. A fault of the whole row makes
        every column doubtful: the set then holds -1.
        """
        held: list[Problem] = []
        doubtful: set[int] = set()
        for column, kind, what, remedy, value in faults:
            place = self._position.get(column, _UNKNOWN)
            if column < 0 or kind == "stray-row" or place in self._plan.needed:
                doubtful.add(place)
                where = Where(sheet=self.sheet, row=number, column=self._label(column))
                held.append(Problem(kind, Severity.HOLD, what, remedy, where, value))
            elif place >= 0:
                self._tally.add("unused-cell", column, number, value, what)
        return held, doubtful

    def _label(self, index: int) -> str:
        """What a person calls a column of the sheet."""
        if index < 0:
            return ""
        place = self._position.get(index)
        return letters(index) if place is None else self.headings[place]

    # ------------------------------------------------------------ order, quantity, blank

    def _asked(
        self, number: int, values: tuple[str, ...], held: list[Problem], doubtful: set[int]
    ) -> tuple[int, str, str]:
        """Quantity, order and blank of a row; what is wrong with them goes to ``held``."""
        plan = self._plan
        slipped = _UNKNOWN in doubtful
        order = "" if plan.order is None else values[plan.order]
        if plan.order is not None and not order and not slipped and plan.order not in doubtful:
            what = "the order is empty, so the piece could not be brought back to it"
            held.append(
                self._hold("no-order", number, plan.order, what, "write the order in every row")
            )
        quantity = 1
        if slipped or plan.quantity in doubtful:
            quantity = _UNKNOWN
        elif plan.quantity is not None:
            quantity = self._quantity(number, values[plan.quantity], held)
        blank = self._job.blank or ""
        if plan.blank is not None:
            blank = ""
            if not slipped and plan.blank not in doubtful:
                blank = self._blank(number, values[plan.blank], held)
        return quantity, order, blank

    def _quantity(self, number: int, text: str, held: list[Problem]) -> int:
        known = self._quantities.get(text)
        if known is None:
            if len(self._quantities) >= _CACHE:
                self._quantities.clear()
            # A quantity column may also be a code and so untidied: white space means nothing here.
            known = parse_quantity(" ".join(text.split()), self._job.records.quantity_max)
            self._quantities[text] = known
        if isinstance(known, int):
            return known
        place = self._plan.quantity
        assert place is not None
        held.append(self._hold(known.kind, number, place, known.what, known.remedy, text))
        return _UNKNOWN

    def _blank(self, number: int, text: str, held: list[Problem]) -> str:
        if text in self._blank_cache:
            key = self._blank_cache[text]
        else:
            if len(self._blank_cache) >= _CACHE:
                self._blank_cache.clear()
            key = self._blank_cache[text] = self._blanks.get(fold_value(text))
        if key is not None:
            return key
        place = self._plan.blank
        assert place is not None
        what = f"there is no blank {text!r}" if text.strip() else "the blank is empty"
        remedy = f"write one of {known_blanks(self._job.blanks)}"
        held.append(self._hold("unknown-blank", number, place, what, remedy, text))
        return ""

    def _hold(
        self, kind: str, number: int, place: int, what: str, remedy: str, value: str = ""
    ) -> Problem:
        where = Where(sheet=self.sheet, row=number, column=self.headings[place])
        return Problem(kind, Severity.HOLD, what, remedy, where, value)

    # ------------------------------------------------------------ notes

    def _finish(self, last: int) -> None:
        """Bring the notes to their end."""
        source = self._source
        self.notes += source.sheet_remarks(set(self._plan.indexes), last)
        for tally in (source.tally, self._tally):
            self.notes += tally.problems(self.sheet, self._label)


def _unfit_fault(index: int, text: str, bad: str) -> CellFault:
    if bad == "U+FFFD":
        what = "the text holds U+FFFD, the mark of a letter that was lost in an earlier conversion"
        return CellFault(index, "lost-letter", what, "write the text again", text)
    what = f"the text holds the control character {bad}, which cannot be printed"
    return CellFault(index, "control-character", what, "take it out, or write the text again", text)
