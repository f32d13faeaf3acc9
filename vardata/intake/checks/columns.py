"""Checks of whole columns: what is usual in each, learned in one reading before the other.

In: every row once. Out: for each text of a column what is unusual about it. Keeps counts of
lengths and shapes, the values of short columns, and 8 bytes a row where values must not repeat.
"""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Iterator

from vardata.intake.checks.census import Census
from vardata.intake.checks.dates import DateWays
from vardata.intake.checks.finding import Found
from vardata.intake.checks.lengths import Usual, usual
from vardata.intake.checks.levels import CheckLevels
from vardata.intake.checks.shapes import Change, Shapes, shape
from vardata.intake.tally import quoted

WHOLE = (
    "unusual-length", "repeated-value", "changed-type", "lost-zeros", "near-twin", "mixed-dates",
)  # fmt: skip
"""The kinds that only a whole column can tell."""


class ColumnLook:
    """One column. ``add`` every text, then ``settle``, then ask."""

    def __init__(self, place: int, levels: CheckLevels, wanted: frozenset[str]) -> None:
        on = {kind for kind in wanted if levels.of(kind, place) is not None}
        self._lengths: Counter[int] | None = Counter() if "unusual-length" in on else None
        self._shapes = Shapes() if on & {"changed-type", "lost-zeros"} else None
        self._hashes = array("q") if "repeated-value" in on else None
        self.census = Census() if "near-twin" in on else None
        self._dates = DateWays() if "mixed-dates" in on else None
        self._usual: Usual | None = None
        self._change: Change | None = None
        self._odd: frozenset[str] = frozenset()
        self._width = 0
        self._repeated: dict[int, None] = {}
        self._twins: dict[str, str] = {}

    def add(self, row: int, text: str) -> None:
        if self._lengths is not None:
            self._lengths[len(text)] += 1
        if self._shapes is not None:
            self._shapes.add(row, text)
        if self._hashes is not None:
            self._hashes.append(hash(text))
        if self.census is not None:
            self.census.add(text)
        if self._dates is not None:
            self._dates.add(text)

    def settle(self) -> None:
        """All rows have been seen."""
        if self._lengths is not None:
            self._usual = usual(self._lengths)
        if self._shapes is not None:
            self._change = self._shapes.change()
            self._odd = frozenset() if self._change else self._shapes.odd()
            self._width = self._shapes.padded_width()
        if self._hashes is not None:
            self._repeated = _more_than_once(self._hashes)
            self._hashes = None
        if self.census is not None:
            self._twins = self.census.twins()

    def of_text(self, text: str) -> Iterator[Found]:
        """What is unusual about a text, whatever its row."""
        limits = self._usual
        if limits is not None and not limits.least <= len(text) <= limits.most:
            yield _unusual(text, limits)
        if text in self._twins:
            yield Found(
                "near-twin",
                f"{quoted(text)} is rare here, and nearly {quoted(self._twins[text])}, which is "
                "common",
                f"write {quoted(self._twins[text])} if that is meant",
            )
        if self._dates is not None and (odd := self._dates.odd(text)):
            yield odd
        if self._width and text.isdecimal() and len(text) < self._width and text[0] != "0":
            yield Found(
                "lost-zeros",
                f"the number {quoted(text)} is shorter than the others, which have {self._width} "
                "digits and begin with 0",
                f"write {quoted(text.zfill(self._width))} if its zeros were lost",
            )
        if self._odd and shape(text) in self._odd:
            yield Found(
                "turned-code",
                f"{quoted(text)} is not like the rest of its column, as where a spreadsheet took "
                "a code for a date or a number",
                "format the column as text and write the value again",
            )

    def of_row(self, row: int, text: str) -> Found | None:
        """What is unusual about a text at its place."""
        change = self._change
        if change is None or row < change.row:
            return None
        return Found(
            "changed-type",
            f"the values change from {change.what} in row {change.row}, here {quoted(text)}",
            "see whether a column has slipped there",
        )

    @property
    def watches_rows(self) -> bool:
        return self._change is not None or bool(self._repeated)

    def may_repeat(self, text: str) -> bool:
        """Whether the text is surely or almost surely there more than once."""
        return hash(text) in self._repeated


def _unusual(text: str, limits: Usual) -> Found:
    size = len(text)
    many = f"{size} character{'s' * (size != 1)}"
    if limits.fixed:
        what = f"{quoted(text)} has {many}, where almost all have {limits.most}"
    elif size > limits.most:
        what = f"{quoted(text)} is unusually long for its column ({many})"
    else:
        what = f"{quoted(text)} is unusually short for its column ({many})"
    return Found("unusual-length", what, "see whether it is complete and in the right column")


def _more_than_once(hashes: array[int]) -> dict[int, None]:
    import numpy as np

    values = np.sort(np.frombuffer(hashes, dtype=np.int64)) if hashes else np.empty(0, np.int64)
    return dict.fromkeys(values[1:][values[1:] == values[:-1]].tolist())
