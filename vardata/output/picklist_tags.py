"""Names of the slots on a map, beside the pictures or, where there are none, in the outlines.

In: the slots' places in mm and the map's box. Out: PDF operators. A name never lies on a
picture where there is room beside it: above the slot, else left of it, else on a small white
tag at the corner, where a round item leaves room and a square one loses least.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from vardata.output.picklist_places import MapBox, Place
from vardata.output.picklist_text import Pen
from vardata.output.picklist_values import RunPaper

_CAP = 0.72  # height of a capital in sizes; Noto Sans has 0.714
_TAG_LEAST, _TAG_MOST = 4.0, 8.0  # points, beside a picture
_NAME_LEAST, _NAME_MOST = 4.0, 16.0  # points, inside an outline
_CORNER = 4.5  # points, on a white tag
_LIFT = 1.4  # points between an outline and the name above it
_AIR = 0.8  # points around a name on its tag, or beside an outline


class Gaps(NamedTuple):
    """Free mm between slots, at the closest: above one, and beside one."""

    above: float
    beside: float


def draw_tags(
    bold: Pen, run: RunPaper, box: MapBox, filled: Sequence[Place], with_look: bool
) -> str:
    """The names of the filled slots."""
    if not filled:
        return ""
    widest = max((place.name for place in filled), key=lambda name: bold.width(name, 1.0))
    if not with_look:
        return _inside(bold, box, filled, widest)
    gaps = _gaps(tuple((p.x, p.y, p.half_w, p.half_h) for p in filled), run.bed_mm[1])
    above, beside = gaps.above * box.scale, gaps.beside * box.scale
    if above >= _TAG_LEAST * _CAP + _LIFT + 0.6:
        pitch = 2 * min(place.half_w for place in filled) * box.scale + beside
        most = min(_TAG_MOST, (above - _LIFT - 0.6) / _CAP)
        size = bold.fit_size(widest, pitch * 0.95, most, _TAG_LEAST)
        return "\n".join(["0 g", *(_above(bold, box, place, size) for place in filled)])
    if beside >= bold.width(widest, _TAG_LEAST) + 2 * _AIR:
        size = bold.fit_size(widest, beside - 2 * _AIR, _TAG_MOST, _TAG_LEAST)
        return "\n".join(["0 g", *(_left(bold, box, place, size) for place in filled)])
    return "\n".join([_corner(bold, box, place) for place in filled])


@lru_cache(maxsize=8)
def _gaps(places: tuple[tuple[float, float, float, float], ...], bed_height: float) -> Gaps:
    """The smallest free room above and beside any slot; (x, y, half width, half height)."""
    above = min(bed_height - y - h for _, y, _, h in places)
    beside = min(x - w for x, _, w, _ in places)
    for i, (x, y, w, h) in enumerate(places):
        for other_x, other_y, other_w, other_h in places[i + 1 :]:
            dx = abs(x - other_x) - w - other_w
            dy = abs(y - other_y) - h - other_h
            if dx < 0.0:
                above = min(above, dy)
            if dy < 0.0:
                beside = min(beside, dx)
    return Gaps(max(above, 0.0), max(beside, 0.0))


def _upper_left(box: MapBox, place: Place) -> tuple[float, float]:
    return (
        box.x + (place.x - place.half_w) * box.scale,
        box.y + (place.y + place.half_h) * box.scale,
    )


def _inside(bold: Pen, box: MapBox, filled: Sequence[Place], widest: str) -> str:
    room = min(place.half_w for place in filled) * 1.7 * box.scale
    tall = min(place.half_h for place in filled) * box.scale
    size = bold.fit_size(widest, room, min(_NAME_MOST, tall), _NAME_LEAST)
    out = ["0 g"]
    for place in filled:
        x, y = box.x + place.x * box.scale, box.y + place.y * box.scale
        out.append(bold.at_middle(x, y - size * _CAP / 2, place.name, size))
    return "\n".join(out)


def _above(bold: Pen, box: MapBox, place: Place, size: float) -> str:
    x, y = _upper_left(box, place)
    return bold.at(x, y + _LIFT, place.name, size)


def _left(bold: Pen, box: MapBox, place: Place, size: float) -> str:
    x, y = _upper_left(box, place)
    return bold.at_right(x - _AIR, y - size * _CAP, place.name, size)


def _corner(bold: Pen, box: MapBox, place: Place) -> str:
    x, y = _upper_left(box, place)
    width, height = bold.width(place.name, _CORNER) + 2 * _AIR, _CORNER * _CAP + 2 * _AIR
    return f"1 g {x:.2f} {y - height:.2f} {width:.2f} {height:.2f} re f 0 g " + bold.at(
        x + _AIR, y - height + _AIR, place.name, _CORNER
    )
