"""All checks of an order sheet behind one door: what intake asks for each row.

In: the job's ``[checks]``, the kept columns, each row's texts with its order and quantity. Out:
findings as ``CellFault``, for intake to make much or little of. A text that came before in its
column is not looked at again, so what a row costs does not grow with the number of checks.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from vardata.intake import locales
from vardata.intake.cellfault import CellFault
from vardata.intake.checks.columns import WHOLE, ColumnLook
from vardata.intake.checks.counts import miscount
from vardata.intake.checks.finding import Found
from vardata.intake.checks.levels import CheckLevels
from vardata.intake.checks.order import OrderLook
from vardata.intake.checks.phrases import HalfPhrases, Phrase
from vardata.intake.checks.pictographs import Pictographs
from vardata.intake.checks.repeats import KIND, REMEDY, Repeat, RowLook, joined
from vardata.intake.checks.text import TextChecks, fold, is_figure
from vardata.intake.columns import Plan
from vardata.intake.heldseal import reason_places
from vardata.intake.tally import quoted
from vardata.job.near import choose
from vardata.problems import Problem, Severity, Where

if TYPE_CHECKING:
    from vardata.job.model import Setup

_CACHE = 5_000
_ROLE_KINDS = frozenset((
    "turned-code", "lost-digits", "placeholder", "same-as-above", "error-value", "formula-text",
))  # fmt: skip


class Checker:
    """Looks at rows. ``learn`` and ``settle`` come first where it ``must_learn``."""

    def __init__(
        self, setup: Setup, plan: Plan, levels: CheckLevels, allowed: dict[int, tuple[str, ...]],
        thorough: bool, phrases: Iterable[Phrase] = (),
    ) -> None:  # fmt: skip
        checks = setup.job.checks
        self.plan, self.levels = plan, levels
        self._texts = TextChecks(
            Pictographs(path for part in setup.all_sides() for path in part.fonts.values()),
            checks.placeholder_words,
            checks.instruction_words,
            locales.find(setup.job.locale) if "locale" in setup.job.model_fields_set else None,
        )
        roles = {plan.order, plan.line, plan.quantity, plan.blank, plan.product, plan.ship_by}
        self._reasons = reason_places(plan.headings)
        roles |= {plan.priority, *(split.place for split in plan.splits)}
        self._asides = [
            i for i in range(len(plan.indexes))
            if i not in plan.needed and i not in self._reasons
            and levels.of("instruction", i) is not None
        ]  # fmt: skip
        self._places = sorted(place for place in plan.needed if place not in roles)
        if plan.order is not None:
            self._places.append(plan.order)
        read = [place for place in self._places if place != plan.order]
        self._printed = [i for i in read if levels.of("near-duplicate", i) is not None]
        self._counted = [
            i for i in read
            if "miscount" not in levels.spared(i) and levels.of("miscount", i) is not None
        ]  # fmt: skip
        self._rows = self._row_look() if read else None
        self._holds_repeats = levels.of(KIND, -1) is Severity.HOLD
        self._headings = [fold(plan.label(place)) for place in range(len(plan.names))]
        self._allowed = {
            place: (frozenset(map(fold, values)), values) for place, values in allowed.items()
        }
        self._places += [i for i in self._allowed if i not in self._places]
        self._places = [place for place in self._places if levels.any_at(place)]
        self._columns: list[tuple[int, dict[str, tuple[Found, ...]]]] = [
            (place, {}) for place in self._places
        ]
        self._halves = HalfPhrases(phrases, plan, levels)
        self.looks = self._column_looks(thorough)
        # Where a plain number is left alone: it is looked at by whole columns and codes only.
        self._figures = {
            i for i in self._places
            if i not in self.looks and i not in self._allowed and i not in plan.codes
        }  # fmt: skip
        # Where nothing but ``TextChecks`` looks at a text: the column on the sheet, its place.
        self._foreseen = [
            (plan.indexes[place], place, known) for place, known in self._columns
            if place < len(plan.indexes) and place not in self.looks and place not in self._allowed
        ]  # fmt: skip
        self._watched: list[tuple[int, ColumnLook]] = []
        self.begin()

    def _column_looks(self, thorough: bool) -> dict[int, ColumnLook]:
        """Looks at whole columns. They take a reading of their own, so where a run is built only
        those are taken that can hold a row or that the job asks for."""
        kinds = frozenset(
            kind for kind in WHOLE
            if thorough or kind == "repeated-value" or self.levels.holds(kind)
        )  # fmt: skip
        skipped = {self.plan.quantity, self.plan.blank, *self._reasons}
        wanted = [
            place for place in range(len(self.plan.names))
            if place not in skipped and (thorough or place in self.plan.needed)
        ]  # fmt: skip
        return {
            place: ColumnLook(place, self.levels, kinds) for place in wanted
            if any(self.levels.of(kind, place) is not None for kind in kinds)
        }  # fmt: skip

    def _row_look(self) -> RowLook | None:
        """Rows of one order are compared, where a line column does not tell them apart."""
        plan = self.plan
        if plan.order is None or plan.line is not None or self.levels.of(KIND, -1) is None:
            return None
        places = [i for i in sorted(self.plan.needed) if self.levels.of(KIND, i) is not None]
        return RowLook(places) if places else None

    @property
    def must_learn(self) -> bool:
        """Whether a reading must come before the others."""
        return bool(self.looks) or (self._rows is not None and self._holds_repeats)

    def begin(self) -> None:
        """A reading starts: nothing of an earlier one is remembered but what was learned."""
        if self._rows is not None:
            self._rows.begin()
        on = self._printed and self.plan.order is not None
        self._order = OrderLook() if on else None
        self._firsts: dict[tuple[int, str], int] = {}

    # ------------------------------------------------------------ learning

    def learn(self, number: int, values: tuple[str, ...]) -> None:
        """One row of the reading before."""
        for place, look in self.looks.items():
            if values[place]:
                look.add(number, values[place])
        if self._rows is not None and self._holds_repeats:
            self._rows.add(number, values)

    def settle(self) -> None:
        if self._rows is not None:
            self._rows.settle()
        for look in self.looks.values():
            look.settle()
        self._watched = [(p, look) for p, look in self.looks.items() if look.watches_rows]

    def census(self, sheet: str) -> Iterator[Problem]:
        """One note for each short column with its values, rare near-twins first."""
        for place, look in self.looks.items():
            if look.census is not None and look.census.is_short():
                where = Where(sheet=sheet, column=self.plan.label(place))
                yield Problem("census", Severity.NOTE, look.census.line(), "", where)

    def repeats(self, sheet: str) -> tuple[list[Repeat], list[Problem]]:
        """The rows of a finished reading that repeat earlier ones and hold none, and the one line
        that is said of them."""
        severity = self.levels.of(KIND, -1)
        if self._rows is None or self._holds_repeats or severity is None:
            return [], []
        found = self._rows.repeats()
        if not found:
            return [], []
        where = Where(sheet=sheet)
        return found, [Problem(KIND, severity, joined(found), REMEDY, where)]

    # ------------------------------------------------------------ a row

    def foresee(self, rows: Sequence[Sequence[str]]) -> None:
        """Makes ready for ``row`` what is quicker for many rows at once; they are as wide as the
        sheet."""
        for index, place, known in self._foreseen:
            texts = {cells[index] for cells in rows}.difference(known)
            texts.discard("")
            if not texts:
                continue
            if len(known) + len(texts) > _CACHE:
                known.clear()
            code = place in self.plan.codes
            quiet = self._texts.quiet(list(texts), self._headings[place], code)
            known.update(dict.fromkeys(quiet, ()))

    def row(
        self, number: int, values: tuple[str, ...], order: str, quantity: int,
        doubtful: Collection[int] = (),
    ) -> list[CellFault]:  # fmt: skip
        """What is found in a row. ``quantity`` below 0 is not known; the texts at ``doubtful``
        positions are not the cell's own."""
        out: list[CellFault] = []
        for place, known in self._columns:
            text = values[place]
            found = known.get(text)
            if found is None:
                found = self._first_seen(place, known, text) if text else ()
            if found and place not in doubtful:
                out += [self._fault(place, one, text) for one in found]
        if quantity > 2:
            for place in self._counted:
                if one := miscount(values[place], quantity):
                    out.append(self._fault(place, one, values[place]))
        if self._halves and "" in values:
            out += [
                self._fault(place, half, "") for place, half in self._halves.check(values)
                if place not in doubtful
            ]  # fmt: skip
        if self._watched:
            out += self._of_row(number, values)
        if self._asides:
            out += self._notes_to_the_shop(values)
        if self._rows is not None:
            if self._holds_repeats:
                out += self._row_again(number, values)
            else:
                self._rows.add(number, values)
        if self._order is not None and order:
            text = " | ".join(map(values.__getitem__, self._printed))
            if near := self._order.check(number, order, text):
                out.append(self._fault(self._printed[0], near, text))
        return out

    def _first_seen(
        self, place: int, known: dict[str, tuple[Found, ...]], text: str
    ) -> tuple[Found, ...]:
        """What is found in a text, remembered unless it is a number that needs no look."""
        if place in self._figures and is_figure(text):
            return ()
        if len(known) >= _CACHE:
            known.clear()
        found = known[text] = self._of_text(place, text)
        return found

    def _fault(self, place: int, found: Found, text: str) -> CellFault:
        return CellFault(self.plan.indexes[self.plan.own(place)], *found, text, place)

    def _of_text(self, place: int, text: str) -> tuple[Found, ...]:
        """Every finding of a text whose check is on in its column."""
        found: list[Found] = []
        if place in self.plan.needed and text.strip():
            read = "lost-letter" not in self.levels.spared(place)
            found = self._texts.look(text, self._headings[place], place in self.plan.codes, read)
        if place in self._allowed:
            folded, shown = self._allowed[place]
            if fold(text) not in folded:
                what = f"{quoted(text)} is none of the values that the job allows"
                found.append(Found("unexpected-value", what, choose(text, shown)))
        if place in self.looks:
            found += self.looks[place].of_text(text)
        if not found:
            return ()
        return tuple(
            one for one in found
            if self.levels.of(one.kind, place) is not None
            and (place != self.plan.order or one.kind in _ROLE_KINDS or one.kind in WHOLE)
        )  # fmt: skip

    def _of_row(self, number: int, values: tuple[str, ...]) -> Iterator[CellFault]:
        for place, look in self._watched:
            text = values[place]
            if not text:
                continue
            if changed := look.of_row(number, text):
                yield self._fault(place, changed, text)
            if look.may_repeat(text):
                first = self._firsts.setdefault((place, text), number)
                also = f", first in row {first}" if first != number else ""
                what = f"{quoted(text)} is there more than once{also}, and must not repeat"
                remedy = "write another value, or delete the row"
                yield self._fault(place, Found("repeated-value", what, remedy), text)

    def _row_again(self, number: int, values: tuple[str, ...]) -> Iterator[CellFault]:
        """Says so at once if a row is held for repeating another."""
        assert self._rows is not None
        if again := self._rows.check(number, values):
            yield CellFault(-1, *again)

    def _notes_to_the_shop(self, values: tuple[str, ...]) -> Iterator[CellFault]:
        """Words to the shop in columns that nothing uses, where they would go unread."""
        for place in self._asides:
            text = values[place]
            if " " in text and (found := self._texts.aside(text)):
                yield self._fault(place, found, text)
