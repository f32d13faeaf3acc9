"""One bed load, ready for writers: items in their places, and what they come to in operators.

In: dressed items with their places. Out: a frozen value; what is written once for the bed's file
is there for its picture. Decides nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from vardata.job.model import Layout
from vardata.marks import Item, Placement, Ref
from vardata.output.pdf.written import Written, written


@dataclass(frozen=True)
class PageContent:
    """One bed load: each item with its place. ``behind`` are the items of plates that are
    mirrored while others are not, ``ground`` what is printed on the bed itself, below the items
    and above them; ``turned``: items are as seen, while the bed is seen from behind."""

    placements: tuple[tuple[Placement, Item], ...]
    title: str
    behind: tuple[tuple[Placement, Item], ...] = ()
    ground: tuple[tuple[Ref, ...], tuple[Ref, ...]] = ((), ())
    turned: bool = False

    def at(
        self, placements: tuple[tuple[Placement, Item], ...], *, turned: bool = False
    ) -> PageContent:
        """The same with other items, or with the same ones in other places."""
        return replace(self, placements=placements, turned=turned)

    def written(self, layout: Layout) -> Written:
        """What the items come to, those behind left out."""
        size = (layout.width, layout.height)
        found = self._written.get(size)
        if found is None:
            found = self._written[size] = written(self.placements, *size)
        return found

    @cached_property
    def _written(self) -> dict[tuple[float, float], Written]:
        return {}
