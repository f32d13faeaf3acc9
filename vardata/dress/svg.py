"""An SVG as shapes of solid ink and of gradients in item mm.

In: the bytes of a file, then a matrix that places it. Out: ``Shape`` and ``PlacedPicture``
in painting order, with true curves. What cannot be printed faithfully is refused by element
(``svg_plain``). Geometry is read by svglib, from a tree so plain that its gaps do not show.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from io import BytesIO
from typing import Any, NamedTuple

import numpy as np
import shapely
from lxml import etree
from reportlab.graphics import shapes as drawn
from shapely.geometry.base import BaseGeometry
from svglib.svglib import svg2rlg

from vardata.dress import (
    geometry,
    outline,
    stroke,
    svg_gradient,
    svg_look,
    svg_plain,
    svg_stroke,
)
from vardata.dress.drawing import PlacedPicture, Shape
from vardata.dress.framing import WHOLE, Framing
from vardata.dress.svg_leaf import Leaf, Plain
from vardata.dress.svg_paint import Ink
from vardata.marks import Command, Commands
from vardata.problems import JobError, Problem, Severity, Where, fail
from vardata.svg import source as svg_source
from vardata.svg.values import Matrix

TOUCH = 1e-5  # mm: what passes an edge by less does not cross it
Part = Shape | PlacedPicture


class SvgArt(NamedTuple):
    """An SVG that was read: its size in px, and what svglib made of its plain form."""

    name: str
    width: float
    height: float
    plain: Plain
    reading: Any

    @property
    def notes(self) -> tuple[Problem, ...]:
        return self.plain.notes


def read(
    data: bytes, name: str, guides: Iterable[str] = (), framing: Framing = WHOLE
) -> SvgArt:
    """Read a file; ``name`` is what messages call it. Elements with the ids ``guides`` are not
    drawn; ``framing`` says what becomes of pictures within. Raises ``JobError``."""
    plain = svg_plain.plain(svg_source.read(data, name), name, guides, framing)
    # From memory, not from a file: svglib then has no folder in which to follow anything.
    reading = svg2rlg(BytesIO(etree.tostring(plain.root)))
    found = [key for key, _, _ in _shapes(reading.contents, Matrix(), "")] if reading else []
    if sorted(found) != sorted(plain.leaves):
        raise fail(JobError, "svg-unreadable", "the drawing cannot be read in full",
                   "save it again as plain SVG", file=name)  # fmt: skip
    return SvgArt(name, plain.width, plain.height, plain, reading)


def parts(art: SvgArt, placed: Matrix, window: BaseGeometry | None = None) -> tuple[Part, ...]:
    """The drawing in item mm. ``placed`` takes its page (0 to width, 0 to height in px, y up)
    to item mm; what passes the page, or ``window``, is cut off. Raises ``JobError``."""
    reading = art.reading
    page = Matrix(a=art.width / reading.width, d=art.height / reading.height).then(placed)
    w, h = art.width, art.height
    edge = shapely.Polygon([placed.at(*corner) for corner in ((0, 0), (w, 0), (w, h), (0, h))])
    if window is not None:
        edge = edge.intersection(window)
    cutter = _Cutter(art, edge)
    for key, shape, matrix in _shapes(reading.contents, page, ""):
        cutter.add(art.plain.leaves[key], _commands(shape), matrix)
    if cutter.problems:
        raise JobError(cutter.problems)
    return tuple(cutter.parts)


class _Cutter:
    """Turns leaves into parts, cut by the page and by clip regions."""

    def __init__(self, art: SvgArt, edge: BaseGeometry) -> None:
        self._name = art.name
        self._edge = edge
        self._regions = dict.fromkeys(art.plain.regions, geometry.NOTHING)
        self._windows: dict[tuple[str, ...], tuple[BaseGeometry, BaseGeometry]] = {}
        self.parts: list[Part] = []
        self.problems: list[Problem] = []

    def add(self, leaf: Leaf, commands: Commands, matrix: Matrix) -> None:
        if leaf.region:
            area = geometry.area(svg_stroke.moved(commands, matrix), leaf.even_odd)
            self._regions[leaf.region] = geometry.union([self._regions[leaf.region], area])
            return
        window, reach = self._window(leaf.clips)
        if window.is_empty:
            return
        if leaf.picture is not None:
            self._add_picture(leaf, commands, matrix, window, reach)
            return
        made: list[Shape] = []
        if leaf.fill is not None:
            filled = svg_stroke.moved(_with_area(commands), matrix)
            if filled:
                shape = Shape(filled, leaf.fill.cmyk, leaf.even_odd)
                made += self._blended(leaf, "fill", leaf.fill, [shape], commands, matrix)
        if leaf.stroke is not None:
            try:
                lines = svg_stroke.stroked(commands, leaf.stroke, matrix)
            except ValueError as error:
                self._refuse(leaf, str(error), "draw the dashes as shapes")
                return
            lines = self._blended(leaf, "stroke", leaf.stroke.ink, lines, commands, matrix)
            made = lines + made if leaf.stroke_first else made + lines
        self.parts += filter(None, (_cut(shape, window, reach) for shape in made))

    def _blended(
        self, leaf: Leaf, name: str, ink: Ink, shapes: list[Shape], commands: Commands,
        matrix: Matrix,
    ) -> list[Shape]:  # fmt: skip
        """Shapes in the gradient of their paint, if it is one."""
        if ink.gradient is None or not shapes:
            return shapes
        reach: geometry.Bounds = shapely.union_all([_frame(shape) for shape in shapes]).bounds
        try:
            blend = svg_gradient.blend(ink.gradient, commands, matrix, reach)
        except ValueError as error:
            self._refuse(leaf, f"{name}: {error}", svg_look.SOLID)
            return []
        return [shape._replace(blend=blend) for shape in shapes]

    def _window(self, clips: tuple[str, ...]) -> tuple[BaseGeometry, BaseGeometry]:
        """What a shape may paint, and the same with ``TOUCH`` around it."""
        if clips not in self._windows:
            window = self._edge
            for region in clips:
                window = geometry.areas(window.intersection(self._regions[region]))
            reach = window.buffer(TOUCH, join_style="mitre")
            shapely.prepare(reach)
            self._windows[clips] = window, reach
        return self._windows[clips]

    def _add_picture(
        self, leaf: Leaf, commands: Commands, matrix: Matrix,
        window: BaseGeometry, reach: BaseGeometry,
    ) -> None:  # fmt: skip
        xs = [float(command[1]) for command in commands if len(command) > 1]
        ys = [float(command[2]) for command in commands if len(command) > 1]
        # y runs down in the drawing: the picture's lower left corner is (left, bottom).
        left, right, top, bottom = min(xs), max(xs), min(ys), max(ys)
        x0, y0 = matrix.at(left, bottom)
        x1, y1 = matrix.at(right, bottom)
        x2, y2 = matrix.at(left, top)
        w, h = math.hypot(x1 - x0, y1 - y0), math.hypot(x2 - x0, y2 - y0)
        cross = (x1 - x0) * (y2 - y0) - (y1 - y0) * (x2 - x0)
        frame = shapely.Polygon([(x0, y0), (x1, y1), (x1 + x2 - x0, y1 + y2 - y0), (x2, y2)])
        if w * h == 0 or window.disjoint(frame):
            return
        if cross < w * h * (1 - 1e-6):
            self._refuse(leaf, "the picture is skewed or mirrored", "change the picture itself")
        elif not reach.covers(frame):
            self._refuse(leaf, "the picture is cut by its frame", "cut the picture itself")
        else:
            assert leaf.picture is not None
            cx, cy = (x1 + x2) / 2, (y1 + y2) / 2
            angle = round(math.degrees(math.atan2(y1 - y0, x1 - x0)), 6)
            x, y, w, h = (round(v, svg_stroke.DIGITS) + 0.0 for v in (cx - w / 2, cy - h / 2, w, h))
            self.parts.append(PlacedPicture(leaf.picture, x, y, w, h, angle + 0.0))

    def _refuse(self, leaf: Leaf, what: str, remedy: str) -> None:
        where = Where(self._name, leaf.line, leaf.name)
        self.problems.append(Problem("svg-unsupported", Severity.ERROR, what, remedy, where))


def _cut(shape: Shape, window: BaseGeometry, reach: BaseGeometry) -> Shape | None:
    """A shape within a window: itself with its true curves where it does not cross the edge."""
    if reach.covers(_frame(shape)):
        return shape
    if shape.stroke:
        lines = geometry.flatten(shape.commands)
        if all(reach.covers(_at_most(shape, *line)) for line in lines):
            return shape
        area = stroke.covered(shape.commands, shape.stroke, shape.cap, shape.join, shape.miter)
    else:
        area = geometry.area(shape.commands, shape.even_odd)
    if reach.covers(area):
        return shape
    cut = geometry.commands(geometry.areas(area.intersection(window)))
    return Shape(cut, shape.paint, blend=shape.blend) if cut else None


def _frame(shape: Shape) -> BaseGeometry:
    """An upright box that the shape cannot leave: no curve leaves its control points, no cap
    reaches further than 1.5 times half the width, no miter further than its limit."""
    numbers = [command[1:] for command in shape.commands]
    xs = [float(x) for row in numbers for x in row[::2]]
    ys = [float(y) for row in numbers for y in row[1::2]]
    spread = shape.stroke / 2 * max(1.5, shape.miter if shape.join == 0 else 0.0)
    return shapely.box(min(xs) - spread, min(ys) - spread, max(xs) + spread, max(ys) + spread)


def _at_most(shape: Shape, points: geometry.Points, closed: bool) -> BaseGeometry:
    """An area that no stroke along a line leaves: square caps, and miters up to the limit."""
    half = shape.stroke / 2
    if len(points) < 3 or not closed:
        line = shapely.linestrings(np.vstack([points, points[:1]]) if closed else points)
    else:
        line = shapely.linearrings(points)
    join = "mitre" if shape.join == 0 else "round"
    return line.buffer(half, cap_style="square", join_style=join, mitre_limit=shape.miter)


def _with_area(commands: Commands) -> Commands:
    """Without sub-paths that are one straight line: a filled line has no ink in SVG, but a
    hairline in a PDF (ISO 32000-1, 8.5.3.3.1)."""
    kept: list[Command] = []
    for part in svg_stroke.sub_paths(commands):
        drawn_to = [command for command in part[1:] if command[0] != "h"]
        if len(drawn_to) > 1 or (drawn_to and drawn_to[0][0] == "c"):
            kept += part
    return tuple(kept)


def _shapes(contents: list[Any], matrix: Matrix, key: str) -> Iterator[tuple[str, Any, Matrix]]:
    """Each shape of svglib's drawing with the id of its leaf and its matrix to item mm."""
    for node in contents:
        own = getattr(node, "svgid", "") or key
        if isinstance(node, drawn.Group):
            inner = Matrix(*(float(v) for v in node.transform)).then(matrix)
            yield from _shapes(node.contents, inner, own)
        elif own:
            yield own, node, matrix


def _commands(shape: Any) -> Commands:
    """The outline of a shape of svglib's drawing, in user units, begun where SVG begins it."""
    if isinstance(shape, drawn.Rect):
        return outline.rounded(shape.x, shape.y, shape.width, shape.height, shape.rx, shape.ry)
    if isinstance(shape, drawn.Circle):
        return svg_stroke.circle(shape.cx, shape.cy, shape.r, shape.r)
    if isinstance(shape, drawn.Ellipse):
        return svg_stroke.circle(shape.cx, shape.cy, shape.rx, shape.ry)
    if isinstance(shape, drawn.Line):
        return (("m", shape.x1, shape.y1), ("l", shape.x2, shape.y2))
    if not isinstance(shape, drawn.Path):
        raise TypeError(f"svglib drew a {type(shape).__name__}")
    made: list[Command] = []
    at = 0
    for operator in shape.operators:
        kind, takes = (("m", 2), ("l", 2), ("c", 6), ("h", 0))[operator]
        made.append((kind, *map(float, shape.points[at : at + takes])))
        at += takes
    return tuple(made)
