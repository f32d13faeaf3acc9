"""The nearest valid name for one that is not known: what stands behind "did you mean".

In: a name as a person wrote it and the names allowed. Out: one of them, or words for a remedy.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable

_LIKE_ENOUGH = 0.6  # difflib's own default for "close"
_SHOWN = 16  # names listed in one line before the rest is counted


def _bare(name: str) -> str:
    """``EAN-13``, ``ean 13`` and ``ean13`` are one name to a person."""
    return "".join(ch for ch in name.casefold() if ch.isalnum())


def edits(a: str, b: str) -> int:
    """Insertions, deletions, changes and swaps of neighbours that lead from a to b.

    Optimal string alignment: no part is edited twice.
    """
    before: list[int] = []
    row = list(range(len(b) + 1))
    for i, ch in enumerate(a, 1):
        last, row, older = row, [i] + [0] * len(b), before
        for j, other in enumerate(b, 1):
            row[j] = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (ch != other))
            if i > 1 and j > 1 and ch == b[j - 2] and a[i - 2] == other:
                row[j] = min(row[j], older[j - 2] + 1)
        before = last
    return row[-1]


def nearest(name: str, allowed: Iterable[str]) -> str | None:
    """The allowed name that was most likely meant, or None. Of equals, the first."""
    found = _bare(name[:200])
    names = {other: _bare(other) for other in allowed}
    for other, bare in names.items():
        if bare == found and found:
            return other
    ranks: dict[str, int] = {}
    matcher = difflib.SequenceMatcher(None, b=found)  # remembers what it learns of b
    for other, bare in names.items():
        # "qr code" for "qr", "min" for "min_size": a beginning in common counts for an edit.
        begins = min(len(found), len(bare)) > 1 and (
            found.startswith(bare) or bare.startswith(found)
        )
        matcher.set_seq1(bare)
        # The quick ones are upper bounds; thousands of slots may have to be compared.
        alike = (
            matcher.real_quick_ratio() >= _LIKE_ENOUGH
            and matcher.quick_ratio() >= _LIKE_ENOUGH
            and matcher.ratio() >= _LIKE_ENOUGH
        )
        short = 1 < len(bare) < 4 and edits(found, bare) == 1
        if alike or begins or short:
            ranks[other] = edits(found, bare) - begins
    return min(ranks, key=lambda other: ranks[other], default=None)


def listed(allowed: Iterable[str]) -> str:
    """``a, b, c``, cut where a line would be too long."""
    names = list(allowed)
    more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
    return ", ".join(names[:_SHOWN]) + more


def choose(name: str, allowed: Iterable[str], none: str = "") -> str:
    """The remedy for an unknown value: the nearest, then all. ``none`` if nothing is allowed."""
    names = list(allowed)
    if not names:
        return none
    near = nearest(name, names)
    guess = f"did you mean {near!r}? " if near is not None else ""
    return f"{guess}allowed: {listed(names)}"
