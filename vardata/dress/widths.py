"""How thin a shape is where it is thinnest, how narrow its counters are, how near its parts.

In: areas. Out: widths in the units of the area. An open counter is found as ink finds it: the shape
is grown by half a width and drawn in again (a closing); where that shuts a mouth, or fills a
channel of even width, the way in was as wide as that. A notch that tapers, as in v, is no counter.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import combinations

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry

_TRIAL = 0.1  # mm: shapes are tried at the scale at which half their thinnest part is this
_EXACT = 0.005  # of a width: how near it is found
_ROUGH = 1.0  # of the unit: 1/1000 em of a glyph
_STRIDE = 1.12  # from one closing to the next wider one, until one shuts something
_LEAST = 0.01  # of the height: narrower counters count as this narrow
_DEEP = 0.25  # of the height: so deep a channel is a counter; what is shallower is a corner
_EVEN = 0.85  # of a disc: so large a one lies in what is filled of a channel, not of a notch
_HAIR = 0.02  # of the height: what is finer is a hairline or a tip
_LONG = 6.0  # squares of half its width: so large a stretch is more than the end of a stroke
_CRUMB = 1e-4  # squares of half its width: what is left of a part that is gone
_ROOM = 0.05  # of the height: so wide is a counter that is shut in
_SEGMENTS = 8  # of a quarter of the disc; its chords leave the arc by half a percent


def thinnest(shape: BaseGeometry) -> float:
    """The width of the thinnest part of a shape, tips aside; 0 for nothing.

    A part is as wide as twice the largest erosion that leaves white near all of it; or as twice
    the smallest that takes an even stretch of it away, which tells a hairline from the sharp end
    of a stroke.
    """
    if shape.is_empty:
        return 0.0
    found, least = _everywhere(shape), _HAIR * (shape.bounds[3] - shape.bounds[1]) / 2
    plain = shape.simplify(min(_ROUGH, least / 4))
    if found > 2 * least:  # neither a hairline nor a tip
        return min(found, _first(plain, _breaks, least / 8, found / 2))
    return _first(plain, _breaks, least / 8)


def _everywhere(shape: BaseGeometry) -> float:
    """Twice the largest erosion that leaves white near all of a shape."""
    x0, y0, x1, y1 = shape.bounds
    low, high = 0.0, min(x1 - x0, y1 - y0) / 2
    while high - low > _EXACT * high:
        middle = (low + high) / 2
        scale = _TRIAL / middle
        trial = geometry.placed(shape, 0.0, 0.0, 0.0, scale, scale)
        bare = chokes.lost(trial, chokes.erode(trial, _TRIAL), _TRIAL)
        low, high = (middle, high) if bare.is_empty else (low, middle)
    return 2 * low


def narrowest(shape: BaseGeometry) -> float:
    """The width of the narrowest counter of a shape: of the largest disc in what it encloses, of
    the mouth of an open counter (c, e), of a channel (n, E); infinity without any."""
    parts = _polygons(shape)
    inside = [
        _widest(geometry.areas(Polygon(ring).difference(shape)))
        for part in parts for ring in part.interiors
    ]  # fmt: skip
    solid = geometry.union(Polygon(part.exterior) for part in parts).simplify(_ROUGH)
    return min([*map(_mouth, _polygons(solid)), *inside], default=math.inf)


def apart(shape: BaseGeometry) -> float:
    """The least distance between parts of a shape, as of an accent and its letter; infinity for
    one of a single part."""
    pairs = combinations(_polygons(shape), 2)
    return min((float(one.distance(other)) for one, other in pairs), default=math.inf)


def _widest(shape: BaseGeometry) -> float:
    """The width of the largest disc in a shape."""
    x0, y0, x1, y1 = shape.bounds
    low, high = 0.0, min(x1 - x0, y1 - y0) / 2
    while high - low > _EXACT * high:
        middle = (low + high) / 2
        gone = shape.buffer(-middle, quad_segs=_SEGMENTS).is_empty
        low, high = (low, middle) if gone else (middle, high)
    return float(low + high)


def _mouth(solid: BaseGeometry) -> float:
    """The narrowest way into a counter of a shape without holes."""
    if solid.is_empty or solid.convex_hull.area - solid.area < 1e-3 * solid.area:
        return math.inf
    return _first(solid, _shuts, _LEAST * (solid.bounds[3] - solid.bounds[1]) / 2)


def _first(
    shape: BaseGeometry, holds: Callable[[BaseGeometry, float, float], bool], least: float,
    most: float = math.inf,
) -> float:
    """Twice the first radius from ``least`` on of which something holds; infinity for none up to
    ``most``, or where even ``least`` is as much as the shape."""
    x0, y0, x1, y1 = shape.bounds
    height = y1 - y0
    low, high = 0.0, least
    while not holds(shape, high, height):
        low, high = high, high * _STRIDE
        if high > min(most, max(x1 - x0, height)):
            return math.inf
    if low == 0.0:
        return 2 * least
    while high - low > _EXACT * high:
        middle = (low + high) / 2
        low, high = (low, middle) if holds(shape, middle, height) else (middle, high)
    return float(2 * high)


def _breaks(shape: BaseGeometry, by: float, height: float) -> bool:
    """Whether an erosion takes a part of a shape away, or a stretch of even width."""
    left = [part for part in _polygons(shape.buffer(-by, quad_segs=_SEGMENTS))
            if part.area > _CRUMB * by * by]  # fmt: skip
    if len(left) < len(_polygons(shape)):
        return True
    back = geometry.union(left).buffer(by * 1.02, quad_segs=_SEGMENTS)
    return any(
        part.area > _LONG * by * by and not part.buffer(-_EVEN * by).is_empty
        for part in _polygons(geometry.areas(shape.difference(back)))
    )


def _shuts(solid: BaseGeometry, by: float, height: float) -> bool:
    """Whether a disc of this radius no longer comes into a counter."""
    grown = solid.buffer(by, quad_segs=_SEGMENTS)
    rings = (ring for part in _polygons(grown) for ring in part.interiors)
    if any(Polygon(ring).area > (_ROOM * height) ** 2 for ring in rings):
        return True
    filled = geometry.areas(grown.buffer(-by, quad_segs=_SEGMENTS).difference(solid))
    return any(
        not pocket.buffer(-_EVEN * by, quad_segs=_SEGMENTS).is_empty
        and _deep(pocket, solid, height)
        for pocket in _polygons(filled)
    )


def _deep(pocket: BaseGeometry, solid: BaseGeometry, height: float) -> bool:
    """Whether what a closing fills lies deep behind its mouth."""
    mouth = pocket.boundary.difference(solid.buffer(height / 1000, quad_segs=2))
    reach = mouth.buffer(_DEEP * height, quad_segs=_SEGMENTS)
    return not pocket.difference(reach).is_empty


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    return [part for part in getattr(shape, "geoms", [shape]) if isinstance(part, Polygon)]
