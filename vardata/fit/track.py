"""Lines that text can stand on: an arc, or any path.

In: an arc of the layout, or SVG path data in item mm. Out: a ``Track``: for each way along it a
point and the direction of reading there. No knowledge of text.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple, Protocol

from vardata.fit.outlines import CommandPen
from vardata.job.layout import Arc
from vardata.marks import Commands

_STEPS = 200  # of a curve: a circle of 50 mm across in as many parts is true to 0.006 mm


class Spot(NamedTuple):
    """A point (mm) and the direction of reading, in degrees counter-clockwise."""

    x: float
    y: float
    angle: float


class Track(Protocol):
    """``length`` mm, along which text may stand."""

    length: float

    def spot(self, way: float) -> Spot: ...


class ArcTrack:
    """Part of a circle round (x, y). Outside, letters point away from the centre and are read
    clockwise; inside, they point to the centre and are read the other way round."""

    def __init__(self, arc: Arc, x: float, y: float) -> None:
        self._arc, self._x, self._y = arc, x, y
        self.length = math.radians(arc.sweep) * arc.radius

    def spot(self, way: float) -> Spot:
        arc = self._arc
        turn = math.degrees((way - self.length / 2) / arc.radius)
        at = arc.at - turn if arc.side == "outside" else arc.at + turn
        angle = at - 90.0 if arc.side == "outside" else at + 90.0
        around = math.radians(at)
        return Spot(
            self._x + arc.radius * math.cos(around), self._y + arc.radius * math.sin(around), angle
        )


class PathTrack:
    """A path's first line, from its start to its end; beyond them it goes straight on."""

    def __init__(self, commands: Commands, x: float, y: float) -> None:
        """Points are given from (x, y)."""
        self._points = [(px - x, py - y) for px, py in _points(commands)]
        ways = (math.dist(one, other) for one, other in pairwise(self._points))
        self._ways = list(accumulate(ways, initial=0.0))
        self.length = self._ways[-1]

    def spot(self, way: float) -> Spot:
        at = min(max(bisect_right(self._ways, way) - 1, 0), len(self._points) - 2)
        (x0, y0), (x1, y1) = self._points[at : at + 2]
        long = self._ways[at + 1] - self._ways[at]
        share = (way - self._ways[at]) / long
        angle = math.degrees(math.atan2(y1 - y0, x1 - x0))
        return Spot(x0 + (x1 - x0) * share, y0 + (y1 - y0) * share, angle)


def path_commands(data: str) -> Commands:
    """SVG path data as commands. Raises whatever a damaged path makes the parser raise."""
    from fontTools.svgLib.path.parser import parse_path

    pen = CommandPen(1.0)
    parse_path(data, pen)
    return tuple(pen.commands)


def _points(commands: Commands) -> Sequence[tuple[float, float]]:
    """The points of the first sub-path, no two in a row alike."""
    points: list[tuple[float, float]] = []
    for kind, *numbers in commands:
        values = [float(number) for number in numbers]
        if kind == "m":
            if points:
                break
            points.append((values[0], values[1]))
        elif kind == "l":
            points.append((values[0], values[1]))
        elif kind == "c":
            points += _curve(points[-1], values)
        elif kind == "h":
            points.append(points[0])
    kept = points[:1]
    for point in points[1:]:
        if math.dist(point, kept[-1]) > 1e-9:
            kept.append(point)
    return kept


def _curve(start: tuple[float, float], values: list[float]) -> list[tuple[float, float]]:
    (x0, y0), (x1, y1, x2, y2, x3, y3) = start, values
    out = []
    for step in range(1, _STEPS + 1):
        t = step / _STEPS
        u = 1.0 - t
        a, b, c, d = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        out.append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))
    return out
