"""Outlines by name: rectangle, rounded rectangle, ellipse, line and SVG path data, in item mm.

In: a layout's outline or a shape field. Out: drawing commands with true curves. The item's
outline is also the reference for floods and for how far ink may go.
"""

from __future__ import annotations

import math
from typing import Any

from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry
from vardata.job import model
from vardata.marks import Command, Commands
from vardata.problems import JobError, fail

# The handle of the cubic that follows a quarter of the unit circle, 4/3 (sqrt 2 - 1): it
# leaves the circle by at most 0.027 % of the radius (from memory; measured in a test).
KAPPA = 0.5522847498307936


def ellipse(x: float, y: float, w: float, h: float) -> Commands:
    """The ellipse that fills a box, counter-clockwise, as four cubics."""
    return rounded(x, y, w, h, w / 2, h / 2)


def rounded(x: float, y: float, w: float, h: float, rx: float, ry: float) -> Commands:
    """A rectangle with elliptic corners of radii ``rx``, ``ry``, at most half the sides."""
    if rx <= 0 or ry <= 0:
        return geometry.rectangle_path(x, y, w, h)
    kx, ky = rx * (1 - KAPPA), ry * (1 - KAPPA)
    x1, y1 = x + w, y + h
    steps: list[Command] = [
        ("m", x + rx, y),
        ("l", x1 - rx, y),
        ("c", x1 - kx, y, x1, y + ky, x1, y + ry),
        ("l", x1, y1 - ry),
        ("c", x1, y1 - ky, x1 - kx, y1, x1 - rx, y1),
        ("l", x + rx, y1),
        ("c", x + kx, y1, x, y1 - ky, x, y1 - ry),
        ("l", x, y + ry),
        ("c", x, y + ky, x + kx, y, x + rx, y),
        ("h",),
    ]
    flat_x, flat_y = w - 2 * rx < 1e-9, h - 2 * ry < 1e-9
    dropped = ({1, 5} if flat_x else set()) | ({3, 7} if flat_y else set())
    return tuple(step for i, step in enumerate(steps) if i not in dropped)


class _Pen:
    """Takes what the path parser draws. Quadratics become cubics, arcs come as cubics."""

    def __init__(self) -> None:
        self.steps: list[Command] = []
        self._at = (0.0, 0.0)

    def moveTo(self, point: tuple[float, float]) -> None:
        self._add("m", point)

    def lineTo(self, point: tuple[float, float]) -> None:
        self._add("l", point)

    def curveTo(self, *points: tuple[float, float]) -> None:
        self._add("c", *points)

    def qCurveTo(self, *points: tuple[float, float]) -> None:
        (x0, y0), (x1, y1), (x2, y2) = self._at, *points
        first = (x0 + (x1 - x0) * 2 / 3, y0 + (y1 - y0) * 2 / 3)
        second = (x2 + (x1 - x2) * 2 / 3, y2 + (y1 - y2) * 2 / 3)
        self._add("c", first, second, points[1])

    def closePath(self) -> None:
        self.steps.append(("h",))

    def endPath(self) -> None:
        pass

    def _add(self, kind: str, *points: tuple[float, float]) -> None:
        self.steps.append((kind, *(float(v) for point in points for v in point)))
        self._at = points[-1]


def path_data(data: str, key: str, file: str = "") -> Commands:
    """SVG path data (y up, mm) as commands. Raises ``JobError`` that names ``key``."""
    from fontTools.svgLib.path.parser import parse_path

    pen: Any = _Pen()
    try:
        parse_path(data, pen)
    except Exception as error:  # the parser raises what its float() or unpacking raises
        raise fail(
            JobError,
            "path-data",
            f"{data[:60]!r} is not SVG path data ({error})",
            'write it like "M 0 0 L 40 0 L 20 30 Z", in item mm, y up',
            key=key,
            file=file,
        ) from None
    if not pen.steps:
        raise fail(
            JobError,
            "path-data",
            "the path is empty",
            'write SVG path data like "M 0 0 L 40 0 L 20 30 Z"',
            key=key,
            file=file,
        )
    drawn = tuple(pen.steps)
    try:
        geometry.area(drawn)
    except geometry.Tangled as error:
        raise fail(
            JobError,
            "path-data",
            f"the path cannot be used: {error}",
            "draw a simpler outline",
            key=key,
            file=file,
        ) from None
    return drawn


def item_outline(layout: model.Layout, file: str = "") -> Commands:
    """The outline of the item itself, closed, in item mm."""
    w, h = layout.width, layout.height
    if layout.outline == "rounded":
        corner = min(layout.corner, w / 2, h / 2)
        return rounded(0.0, 0.0, w, h, corner, corner)
    if layout.outline in ("circle", "ellipse"):
        return ellipse(0.0, 0.0, w, h)
    if layout.outline == "path":
        steps = path_data(layout.path, "path", file)
        if geometry.area(steps).is_empty:
            raise fail(
                JobError,
                "path-data",
                "the item's outline encloses no area",
                "draw a closed outline in item mm",
                key="path",
                file=file,
            )
        return steps
    return geometry.rectangle_path(0.0, 0.0, w, h)


def flood(layout: model.Layout, bleed: float, file: str = "") -> tuple[Commands, BaseGeometry]:
    """The outline grown by a bleed (an inset if negative), as commands and as an area.

    Rectangles and circles keep true edges and curves; other outlines are offset as areas.
    """
    w, h = layout.width + 2 * bleed, layout.height + 2 * bleed
    circle = layout.outline in ("circle", "ellipse") and math.isclose(layout.width, layout.height)
    if bleed == 0:
        drawn = item_outline(layout, file)
    elif w <= 0 or h <= 0:
        return (), geometry.NOTHING
    elif layout.outline == "rectangle":
        drawn = geometry.rectangle_path(-bleed, -bleed, w, h)
    elif layout.outline == "rounded":
        corner = min(layout.corner, layout.width / 2, layout.height / 2)
        corner = max(corner + bleed, 0.0) if corner > 0 else 0.0
        drawn = rounded(-bleed, -bleed, w, h, corner, corner)
    elif circle:
        drawn = ellipse(-bleed, -bleed, w, h)
    else:
        moved = chokes.offset(geometry.area(item_outline(layout, file)), bleed)
        return geometry.commands(moved), moved
    return drawn, geometry.area(drawn)


def shape_outline(field: model.ShapeField, file: str = "") -> Commands:
    """The outline of a shape field before its rotation, in item mm.

    A line runs along the middle of its box from left to right; its rotation points it.
    """
    x, y, w, h = field.box
    if field.shape == "rounded":
        corner = min(field.corner, w / 2, h / 2)
        return rounded(x, y, w, h, corner, corner)
    if field.shape == "ellipse":
        return ellipse(x, y, w, h)
    if field.shape == "line":
        return (("m", x, y + h / 2), ("l", x + w, y + h / 2))
    if field.shape == "path":
        return path_data(field.path, f"fields.{field.name}.path", file)
    return geometry.rectangle_path(x, y, w, h)
