"""Where things meet: the white that separate chokes miss there.

In: the static areas of a white plate and the variable things of a record. Out: seams, each
within a small upright zone round the place of meeting.

Things that do not touch may be choked one by one: a disc that lies in their union is
connected, so it lies in one of them. Where two do meet, only points within the choke of both
their edges can differ from their separate whites, so all else is left alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Literal, NamedTuple, TypeAlias

import numpy as np
import shapely
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry
from vardata.dress.geometry import NOTHING, Bounds
from vardata.dress.glyphs import grown
from vardata.marks import Commands

_FEW = 3
TOUCH = 0.01  # mm: things nearer than this, a quarter of a 600 dpi dot, meet on the bed
# Coloured ink that wants white under it; white that stands alone.
Role: TypeAlias = Literal["under", "alone"]


class Thing(NamedTuple):
    """One variable thing of a record as a white plate sees it, in item mm.

    ``area`` gives its ink, or (given bounds) that part of it which lies within them.
    ``boxes`` are upright rectangles that together hold it, one for each glyph of a text.
    """

    role: Role
    bounds: Bounds
    area: Callable[[Bounds | None], BaseGeometry]
    boxes: Callable[[], Iterable[Bounds]]
    least: float  # the smallest choke it was given alone
    density: float = 1.0  # of the white under it, as a tint


class Zone(NamedTuple):
    """A place where things meet, and the choke of the seam there."""

    bounds: Bounds
    choke: float


class Ground(NamedTuple):
    """Static ink and white of a plate, prepared for many questions."""

    area: BaseGeometry
    edge: BaseGeometry
    box: Bounds | None

    @classmethod
    def of(cls, area: BaseGeometry) -> Ground:
        """Prepares an area."""
        edge = area.boundary
        shapely.prepare(area)
        shapely.prepare(edge)
        return cls(area, edge, None if area.is_empty else area.bounds)

    def near(self, bounds: Bounds, by: float = TOUCH) -> bool:
        """Whether any of it may be near; asked of its bounding box."""
        return self.box is not None and chokes.overlap(bounds, self.box, by)

    def covers(self, bounds: Bounds) -> bool:
        """Whether it covers a rectangle."""
        return self.near(bounds) and bool(self.area.covers(geometry.rectangle(bounds)))

    def clipped(self, bounds: Bounds) -> BaseGeometry:
        """The part of it within a rectangle."""
        if not self.near(bounds):
            return NOTHING
        return geometry.clipped(self.area, bounds)


def with_static(thing: Thing, static: Ground, choke: float) -> list[Zone]:
    """Where a thing meets static ink: only parts near its edge are looked at."""
    reach = 2 * choke + TOUCH
    if not static.near(thing.bounds, reach):
        return []
    if not static.edge.dwithin(geometry.rectangle(thing.bounds), reach):
        return []
    boxes = [box for box in thing.boxes() if static.near(box, reach)]
    drawn = shapely.box(*np.array(boxes).reshape(-1, 4).T)
    across = [box for box, near in zip(boxes, shapely.dwithin(static.edge, drawn, reach)) if near]
    if not across:
        return []
    around = _hull(across)
    near = static.clipped(grown(around, reach))
    if near.is_empty:
        return []
    found = _meetings(thing.area(grown(near.bounds, reach)), near, choke)
    kept = [z for z in found if static.edge.dwithin(geometry.rectangle(z.bounds), choke)]
    return merged(kept)


def with_other(thing: Thing, other: Thing, choke: float) -> list[Zone]:
    """Where two variable things meet; strokes of both run through the other's ink."""
    if not chokes.overlap(thing.bounds, other.bounds, TOUCH):
        return []
    x0, y0 = max(thing.bounds[0], other.bounds[0]), max(thing.bounds[1], other.bounds[1])
    x1, y1 = min(thing.bounds[2], other.bounds[2]), min(thing.bounds[3], other.bounds[3])
    shared = grown((min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)), TOUCH)
    met = _meetings(thing.area(shared), other.area(shared), choke)
    least = min(thing.least, other.least)
    return [zone._replace(choke=least) for zone in met]


def _meetings(first: BaseGeometry, second: BaseGeometry, choke: float) -> list[Zone]:
    """Boxes, grown by the choke, round the parts that two areas share or touch in."""
    if first.is_empty or second.is_empty or not first.dwithin(second, TOUCH):
        return []
    shared = first.intersection(second)
    if shared.is_empty or shared.area == 0:
        shared = chokes.grow(first, TOUCH).intersection(chokes.grow(second, TOUCH))
    parts = shapely.get_parts(shared)
    return [Zone(grown(part.bounds, choke + 2 * TOUCH), choke) for part in parts]


def zones_of(areas: Sequence[BaseGeometry], choke: float, least: float) -> list[Zone]:
    """Where any two of some areas meet."""
    zones = [
        zone._replace(choke=least)
        for i, one in enumerate(areas)
        for other in areas[:i]
        for zone in _meetings(one, other, choke)
    ]
    return merged(zones)


def merged(zones: Iterable[Zone]) -> list[Zone]:
    """Zones that overlap taken together, with the smaller choke of both."""
    apart: list[Zone] = []
    for zone in zones:
        i = 0
        while i < len(apart):
            if chokes.overlap(zone.bounds, apart[i].bounds):
                other = apart.pop(i)
                bounds = _hull([zone.bounds, other.bounds])
                zone = Zone(bounds, min(zone.choke, other.choke))
                i = 0
            else:
                i += 1
        apart.append(zone)
    return apart


def _hull(boxes: Sequence[Bounds]) -> Bounds:
    """The box round boxes."""
    x0, y0, x1, y1 = zip(*boxes)
    return (min(x0), min(y0), max(x1), max(y1))


def seam(ink: BaseGeometry, zones: Sequence[Zone]) -> Commands:
    """The white of all that meets, within zones that lie apart; empty if there is none."""
    parts = []
    for choke in sorted({zone.choke for zone in zones}):
        boxes = [geometry.rectangle(zone.bounds) for zone in zones if zone.choke == choke]
        within = boxes[0] if len(boxes) == 1 else MultiPolygon(boxes)
        parts.append(geometry.areas(chokes.erode(ink, choke).intersection(within)))
    return geometry.commands(geometry.union(parts))


def seams(
    static: Ground, things: Sequence[Thing], zones: Sequence[Zone], choke: float
) -> list[Commands]:
    """The seams of a record: one by one if there are few, else all at once.

    A call into geometry costs more than a few more points in it.
    """
    groups = [[zone] for zone in zones] if len(zones) <= _FEW else [list(zones)]
    drawn = []
    for group in groups:
        around = grown(_hull([zone.bounds for zone in group]), 2 * choke)
        drawn.append(seam(ink_near(static, things, around), group))
    return [commands for commands in drawn if commands]


def ink_near(static: Ground, things: Iterable[Thing], bounds: Bounds) -> BaseGeometry:
    """All ink within bounds: static and of variable things."""
    parts = [static.clipped(bounds)]
    near = [t for t in things if chokes.overlap(t.bounds, bounds)]
    parts += [t.area(bounds) for t in near]
    joined = geometry.union(parts)
    # White that stands alone may be cut where colour begins.
    return chokes.closed(joined) if any(t.role == "alone" for t in near) else joined
