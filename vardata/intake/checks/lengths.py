"""Texts much longer or shorter than the rest of their column.

In: how often each length occurs. Out: the lengths that are usual. The middle half of the
column (between its quartiles) sets the measure; the factors are from experience, no source.
"""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

_ENOUGH = 30  # values, or nothing is usual yet
_FEW = 0.02  # the share above which the unusual is usual
_ALMOST_ALL = 0.95
_ALWAYS = 3  # so many may be unusual in a short column, too


class Usual(NamedTuple):
    """Lengths from ``least`` to ``most`` are usual; ``fixed`` where almost all are the same."""

    least: int
    most: int
    fixed: bool = False


def usual(lengths: Counter[int]) -> Usual | None:
    """None where a column has too few values, or too many unusual ones."""
    total = lengths.total()
    if total < _ENOUGH:
        return None
    common, count = lengths.most_common(1)[0]
    if count >= total * _ALMOST_ALL:
        found = Usual(common, common, True)
    else:
        low, high = _quantile(lengths, total * 0.25), _quantile(lengths, total * 0.75)
        spread = max(high - low, 3)
        found = Usual(max(low // 4, 1), max(high + 4 * spread, 2 * high))
    odd = sum(n for length, n in lengths.items() if not found.least <= length <= found.most)
    limit = total * ((1 - _ALMOST_ALL) if found.fixed else _FEW)
    return found if 0 < odd <= max(limit, _ALWAYS) else None


def _quantile(lengths: Counter[int], at: float) -> int:
    seen = 0
    for length in sorted(lengths):
        seen += lengths[length]
        if seen >= at:
            return length
    return 0
