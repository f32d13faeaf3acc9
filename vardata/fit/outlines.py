"""Glyph outlines as drawing commands, and the box that their ink fills.

In: a glyph drawn with fontTools' pen protocol. Out: ``marks.Commands`` with cubic curves
only; quadratic curves are raised to cubics, which changes no point of them.
"""

from __future__ import annotations

from vardata.marks import Command, Commands

Bounds = tuple[float, float, float, float]
Point = tuple[float, float]


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
    from fontTools.misc.bezierTools import calcCubicBounds

    boxes: list[Bounds] = []
    at = (0.0, 0.0)
    for kind, *numbers in commands:
        if kind == "h":
            continue
        values = [float(number) for number in numbers]
        end = (values[-2], values[-1])
        if kind == "c":
            boxes.append(calcCubicBounds(at, (values[0], values[1]), (values[2], values[3]), end))
        elif kind == "l":
            (ax, ay), (bx, by) = at, end
            boxes.append((min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)))
        at = end
    if not boxes:
        return None
    x0, y0, x1, y1 = zip(*boxes)
    return (min(x0), min(y0), max(x1), max(y1))
