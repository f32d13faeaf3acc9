"""A stroked line as the area that its ink covers.

In: commands, a width, and caps and joins as ISO 32000-1, 8.4.3.3 to 8.4.3.5 number them.
Out: a shapely area in the same mm. Used for white under strokes, and to print strokes whose
caps or joins are not round as fills.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from vardata.dress import geometry
from vardata.dress.geometry import FLAT, Points
from vardata.marks import Commands

ROUND = 1
SMOOTH = 0.15  # rad: flattened curves bend less than this at a point; there any join is the same


def segments(radius: float, tolerance: float = FLAT) -> int:
    """How many chords a quarter circle needs to stay within ``tolerance`` of it."""
    if radius <= tolerance:
        return 2
    return max(2, math.ceil(math.pi / 4 / math.acos(1 - tolerance / radius)))


def covered(
    commands: Commands, width: float, cap: int = ROUND, join: int = ROUND, miter: float = 10.0
) -> BaseGeometry:
    """The area of a stroke ``width`` mm wide along every sub-path."""
    half = width / 2
    return geometry.union(
        _line(points, closed, half, cap, join, miter)
        for points, closed in geometry.flatten(commands)
    )


def _line(
    points: Points, closed: bool, half: float, cap: int, join: int, miter: float
) -> BaseGeometry:
    quarter = segments(half)
    points = _distinct(points, closed)
    if len(points) == 1:
        # ISO 32000-1, 8.5.3.2: a closed or zero-length line shows only its round caps.
        return (
            shapely.points(points[0]).buffer(half, quad_segs=quarter)
            if cap == 1
            else (geometry.NOTHING)
        )
    if cap == ROUND and join == ROUND:
        ring = np.vstack([points, points[:1]]) if closed else points
        return shapely.linestrings(ring).buffer(half, quad_segs=quarter)
    ends = np.vstack([points, points[:1]]) if closed else points
    pieces = [_plank(a, b, half) for a, b in itertools.pairwise(ends)]
    corners = zip(ends, ends[1:], ends[2:])
    pieces += [_corner(a, b, c, half, join, miter, quarter) for a, b, c in corners]
    if closed:
        pieces.append(_corner(points[-1], points[0], points[1], half, join, miter, quarter))
    elif cap == 1:
        pieces += [shapely.points(p).buffer(half, quad_segs=quarter) for p in (ends[0], ends[-1])]
    elif cap == 2:
        pieces += [_square(ends[1], ends[0], half), _square(ends[-2], ends[-1], half)]
    return geometry.union(pieces)


def _distinct(points: Points, closed: bool) -> Points:
    """Without points that repeat the one before (or, when closed, the first)."""
    keep = np.ones(len(points), dtype=bool)
    keep[1:] = np.hypot(*(points[1:] - points[:-1]).T) > 1e-9
    points = points[keep]
    if closed and len(points) > 1 and math.dist(points[0], points[-1]) <= 1e-9:
        points = points[:-1]
    return points


def _normal(a: Points, b: Points) -> Points:
    """The unit normal on the left of a to b."""
    dx, dy = b - a
    length = math.hypot(dx, dy)
    return np.array([-dy / length, dx / length])


def _plank(a: Points, b: Points, half: float) -> BaseGeometry:
    side = _normal(a, b) * half
    return Polygon([a - side, b - side, b + side, a + side])


def _square(a: Points, b: Points, half: float) -> BaseGeometry:
    """The projecting square cap at b of the line from a."""
    side = _normal(a, b) * half
    ahead = np.array([side[1], -side[0]])
    return Polygon([b - side, b - side + ahead, b + side + ahead, b + side])


def _corner(
    a: Points, b: Points, c: Points, half: float, join: int, miter: float, quarter: int
) -> BaseGeometry:
    """What a join adds at b between the planks a-b and b-c."""
    first, second = _normal(a, b), _normal(b, c)
    cross = float(first[0] * second[1] - first[1] * second[0])
    bend = math.atan2(cross, float(first @ second))
    smooth = abs(bend) < SMOOTH  # no disc there: near a butt cap it would stick out
    if join == ROUND and not smooth:
        return shapely.points(b).buffer(half, quad_segs=quarter)
    outer = -1.0 if bend > 0 else 1.0
    p, q = b + first * half * outer, b + second * half * outer
    # ISO 32000-1, 8.4.3.5: miter length over line width is 1 / sin(phi / 2), where phi is
    # the angle between the segments, which is pi less the bend.
    ratio = 1 / max(math.cos(bend / 2), 1e-9)
    if smooth or (join == 0 and ratio <= miter):
        way = first + second
        tip = b + way / float(np.hypot(*way)) * half * ratio * outer
        return Polygon([b, p, tip, q]).buffer(0)
    return Polygon([b, p, q]).buffer(0)
