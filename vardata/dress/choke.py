"""The choke: white drawn in from the edges that colour covers.

In: U, the union of coloured ink that wants white, and S, white that stands alone (grounds,
white ink), both as areas in mm, and the choke c. Out: the area of white, S u choke(U u S),
and by how much the choke had to be reduced in thin places. S itself is never choked.

A place is thin where a disc of radius c does not fit, or only just: white narrower than
``HAIR`` prints as nothing. A convex corner is not a thin place:
choked by c, a corner of angle t ends c / sin(t / 2) from its tip, and that is where the
corner of a choked square belongs. So colour counts as lost only where it lies farther than
``REACH`` x c from all white, and there only as more than a tip of ``TIP`` x c^2. Together
they let corners of 38 degrees and more pass (plain letters have them: Z, K, &); everything
sharper or longer gets its white with a smaller choke.
"""

from __future__ import annotations

from typing import NamedTuple

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from vardata.dress import geometry
from vardata.dress.geometry import NOTHING, Bounds
from vardata.dress.stroke import segments

REACH = 2.5
TIP = 0.1
HAIR = 0.02  # mm: half a dot at 600 dpi; the least white that a printer may be trusted with
STEPS = (0.5, 0.25, 0.0)  # what is left of the choke in thin places, one after the other
SLACK = 1.05  # of c: flattened discs end a little short


class Choked(NamedTuple):
    """White, the part of it that a smaller choke has saved, and the smallest choke used (mm;
    the wanted one if it was never reduced)."""

    white: BaseGeometry
    saved: BaseGeometry
    least: float


def erode(shape: BaseGeometry, by: float, holes: float | None = None) -> BaseGeometry:
    """The shape less everything nearer than ``by`` mm to its edge (a disc as the tool), or
    nearer than ``holes`` mm to a hole that it encloses, if that is another length."""
    if holes is not None and holes != by:
        parts = getattr(shape, "geoms", [shape])
        return geometry.union(_eroded(part, by, holes) for part in parts)
    if by <= 0 or shape.is_empty:
        return shape
    return geometry.areas(shape.buffer(-by, quad_segs=segments(by)))


def _eroded(part: BaseGeometry, by: float, holes: float) -> BaseGeometry:
    """One polygon, its outer edge moved by one length and those of its holes by another."""
    if part.is_empty:
        return part
    openings = [grow(Polygon(ring), holes) for ring in part.interiors]
    left = erode(Polygon(part.exterior), by).difference(geometry.union(openings))
    return geometry.areas(left)


def grow(shape: BaseGeometry, by: float) -> BaseGeometry:
    """The shape and everything nearer than ``by`` mm to it."""
    if by <= 0 or shape.is_empty:
        return shape
    return shape.buffer(by, quad_segs=segments(by))


def closed(shape: BaseGeometry) -> BaseGeometry:
    """The shape with slits filled that are narrower than a dot at 600 dpi, as ink fills them, and
    what was cut apart and belongs together may have some of no width: a choke would open them."""
    return erode(grow(shape, HAIR), HAIR)


def offset(shape: BaseGeometry, by: float) -> BaseGeometry:
    """An outline moved outwards (bleed) or, if ``by`` is negative, inwards (inset).

    Outwards, corners stay corners: the bleed of a rectangle is a rectangle.
    """
    if by > 0:
        return geometry.areas(
            shape.buffer(by, join_style="mitre", mitre_limit=2.0, quad_segs=segments(by))
        )
    return erode(shape, -by)


def lost(ink: BaseGeometry, white: BaseGeometry, choke: float) -> BaseGeometry:
    """Coloured ink that is left too far from any white; a whole dot is never too small."""
    # What is about 2.5 c may be 2.45.
    return lacking(ink, white.simplify(choke / 20), choke, geometry.CRUMB)


def lacking(ink: BaseGeometry, white: BaseGeometry, choke: float, crumb: float) -> BaseGeometry:
    """The same, in any unit; parts smaller than ``crumb`` are no ink."""
    if white.is_empty:
        return ink
    far = REACH * choke
    reach = white.buffer(far, quad_segs=segments(far, choke / 20))
    if reach.covers(ink):  # nearly always, and much quicker to tell than what is left
        return NOTHING
    left = geometry.areas(ink.difference(reach))
    tip = TIP * choke * choke
    parts = getattr(left, "geoms", [left])
    kept = [
        part
        for part in parts
        if part.area >= tip or (part.area >= crumb and part.distance(reach) > 0)
    ]
    return geometry.union(kept)


def choked(
    ink: BaseGeometry,
    alone: BaseGeometry,
    choke: float,
    margin: float = HAIR / 2,
    steps: tuple[float, ...] = STEPS,
    holes: float | None = None,
) -> Choked:
    """White for coloured ``ink`` and standing-alone white ``alone``, choked by ``choke``, round
    the holes in it by ``holes``. A negative choke is a spread.

    White narrower than twice the ``margin`` is not trusted; ``steps`` are tried where it is
    missing. A step of 1 saves it with the full choke, as an area of its own.
    """
    both = geometry.union((ink, alone))
    if choke < 0:
        return Choked(geometry.union((grow(ink, -choke), alone)), NOTHING, choke)
    inner = choke if holes is None else holes
    white = geometry.union((erode(both, choke, inner), alone))
    saved, least = NOTHING, choke
    most = max(choke, inner)
    if most <= 0:
        return Choked(white, NOTHING, 0.0)
    wide = most + margin
    seen = geometry.union((erode(both, choke + margin, inner + margin), alone))
    for step in steps:
        bare = lost(ink, seen, wide)
        if bare.is_empty:
            break
        # Where exactly a saved part ends is of no matter as long as it meets the other white.
        near = grow(_thin(ink, seen, bare, wide), SLACK * SLACK * most + 2 * margin)
        near = near.simplify(margin / 2)
        level = (choke or inner) * step
        part = _within(erode(both, choke * step, inner * step), near)
        if part.is_empty:
            continue
        least = min(least, level)
        white, saved = geometry.union((white, part)), geometry.union((saved, part))
        # An area is trusted down to a hair; a plain fill always.
        fine = HAIR / 2
        sound = part if level == 0 else _within(
            erode(both, choke * step + fine, inner * step + fine), near
        )  # fmt: skip
        seen = geometry.union((seen, sound))
    return Choked(white, saved, least)


def _thin(ink: BaseGeometry, white: BaseGeometry, bare: BaseGeometry, choke: float) -> BaseGeometry:
    """The thin places that hold lost ink: what the discs that fit do not cover."""
    if white.is_empty:
        return ink
    residue = geometry.areas(ink.difference(grow(white, SLACK * choke)))
    parts = getattr(residue, "geoms", [residue])
    return geometry.union([part for part in parts if part.intersects(bare)] + [bare])


def _within(shape: BaseGeometry, zone: BaseGeometry) -> BaseGeometry:
    return geometry.areas(shape.intersection(zone)) if not shape.is_empty else NOTHING


def overlap(first: Bounds, second: Bounds, gap: float = 0.0) -> bool:
    """Whether two bounding boxes come nearer than ``gap`` to each other."""
    return (
        first[0] < second[2] + gap
        and second[0] < first[2] + gap
        and first[1] < second[3] + gap
        and second[1] < first[3] + gap
    )
