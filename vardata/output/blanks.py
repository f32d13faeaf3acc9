"""How many blanks of each kind a run takes, bed after bed.

In: the labels of the pieces of each bed, in the order of the beds. Out: totals, and runs of
beds that take the same. What is kept grows with the number of changes only, and is given up
where that passes any use to a reader.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from vardata.output.picklist_values import BlankUse

_MOST = 200  # changes; more than a person reads


class BlankTally:
    """Counts blanks. Beds come in order, each once."""

    def __init__(self) -> None:
        self._totals: Counter[str] = Counter()
        self._uses: list[BlankUse] = []

    def add(self, bed: int, labels: Iterable[str]) -> None:
        """Counts one bed's pieces."""
        pieces = Counter(labels)
        self._totals.update(pieces)
        told = tuple(sorted(pieces.items()))
        if self._uses and self._uses[-1].pieces == told and self._uses[-1].last == bed - 1:
            self._uses[-1] = self._uses[-1]._replace(last=bed)
        elif len(self._uses) <= _MOST:
            self._uses.append(BlankUse(bed, bed, told))

    @property
    def totals(self) -> tuple[tuple[str, int], ...]:
        """(label, pieces), the most first."""
        return tuple(sorted(self._totals.items(), key=lambda item: (-item[1], item[0])))

    @property
    def uses(self) -> tuple[BlankUse, ...]:
        """Runs of beds that take the same; more than a page holds where it changes all the time."""
        return tuple(self._uses)
