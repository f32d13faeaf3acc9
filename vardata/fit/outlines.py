"""Glyph outlines as drawing commands, and the box that their ink fills.

In: a glyph drawn with fontTools' pen protocol. Out: ``marks.Commands`` with cubic curves
only; quadratic curves are raised to cubics, which changes no point of them.
"""

from __future__ import annotations

import math

from vardata.marks import Command, Commands

Bounds = tuple[float, float, float, float]
Point = tuple[float, float]

_FLAT = 1e-12  # a curve with so small a cube is a parabola


class CommandPen:
    """Receives an outline and keeps it as commands, each number times ``scale``."""

    def __init__(self, scale: float) -> None:
        self._scale = scale
        self._at: Point = (0.0, 0.0)
        self.commands: list[Command] = []

    def _add(self, kind: str, *points: Point) -> None:
        scaled = [number * self._scale for point in points for number in point]
        self.commands.append((kind, *scaled))
        self._at = points[-1]

    def moveTo(self, point: Point) -> None:
        self._add("m", point)

    def lineTo(self, point: Point) -> None:
        self._add("l", point)

    def curveTo(self, *points: Point) -> None:
        self._add("c", *points)

    def qCurveTo(self, control: Point, end: Point) -> None:
        """A quadratic curve with one control point, as uharfbuzz sends them."""
        (x0, y0), (cx, cy), (x1, y1) = self._at, control, end
        # Degree elevation: the cubic's controls lie two thirds of the way to the control.
        one = ((x0 + 2 * cx) / 3, (y0 + 2 * cy) / 3)
        two = ((x1 + 2 * cx) / 3, (y1 + 2 * cy) / 3)
        self._add("c", one, two, end)

    def closePath(self) -> None:
        self.commands.append(("h",))

    def endPath(self) -> None:
        return


def bounds(commands: Commands) -> Bounds | None:
    """The true box of an outline, curves included; None where nothing is drawn."""
    xs: list[float] = []
    ys: list[float] = []
    at = (0.0, 0.0)
    for kind, *numbers in commands:
        if kind == "h":
            continue
        values = [float(number) for number in numbers]
        end = (values[-2], values[-1])
        if kind != "m":
            xs += at[0], end[0]
            ys += at[1], end[1]
        if kind == "c":
            xs += _turns(at[0], values[0], values[2], end[0])
            ys += _turns(at[1], values[1], values[3], end[1])
        at = end
    return (min(xs), min(ys), max(xs), max(ys)) if xs else None


def _turns(p0: float, p1: float, p2: float, p3: float) -> list[float]:
    """What one coordinate of a cubic curve is where it turns back, between its ends.

    The curve lies within the hull of its points, so one whose controls lie between its ends
    does not pass them. Else it turns where its derivative is zero.
    """
    low, high = (p0, p3) if p0 <= p3 else (p3, p0)
    if low <= p1 <= high and low <= p2 <= high:
        return []
    # A third of the derivative: a t^2 + b t + c.
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0
    if abs(a) < _FLAT * (abs(b) + abs(c)):
        roots = [-c / b] if b else []
    else:
        square = b * b - 4 * a * c
        root = math.sqrt(square) if square > 0 else 0.0
        # The larger sum has no digits cancelled; the product of the roots is c / a.
        half = -(b + math.copysign(root, b)) / 2
        roots = [] if square < 0 else [half / a, c / half if half else 0.0]
    found = []
    for t in roots:
        if 0.0 < t < 1.0:
            s = 1.0 - t
            found.append(s * s * s * p0 + 3 * s * s * t * p1 + 3 * s * t * t * p2 + t * t * t * p3)
    return found
