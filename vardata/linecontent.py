"""What a line of an order prints, as digests: enough to tell that it has changed, and where.

In: the values of a row. Out: its content, a digest for each column that is printed, and the
quantity. The ledger keeps contents; the values themselves it never sees.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import TYPE_CHECKING

from vardata.intake.quantity import parse_quantity

if TYPE_CHECKING:
    from vardata.intake import Intake

_DIGEST = 6  # bytes for each column: two texts share them once in 281,474,976,710,656


class Contents:
    """Contents of one sheet's rows. ``columns`` are their safe names, in the order of digests."""

    def __init__(self, intake: Intake, printed: Sequence[str], quantity_max: int) -> None:
        """``printed`` are the columns that templates use."""
        plan = intake.plan
        positions = {name: place for place, name in enumerate(intake.names)}
        places = {positions[name] for name in printed if name in positions}
        places |= {place for place in (plan.blank, plan.product) if place is not None}
        self._places = sorted(places, key=lambda place: intake.names[place])
        self._label = plan.label
        self._at, self._most = plan.quantity, quantity_max
        self.columns = tuple(intake.names[place] for place in self._places)

    def quantity(self, values: tuple[str, ...]) -> int:
        """The pieces that a row asks for; 0 for none, or where it cannot be read."""
        if self._at is None:
            return 1
        found = parse_quantity(" ".join(values[self._at].split()), self._most)
        return found if isinstance(found, int) else 0

    def of(self, values: tuple[str, ...]) -> bytes:
        """A digest of each value that is printed, in the order of ``columns``."""
        return b"".join([
            hashlib.sha256(values[place].encode("utf-8", "surrogatepass")).digest()[:_DIGEST]
            for place in self._places
        ])

    def changed(self, content: bytes, before: bytes, then: tuple[str, ...]) -> tuple[str, ...]:
        """The headings of columns in which two contents differ; ``then`` are the columns of the
        earlier one. A column that only one of them knows does not count."""
        if content == before and then == self.columns:
            return ()
        old = {name: before[i * _DIGEST : (i + 1) * _DIGEST] for i, name in enumerate(then)}
        found = [
            self._label(place)
            for i, (name, place) in enumerate(zip(self.columns, self._places))
            if name in old and old[name] != content[i * _DIGEST : (i + 1) * _DIGEST]
        ]
        if not found and not old.keys() & set(self.columns):
            found = [self._label(place) for place in self._places]
        return tuple(found)
