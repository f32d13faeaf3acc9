"""What a row asks for: its order, how many pieces, and which blank.

In: the texts of a row. Out: the three, and the problems of those that cannot be read, which hold
the row. Nothing is guessed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from vardata.intake.blankmatch import fold_value, known_blanks
from vardata.intake.columns import Plan
from vardata.intake.judge import WHOLE_ROW
from vardata.intake.quantity import QuantityFault, parse_quantity
from vardata.problems import Problem, Severity, Where

if TYPE_CHECKING:
    from vardata.job.model import Job

_CACHE = 10_000
UNKNOWN = -1  # a quantity that could not be read


class Asking:
    """Reads the columns with a meaning of their own; remembers what it has read."""

    def __init__(self, job: Job, plan: Plan, sheet: str, blanks: dict[str, str]) -> None:
        self._job, self._plan, self._sheet = job, plan, sheet
        self._blanks = blanks  # folded value -> key
        self._blank_cache: dict[str, str | None] = {}
        self._quantities: dict[str, int | QuantityFault] = {}

    def asked(
        self, number: int, values: tuple[str, ...], held: list[Problem], doubtful: set[int]
    ) -> tuple[int, str, str]:
        """Quantity, order and blank of a row; what is wrong with them goes to ``held``."""
        plan = self._plan
        slipped = WHOLE_ROW in doubtful
        order = "" if plan.order is None else values[plan.order]
        if plan.order is not None and not order and not slipped and plan.order not in doubtful:
            what = "the order is empty, so the piece could not be brought back to it"
            remedy = "write the order in every row, or delete a row that is no item"
            held.append(self._hold("no-order", number, plan.order, what, remedy))
        quantity = 1
        if slipped or plan.quantity in doubtful:
            quantity = UNKNOWN
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
        return UNKNOWN

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
        where = Where(sheet=self._sheet, row=number, column=self._plan.label(place))
        return Problem(kind, Severity.HOLD, what, remedy, where, value)
