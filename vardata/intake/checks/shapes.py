"""What kind of value a cell shows, and where a column goes from one kind to another.

In: the texts of a column in the order of its rows. Out: at the end, the row from which on they
are of another kind, or None; and whether numbers have lost the zeros they begin with.
"""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from vardata.intake.checks.dates import is_date_like
from vardata.intake.checks.numbers import is_scientific

_LEAST_BEFORE, _LEAST_AFTER = 10, 3
_PLURAL = {"number": "numbers", "date": "dates", "text": "texts", "short": "shortened numbers"}
_MOST_RUNS = 3
_FEW = 0.05  # the share of odd ones below which they are odd
_ENOUGH = 20


def shape(text: str) -> str:
    """number, date, short (1.2E+12) or text."""
    if text.isdecimal():
        return "number"
    if not text[:1].isdigit():
        return "text"  # dates and shortened numbers begin with a digit
    if is_date_like(text):
        return "date"
    return "short" if is_scientific(text) else "text"


class Change(NamedTuple):
    row: int  # the first of the other kind
    before: str
    after: str

    @property
    def what(self) -> str:
        return f"{_PLURAL[self.before]} to {_PLURAL[self.after]}"


class Shapes:
    """Runs of like values in one column."""

    def __init__(self) -> None:
        self._last = ""
        self._runs: list[tuple[str, int]] = []  # shape and first row
        self._counts: list[int] = []
        self._all: Counter[str] = Counter()
        self._zero_led: Counter[int] = Counter()  # width -> numbers that begin with 0
        self._widths: Counter[int] = Counter()  # width -> numbers

    def add(self, row: int, text: str) -> None:
        kind = shape(text)
        self._all[kind] += 1
        if kind == "number":
            self._widths[len(text)] += 1
            if text[0] == "0" and len(text) > 1:
                self._zero_led[len(text)] += 1
        if kind != self._last:
            self._last = kind
            if len(self._runs) < _MOST_RUNS:
                self._runs.append((kind, row))
                self._counts.append(0)
        if len(self._counts) < _MOST_RUNS:
            self._counts[-1] += 1

    def change(self) -> Change | None:
        """Where the column changed for good, if it did so exactly once."""
        if len(self._runs) != 2:
            return None
        if self._counts[0] < _LEAST_BEFORE or self._counts[1] < _LEAST_AFTER:
            return None
        (before, _), (after, row) = self._runs
        return Change(row, before, after)

    def odd(self) -> frozenset[str]:
        """Dates and shortened numbers where nearly all else is of another kind."""
        total = self._all.total()
        if total < _ENOUGH:
            return frozenset()
        return frozenset(kind for kind in ("date", "short") if 0 < self._all[kind] <= total * _FEW)

    def padded_width(self) -> int:
        """The width of a column of numbers padded with zeros of which some are shorter, or 0."""
        if len(self._zero_led) != 1 or self._all["number"] < self._all.total() * (1 - _FEW):
            return 0
        width, count = next(iter(self._zero_led.items()))
        shorter = sum(n for w, n in self._widths.items() if w < width)
        enough = count >= 3 and self._widths[width] > shorter > 0
        return width if enough and max(self._widths) == width else 0
