"""The different values of a short column, and rare ones that are nearly a common one.

In: the texts of a column. Out: their counts, rare near-twins first, as one line. A column with
too many different values is no short one: it is let go, so memory stays small.
"""

from __future__ import annotations

from collections import Counter

from vardata.intake.checks.text import fold
from vardata.intake.tally import quoted
from vardata.job.near import edits

_MOST = 200  # different values of a short column
_REPEATS = 2  # how often a value of a short column comes, on the average
_ENOUGH = 12  # values, or there is nothing to count
_RARE = 0.2  # of the common twin's count
_SHOWN = 12


class Census:
    """Counts the values of one column."""

    def __init__(self) -> None:
        self.counts: Counter[str] | None = Counter()

    def add(self, text: str) -> None:
        if self.counts is not None:
            self.counts[text] += 1
            if len(self.counts) > _MOST:
                self.counts = None

    def is_short(self) -> bool:
        counts = self.counts
        if counts is None or len(counts) < 2:
            return False
        return counts.total() >= max(_REPEATS * len(counts), _ENOUGH)

    def twins(self) -> dict[str, str]:
        """Rare value -> the common value that it nearly is."""
        if not self.is_short() or self.counts is None:
            return {}
        found: dict[str, str] = {}
        ranked = self.counts.most_common()
        for value, count in reversed(ranked):
            for other, more in ranked:
                if count > more * _RARE:
                    break
                if _nearly(value, other):
                    found[value] = other
                    break
        return found

    def line(self) -> str:
        """The counts, rare near-twins and their likes first."""
        assert self.counts is not None
        twins = self.twins()
        first = [word for pair in twins.items() for word in reversed(pair)]
        order = list(dict.fromkeys(first + [value for value, _ in self.counts.most_common()]))
        shown = ", ".join(f"{quoted(value)} {self.counts[value]:,}" for value in order[:_SHOWN])
        more = f" and {len(order) - _SHOWN} more" if len(order) > _SHOWN else ""
        return f"{len(order)} different values: {shown}{more}"


def _nearly(one: str, two: str) -> bool:
    """One edit apart (two in longer texts), or alike but for case and blanks; the same digits."""
    if [c for c in one if c.isdigit()] != [c for c in two if c.isdigit()]:
        return False
    a, b = fold(one), fold(two)
    if a == b:
        return True
    least = min(len(a), len(b))
    return least >= 4 and abs(len(a) - len(b)) <= 2 and edits(a, b) <= (2 if least >= 9 else 1)
