"""Drawing commands as areas, and areas as drawing commands.

In: ``Commands`` (lines and cubics, mm). Out: shapely areas flattened within ``FLAT`` mm, and
back again as closed rings, shells counter-clockwise and holes clockwise, so that the
non-zero rule fills them. Knows nothing of plates.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from vardata.marks import Command, Commands

FLAT = 0.002  # mm: how far a flattened curve may leave the true one; 1/20 dot at 600 dpi
DIGITS = 4  # decimals of mm in commands made from areas
CRUMB = 1e-5  # mm2: rings smaller than this (3 by 3 um) hold no ink worth a ring
NOTHING: BaseGeometry = Polygon()
MOST_CROSSINGS = 500_000  # of edges of one outline; drawings have a few hundred

Points: TypeAlias = NDArray[np.float64]
Bounds: TypeAlias = tuple[float, float, float, float]


class Tangled(ValueError):
    """An outline that crosses itself so often that its area cannot be worked out."""


def flatten(commands: Commands, tolerance: float = FLAT) -> list[tuple[Points, bool]]:
    """Each sub-path as its points and whether it is closed; curves within ``tolerance``."""
    paths: list[tuple[Points, bool]] = []
    pen: list[tuple[float, float]] = []

    def lift(closed: bool) -> None:
        if len(pen) > 1 or (pen and closed):
            paths.append((np.array(pen, dtype=np.float64), closed))

    for command in commands:
        kind = command[0]
        n = [float(v) for v in command[1:]]
        if kind == "m":
            lift(False)
            pen = [(n[0], n[1])]
        elif kind == "l":
            pen.append((n[0], n[1]))
        elif kind == "c":
            pen.extend(_cubic(pen[-1], n, tolerance))
        elif kind == "h":
            lift(True)
            pen = pen[:1]  # ISO 32000-1, 8.5.2.1: the current point is the sub-path's start
        elif kind == "re":
            lift(False)
            x, y, w, h = n
            pen = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
            lift(True)
            pen = pen[:1]
        else:
            raise ValueError(f"{kind!r} is no drawing command")
    lift(False)
    return paths


def _cubic(
    start: tuple[float, float], n: Sequence[float], tolerance: float
) -> list[tuple[float, float]]:
    """Points after ``start`` along a cubic.

    The second derivative is at most 6 L with L the larger second difference, and a chord
    over a parameter step h leaves the curve by at most h^2/8 of it.
    """
    (x0, y0), (x1, y1, x2, y2, x3, y3) = start, n
    bend = max(
        math.hypot(x0 - 2 * x1 + x2, y0 - 2 * y1 + y2),
        math.hypot(x1 - 2 * x2 + x3, y1 - 2 * y2 + y3),
    )
    steps = min(max(1, math.ceil(math.sqrt(0.75 * bend / tolerance))), 1000)
    points = []
    for i in range(1, steps):
        t = i / steps
        s = 1 - t
        a, b, c, d = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
        points.append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))
    points.append((x3, y3))
    return points


def area(commands: Commands, even_odd: bool = False, tolerance: float = FLAT) -> BaseGeometry:
    """What a fill of the commands paints, by the non-zero or the even-odd rule."""
    rings = [points for points, _ in flatten(commands, tolerance) if len(points) > 2]
    return filled(rings, even_odd)[0]


def filled(rings: Sequence[Points], even_odd: bool = False) -> tuple[BaseGeometry, bool]:
    """The painted area of closed rings, and whether its edge is just those rings.

    The second value is False where rings cross, or where one lies inside the paint of
    another and so bounds nothing: a stroke along such a ring would not follow the edge.
    """
    if not rings:
        return NOTHING, True
    polygons = [Polygon(ring) for ring in rings]
    if len(rings) == 1 and polygons[0].is_valid and polygons[0].area > 0:
        return polygons[0], True
    if not all(p.is_valid and p.area > 0 for p in polygons) or _cross(polygons):
        return _faces(rings, even_odd), False
    spin = np.array([1 if p.exterior.is_ccw else -1 for p in polygons])
    sizes = np.array([p.area for p in polygons])
    # Rings do not touch, so a ring lies inside every other that holds its first point.
    inner, outer = shapely.STRtree(polygons).query(
        shapely.points([ring[0] for ring in rings]), predicate="intersects"
    )
    inner, outer = inner[inner != outer], outer[inner != outer]
    outside = np.bincount(
        inner, weights=np.ones(len(outer)) if even_odd else spin[outer], minlength=len(rings)
    ).astype(int)
    inside = outside + (1 if even_odd else spin)
    around: dict[int, int] = {}  # ring -> the smallest ring that holds it
    for i, j in zip(inner.tolist(), outer.tolist()):
        if i not in around or sizes[j] < sizes[around[i]]:
            around[i] = j
    shells: dict[int, list[Points]] = {}
    owner: dict[int, int | None] = {}  # ring -> the shell whose paint lies inside it
    tidy = True
    for i in np.argsort(-sizes, kind="stable").tolist():
        above = owner[around[i]] if i in around else None
        was, now = _inked(int(outside[i]), even_odd), _inked(int(inside[i]), even_odd)
        owner[i] = above
        if now and not was:
            shells[i] = []
            owner[i] = i
        elif was and not now and above is not None:
            shells[above].append(rings[i])
            owner[i] = None
        else:
            tidy = False
    made = [Polygon(rings[i], holes) for i, holes in shells.items()]
    if not made:
        return NOTHING, tidy
    return (made[0] if len(made) == 1 else MultiPolygon(made)), tidy


def _inked(winding: int, even_odd: bool) -> bool:
    return winding % 2 == 1 if even_odd else winding != 0


def _cross(polygons: Sequence[BaseGeometry]) -> bool:
    """Whether the outlines of any two touch or cross each other."""
    if len(polygons) < 2:
        return False
    edges = [p.exterior for p in polygons]
    tree = shapely.STRtree(edges)
    left, right = tree.query(edges, predicate="intersects")
    return bool((left != right).any())


def _faces(rings: Sequence[Points], even_odd: bool) -> BaseGeometry:
    """The general case: cut the plane along all rings and keep the faces that are inked.

    Raises ``Tangled`` where that would take minutes.
    """
    if _crossings(rings) > MOST_CROSSINGS:
        raise Tangled("its outline crosses itself too many times")
    lines = [shapely.linestrings(np.vstack([ring, ring[:1]])) for ring in rings]
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all(lines)]))
    kept = []
    for face in faces:
        probe = face.representative_point()
        turns = sum(_winding(ring, probe.x, probe.y) for ring in rings)
        if _inked(turns, even_odd):
            kept.append(face)
    return shapely.union_all(kept) if kept else NOTHING


def _crossings(rings: Sequence[Points]) -> float:
    """About how many pairs of edges may cross, from the boxes of some of them."""
    ends = np.vstack([np.hstack([ring, np.roll(ring, -1, axis=0)]) for ring in rings])
    edges = shapely.linestrings(ends.reshape(-1, 2, 2))
    step = max(1, len(edges) // 500)
    _, met = shapely.STRtree(edges).query(edges[::step])
    return len(met) * step / 2


def _winding(ring: Points, x: float, y: float) -> int:
    """How often the ring runs counter-clockwise round the point (a crossing count)."""
    a, b = ring, np.roll(ring, -1, axis=0)
    up = (a[:, 1] <= y) & (b[:, 1] > y)
    down = (a[:, 1] > y) & (b[:, 1] <= y)
    side = (b[:, 0] - a[:, 0]) * (y - a[:, 1]) - (x - a[:, 0]) * (b[:, 1] - a[:, 1])
    return int((up & (side > 0)).sum() - (down & (side < 0)).sum())


def commands(shape: BaseGeometry, simplify: float = FLAT) -> Commands:
    """Closed rings of an area for a non-zero fill, rounded to 0.1 um.

    Points that a straight edge within ``simplify`` mm can do without are left out; crumbs
    and whatever is not an area (a line, a point) are dropped. Rings come in a fixed order.
    """
    if simplify:
        shape = shape.simplify(simplify)
    drawn: list[Commands] = []
    for part in shapely.get_parts(shape):
        if part.geom_type == "Polygon" and part.area >= CRUMB:
            drawn.append(_ring(part.exterior, True))
            drawn.extend(_ring(hole, False) for hole in part.interiors)
    return tuple(command for ring in sorted(drawn) for command in ring)


def _ring(ring: BaseGeometry, ccw: bool) -> Commands:
    points = shapely.get_coordinates(ring)[:-1].round(DIGITS) + 0.0  # + 0.0: no -0.0
    x, y = points.T
    doubled = float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    if abs(doubled) < 2 * CRUMB:
        return ()
    corners = list(map(tuple, points.tolist()))
    if (doubled > 0) != ccw:
        corners.reverse()
    start = corners.index(min(corners))  # the same ring always starts at the same corner
    corners = corners[start:] + corners[:start]
    corners = [c for c, before in zip(corners, corners[-1:] + corners[:-1]) if c != before]
    steps: list[Command] = [("m", *corners[0])]
    steps.extend(("l", *corner) for corner in corners[1:])
    steps.append(("h",))
    return tuple(steps)


def union(shapes: Iterable[BaseGeometry]) -> BaseGeometry:
    """All of them together; areas only."""
    kept = [shape for shape in shapes if not shape.is_empty]
    if not kept:
        return NOTHING
    return areas(shapely.union_all(kept)) if len(kept) > 1 else kept[0]


def areas(shape: BaseGeometry) -> BaseGeometry:
    """The parts of a shape that have an area: booleans may leave lines and points behind."""
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return shape
    parts = [p for p in shapely.get_parts(shape) if p.geom_type == "Polygon"]
    if not parts:
        return NOTHING
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def clipped(shape: BaseGeometry, within: Bounds | None) -> BaseGeometry:
    """The part of a shape within bounds; all of it if they are None."""
    if within is None or shape.is_empty:
        return shape
    part = shapely.clip_by_rect(shape, *within)  # fast, but it does not promise validity
    return areas(part if part.is_valid else shape.intersection(shapely.box(*within)))


def placed(
    shape: BaseGeometry,
    x: float,
    y: float,
    angle: float = 0.0,
    scale_x: float = 1.0,
    scale_y: float = 1.0,
) -> BaseGeometry:
    """A shape scaled, then turned ``angle`` degrees about its origin, then moved to (x, y)."""
    cos, sin = turn(angle)
    matrix = np.array([[scale_x * cos, -scale_y * sin], [scale_x * sin, scale_y * cos]])
    return shapely.transform(shape, lambda points: points @ matrix.T + (x, y))


def turn(angle: float) -> tuple[float, float]:
    """(cos, sin) of an angle in degrees, exact at quarter turns."""
    quarter = angle % 360.0
    exact = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
    return exact.get(quarter) or (math.cos(math.radians(angle)), math.sin(math.radians(angle)))


def rectangle(bounds: Bounds) -> BaseGeometry:
    """The area of (x0, y0, x1, y1)."""
    return shapely.box(*bounds)


def moved(commands_: Commands, x: float, y: float, angle: float = 0.0) -> Commands:
    """Commands turned about their origin and moved; a rectangle that is turned is drawn out."""
    cos, sin = turn(angle)
    out: list[Command] = []
    for command in commands_:
        if command[0] == "h":
            out.append(command)
        elif command[0] == "re" and sin == 0.0 and cos == 1.0:
            rx, ry, w, h = (float(v) for v in command[1:])
            out.append(("re", rx + x, ry + y, w, h))
        elif command[0] == "re":
            out.extend(moved(rectangle_path(*(float(v) for v in command[1:])), x, y, angle))
        else:
            n = [float(v) for v in command[1:]]
            flat: list[float] = []
            for px, py in zip(n[::2], n[1::2]):
                flat += (x + px * cos - py * sin, y + px * sin + py * cos)
            out.append((command[0], *flat))
    return tuple(out)


def rectangle_path(x: float, y: float, w: float, h: float) -> Commands:
    """A rectangle as lines, counter-clockwise."""
    return (("m", x, y), ("l", x + w, y), ("l", x + w, y + h), ("l", x, y + h), ("h",))


def tidied(area: BaseGeometry, holes: float, specks: float) -> BaseGeometry:
    """An area without holes up to ``holes`` and specks up to ``specks`` mm across, each taken as
    a circle of its area."""
    hole, speck = (math.pi * across * across / 4 for across in (holes, specks))
    kept = []
    for part in getattr(area, "geoms", [area]):
        if not isinstance(part, Polygon) or part.is_empty:
            continue
        inner = [ring for ring in part.interiors if Polygon(ring).area > hole]
        whole = Polygon(part.exterior, inner)
        if whole.area > speck:
            kept.append(whole)
    return MultiPolygon(kept) if kept else NOTHING
