"""Rows that say again what an earlier row says, in every column that is used.

In: the texts of each row. Out: which rows repeat which. Keeps 12 bytes a row, and the places of
rows that repeat; where such rows are held, only texts that a reading before found more than once.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from operator import itemgetter
from typing import NamedTuple

from vardata.intake.checks.finding import Found

KIND = "repeated-row"
_SHOWN = 5  # rows named in one line
REMEDY = (
    "delete those that slipped in, or set repeated_row under [checks] (off, warning or hold) "
    "if they are meant"
)


class Repeat(NamedTuple):
    """A row and the first that says the same."""

    row: int
    first: int


class RowLook:
    """The rows of one reading. ``places`` are the columns that are compared."""

    def __init__(self, places: Sequence[int]) -> None:
        pick: Callable[[tuple[str, ...]], object] = itemgetter(*places)
        self._pick = pick
        self._hashes, self._rows = array("q"), array("L")
        self._firsts: dict[int, int] = {}
        self._known: frozenset[int] = frozenset()

    def begin(self) -> None:
        """A reading starts; what was settled stays."""
        self._hashes, self._rows = array("q"), array("L")
        self._firsts = {}

    def add(self, row: int, values: tuple[str, ...]) -> None:
        self._hashes.append(hash(self._pick(values)))
        self._rows.append(row)

    def settle(self) -> None:
        """All rows have been seen: which of them come more than once is known from here on."""
        self._known = frozenset(self._hashes[at] for at, _ in self._pairs())

    def check(self, row: int, values: tuple[str, ...]) -> Found | None:
        """Whether an earlier row said the same; after ``settle`` only."""
        said = hash(self._pick(values))
        if said not in self._known:
            return None
        first = self._firsts.setdefault(said, row)
        if first == row:
            return None
        return Found(KIND, f"the row says what row {first} says, in every column used", REMEDY)

    def repeats(self) -> list[Repeat]:
        """Every row that repeats an earlier one, in the order of the sheet."""
        return sorted(Repeat(self._rows[at], self._rows[first]) for at, first in self._pairs())

    def _pairs(self) -> list[tuple[int, int]]:
        """Positions of rows that repeat, each with that of its first."""
        import numpy as np

        if len(self._hashes) < 2:
            return []
        values = np.frombuffer(self._hashes, dtype=np.int64)
        order = np.argsort(values, kind="stable")
        ranked = values[order]
        pairs: list[tuple[int, int]] = []
        start = 0
        for at in (np.flatnonzero(ranked[1:] == ranked[:-1]) + 1).tolist():
            if at == 1 or ranked[at - 2] != ranked[at]:
                start = at - 1
            pairs.append((int(order[at]), int(order[start])))
        return pairs


def joined(repeats: Sequence[Repeat]) -> str:
    """Rows that repeat, as one line."""
    if len(repeats) == 1:
        row, first = repeats[0]
        return f"row {row} says what row {first} says, in every column used"
    shown = ", ".join(f"{row} (as {first})" for row, first in repeats[:_SHOWN])
    more = f" and {len(repeats) - _SHOWN:,} more" if len(repeats) > _SHOWN else ""
    return (
        f"{len(repeats):,} rows say what an earlier row says, in every column used: {shown}{more}"
    )
