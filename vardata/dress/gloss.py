"""One gloss plate: its static gloss, and how it keeps off the codes of a record.

In: static pieces, the item's outline, the zones of a record's codes. Out: marks. A code and
its quiet zone stay free of gloss: what would lie over them is cut out as an area, and only
where the two do overlap.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import code, geometry
from vardata.dress.geometry import NOTHING, Bounds
from vardata.dress.ink import Cover, Ink, Plates
from vardata.dress.piece import Piece
from vardata.marks import Cmyk, Commands, Mark, Path, Ref

_KEPT = 5_000  # cut-out static gloss kept: one for each place of a code on the bed's dots


class GlossPlate:
    """A gloss plate. ``wants`` says whether a field or art with a wish for gloss gets it."""

    def __init__(
        self,
        index: int,
        cover: Cover,
        flood: tuple[Commands, BaseGeometry],
        pieces: Sequence[Piece],
        plates: Plates,
        between: Commands = (),
    ) -> None:
        self.index, self.cover = index, cover
        self._flood, self._plates = flood, plates
        # In an inverse, what asks for gloss is left free of it.
        self.tint = 0.0 if cover == "inverse" else 1.0
        own = [p for p in pieces if self.takes(p.gloss, p.ink, p.colour)]
        marks: list[Mark] = [p.mark(index, self._tint(p.ink)) for p in own]
        self.area = geometry.union(p.area for p in own)
        if cover in ("flood", "inverse"):
            marks.insert(0, Path(index, 1.0, flood[0]))
            free = NOTHING
            if cover == "inverse":
                free = geometry.union(p.area for p in own if p.ink.kind != "gloss")
                self.area = geometry.union(p.area for p in own if p.ink.kind == "gloss")
            self.area = geometry.union((self.area, flood[1].difference(free)))
        shapely.prepare(self.area)
        self.statics: dict[str, tuple[Mark, ...]] = {}
        self.over: tuple[Mark, ...] = ()  # painted after everything else
        if between:
            self.statics[f"p{index}-pattern"] = (Path(index, 0.0, between),)
            self.over = (Ref(index, f"p{index}-pattern"),)
        self._whole: tuple[Mark, ...] = ()
        if marks:
            key = f"p{index}-{cover}"
            self.statics[key] = tuple(marks)
            self._whole = (Ref(index, key),)
        self._only_flood = cover == "flood" and len(marks) == 1 and _even_odd_safe(*flood)
        self._cut: dict[tuple[Bounds, ...], tuple[Mark, ...]] = {}

    def takes(self, gloss: bool, ink: Ink, paint: Cmyk | None) -> bool:
        """Whether a thing that is no code is printed on this plate, or left free in an inverse;
        ``paint`` is its one colour, if it has one."""
        if ink.kind == "gloss":
            return self.index in ink.plates
        wished = self.cover == "art" or (self.cover in ("fields", "inverse") and gloss)
        return wished and self._plates.takes(self.index, paint, text=False)

    def _tint(self, ink: Ink) -> float:
        return 1.0 if ink.kind == "gloss" else self.tint

    @property
    def bare(self) -> bool:
        """Whether it has no static gloss."""
        return not self._whole and not self.over

    def static(self, zones: tuple[Bounds, ...]) -> tuple[Mark, ...]:
        """The static gloss, with the zones of a record's codes left out of it."""
        if not zones or not self._whole:
            return self._whole
        cut = self._cut.get(zones)
        if cut is None:
            if len(self._cut) >= _KEPT:
                self._cut.clear()
            cut = self._cut[zones] = self._cut_out(zones)
        return cut

    def _cut_out(self, zones: tuple[Bounds, ...]) -> tuple[Mark, ...]:
        boxes = [geometry.rectangle(zone) for zone in zones]
        touched = [(z, b) for z, b in zip(zones, boxes) if self.area.intersects(b)]
        if not touched:
            return self._whole
        apart = all(
            not chokes.overlap(a, b) for i, (a, _) in enumerate(touched) for b, _ in touched[:i]
        )
        if self._only_flood and apart and all(self.area.contains_properly(b) for _, b in touched):
            holes = tuple(c for z, _ in touched for c in code.rectangle(z))
            return (Path(self.index, 1.0, self._flood[0] + holes, even_odd=True),)
        left = self.area.difference(geometry.union(b for _, b in touched))
        drawn = geometry.commands(geometry.areas(left))
        return (Path(self.index, 1.0, drawn),) if drawn else ()

    def around(
        self, area: Callable[[], BaseGeometry], bounds: Bounds, zones: Sequence[Bounds]
    ) -> Mark | bool | None:
        """A variable thing with the zones cut out; True if it may be printed as it is, None
        if nothing is left of it."""
        near = [zone for zone in zones if chokes.overlap(bounds, zone)]
        if not near:
            return True
        left = area().difference(geometry.union(geometry.rectangle(z) for z in near))
        drawn = geometry.commands(geometry.areas(left)) if not left.is_empty else ()
        return Path(self.index, self.tint, drawn) if drawn else None


def _even_odd_safe(outline: Commands, area: BaseGeometry) -> bool:
    """Whether the outline fills the same area by the even-odd rule."""
    other = geometry.area(outline, even_odd=True)
    safe: bool = other.symmetric_difference(area).area < geometry.CRUMB
    return safe
