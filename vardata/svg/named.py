"""Elements of an SVG found by their ids: the box of a shape, the line of a path.

In: the root of a tree, an id, and the matrix that places the drawing's page. Out: a ``Framed`` or
path data, placed, y up. What an element looks like does not matter here: a guide may have any
paint or none. Groups, texts and uses have no outline of their own and are refused. Faults raise
``ValueError`` with a few words for a message.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from vardata.svg import path as svg_path
from vardata.svg import shape as svg_shape
from vardata.svg import viewport as svg_viewport
from vardata.svg.shape import SHAPES, Figure, Size
from vardata.svg.source import Element, local
from vardata.svg.values import Matrix, transform, view

_DIGITS = 6  # of mm and degrees: numbers in mm come out as they were drawn
_PASSED_THROUGH = frozenset({"g", "a", "switch", "defs", "svg"})
_SQUARE = 1e-6  # the cosine at a corner below which it is a right one


class Framed(NamedTuple):
    """The box of a shape: x and y of its lower left corner, width and height before it is turned
    by ``turn`` degrees counter-clockwise about its centre."""

    x: float
    y: float
    width: float
    height: float
    turn: float


class NamedShapes:
    """The elements of one drawing. ``size`` is that of its page in px."""

    def __init__(self, root: Element) -> None:
        self._root = root
        self.size, _ = svg_viewport.page(root)
        found = [(element.get("id"), element) for element in root.iter() if element.get("id")]
        self._count = Counter(name for name, _ in found)
        self._elements = dict(reversed(found))
        self.ids = tuple(dict.fromkeys(name for name, _ in found))
        self.shapes = tuple(
            name for name in self.ids if local(self._elements[name]) in (*SHAPES, "image")
        )

    def box(self, name: str, placed: Matrix) -> Framed:
        """The box of a shape: of a rectangle or a picture with its turn, of any other the upright
        one round its outline."""
        element = self._element(name)
        matrix, size = self._matrix(element, placed)
        if local(element) in ("rect", "image"):
            x, y, w, h = (
                svg_shape.value(element, key, size) for key in ("x", "y", "width", "height")
            )
            if w <= 0 or h <= 0:
                raise ValueError("has no area")
            turned = _turned(matrix, x, y, w, h)
            if turned is not None:
                return turned
            corners = [matrix.at(px, py) for px in (x, x + w) for py in (y, y + h)]
            xs, ys = zip(*corners)
            bounds = min(xs), min(ys), max(xs), max(ys)
        else:
            bounds = _bounds(_data(element, size), matrix)
        x0, y0, x1, y1 = (round(v, _DIGITS) + 0.0 for v in bounds)
        if x1 <= x0 or y1 <= y0:
            raise ValueError("has no area")
        return Framed(x0, y0, round(x1 - x0, _DIGITS), round(y1 - y0, _DIGITS), 0.0)

    def line(self, name: str, placed: Matrix) -> str:
        """The outline of a shape as SVG path data, begun where SVG begins it."""
        element = self._element(name)
        if local(element) == "image":
            raise ValueError("is an <image>, which is no line")
        matrix, size = self._matrix(element, placed)
        data = _data(element, size)
        x0, y0, x1, y1 = _bounds(data, matrix)
        if x0 == x1 and y0 == y1:
            raise ValueError("has no length")
        if (lines := _lines(data)) > 1:
            raise ValueError(f"has {lines} lines, and a text stands on one")
        return _moved(data, matrix)

    def _element(self, name: str) -> Element:
        if self._count[name] > 1:
            raise ValueError(f"is there {self._count[name]} times")
        element = self._elements[name]
        if name not in self.shapes:
            raise ValueError(f"is a <{local(element) or '?'}>, which is no shape")
        return element

    def _matrix(self, element: Element, placed: Matrix) -> tuple[Matrix, Size]:
        """From an element's user space to where the page is placed, and the size of its viewport
        for percentages."""
        size, seen = svg_viewport.page(self._root)
        whole = view(self._root.get("viewBox") or "", self._aspect(self._root), size).matrix
        matrix = whole.then(Matrix(d=-1.0, f=size[1])).then(placed)
        size = seen
        for one in reversed([element, *_parents(element, self._root)]):
            if "transform" in (one.get("style") or ""):
                raise ValueError("has a transform in a style, write it as an attribute")
            text = (one.get("transform") or "").strip()
            if text and text.lower() != "none":
                matrix = transform(text).then(matrix)
            if local(one) == "svg":
                x, y = (svg_shape.value(one, key, size) for key in ("x", "y"))
                inner = svg_viewport.sides(one, one, size)
                inside = view(one.get("viewBox") or "", self._aspect(one), inner)
                matrix = inside.matrix.then(Matrix(e=x, f=y)).then(matrix)
                size = inside.width, inside.height
        return matrix, size

    @staticmethod
    def _aspect(element: Element) -> str:
        return str(element.get("preserveAspectRatio") or "")


def _parents(element: Element, root: Element) -> Iterator[Element]:
    """What an element lies in, from the inside out, without the root."""
    for one in element.iterancestors():
        if one is root:
            return
        if local(one) not in _PASSED_THROUGH:
            raise ValueError(f"lies in a <{local(one) or '?'}>, which has no place of its own")
        yield one


def _turned(matrix: Matrix, x: float, y: float, w: float, h: float) -> Framed | None:
    """A rectangle that is one still when placed; None if it is skewed."""
    ux, uy, vx, vy = matrix.a * w, matrix.b * w, matrix.c * h, matrix.d * h
    wide, high = math.hypot(ux, uy), math.hypot(vx, vy)
    if wide * high == 0 or abs(ux * vx + uy * vy) > _SQUARE * wide * high:
        return None
    turn = math.degrees(math.atan2(uy, ux))
    # y runs down in a drawing, so that what is not mirrored has a negative determinant. A mirrored
    # rectangle is the same rectangle: it turns nothing upside down.
    if matrix.det > 0 and not -90.0 < turn <= 90.0:
        turn += 180.0 if turn <= -90.0 else -180.0
    cx, cy = matrix.at(x + w / 2, y + h / 2)
    turn = 180.0 if round(turn, _DIGITS) == -180.0 else turn
    made = (cx - wide / 2, cy - high / 2, wide, high, turn)
    return Framed(*(round(number, _DIGITS) + 0.0 for number in made))


def _data(element: Element, size: Size) -> str:
    """The outline of a shape as path data in user units."""
    figure = svg_shape.figure(element, size)
    if figure is None:
        raise ValueError("draws nothing")
    return _path_of(figure)


def _path_of(figure: Figure) -> str:
    """SVG 2, 7.2 to 7.7: the path that draws the same as a basic shape."""
    if figure.tag == "path":
        return figure.attributes["d"]
    n = {key: float(text) for key, text in figure.attributes.items()}
    if figure.tag == "line":
        return f"M{n['x1']!r} {n['y1']!r} L{n['x2']!r} {n['y2']!r}"
    if figure.tag == "rect":
        return _rounded(n["x"], n["y"], n["width"], n["height"], n["rx"], n["ry"])
    cx, cy = n["cx"], n["cy"]
    rx, ry = n.get("rx", n.get("r", 0.0)), n.get("ry", n.get("r", 0.0))
    quarters = ((cx, cy + ry), (cx - rx, cy), (cx, cy - ry), (cx + rx, cy))
    arcs = (f"A{rx!r} {ry!r} 0 0 1 {x!r} {y!r}" for x, y in quarters)
    return f"M{cx + rx!r} {cy!r} {' '.join(arcs)} Z"


def _rounded(x: float, y: float, w: float, h: float, rx: float, ry: float) -> str:
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    if not rx or not ry:
        return f"M{x!r} {y!r} H{x + w!r} V{y + h!r} H{x!r} Z"
    arc = f"A{rx!r} {ry!r} 0 0 1"
    return (
        f"M{x + rx!r} {y!r} H{x + w - rx!r} {arc} {x + w!r} {y + ry!r} V{y + h - ry!r} "
        f"{arc} {x + w - rx!r} {y + h!r} H{x + rx!r} {arc} {x!r} {y + h - ry!r} V{y + ry!r} "
        f"{arc} {x + rx!r} {y!r} Z"
    )


def _lines(data: str) -> int:
    """How many sub-paths draw anything."""
    kinds = [kind for kind, _ in svg_path.segments(data)]
    return sum(one == "M" and other not in "MZ" for one, other in pairwise(kinds))


def _bounds(data: str, matrix: Matrix) -> tuple[float, float, float, float]:
    from fontTools.pens.boundsPen import BoundsPen
    from fontTools.pens.transformPen import TransformPen
    from fontTools.svgLib.path.parser import parse_path

    pen = BoundsPen(None)
    parse_path(data, TransformPen(pen, matrix))
    x0, y0, x1, y1 = pen.bounds
    return x0, y0, x1, y1


def _moved(data: str, matrix: Matrix) -> str:
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.pens.transformPen import TransformPen
    from fontTools.svgLib.path.parser import parse_path

    pen = SVGPathPen(None, ntos=lambda number: f"{round(number, _DIGITS) + 0.0:.{_DIGITS}f}")
    parse_path(data, TransformPen(pen, matrix))
    return str(pen.getCommands())
