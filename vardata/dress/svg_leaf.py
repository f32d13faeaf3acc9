"""What is drawn of an SVG, apart from its geometry: the ink, stroke and clips of one shape.

In: a shape element and its inherited look. Out: ``Leaf``. ``svg_plain`` makes one for every
shape; ``svg`` joins them with the geometry that svglib reads.
"""

from __future__ import annotations

from typing import NamedTuple

from vardata.dress import svg_look
from vardata.dress.drawing import Picture
from vardata.dress.svg_guard import Report
from vardata.dress.svg_look import Look, Stroke
from vardata.dress.svg_paint import Ink, Paints
from vardata.problems import Problem
from vardata.svg.shape import Size
from vardata.svg.source import Element, described, local
from vardata.svg.values import shown


class Leaf(NamedTuple):
    """What is known of one shape of the plain tree.

    ``clips`` are the ids of the clip regions it is cut by. A leaf with ``region`` paints
    nothing: it is a part of that clip region. A picture fills the leaf's rectangle.
    """

    line: int
    name: str
    even_odd: bool = False
    fill: Ink | None = None
    stroke: Stroke | None = None
    stroke_first: bool = False
    clips: tuple[str, ...] = ()
    region: str = ""
    picture: Picture | None = None


class Plain(NamedTuple):
    """The plain tree, its leaves, its size in px, and remarks about pictures within."""

    root: Element
    leaves: dict[str, Leaf]
    regions: tuple[str, ...]
    width: float
    height: float
    notes: tuple[Problem, ...]


def bare(element: Element) -> Leaf:
    """A leaf that only knows where it comes from."""
    return Leaf(element.sourceline or 0, described(element))


def painted(
    element: Element, look: Look, size: Size, paints: Paints, report: Report
) -> Leaf | None:
    """The leaf of a shape that is drawn; None if it has no paint."""
    rule = svg_look.even_odd(look, "fill-rule", element, report)
    fill = None
    if local(element) != "line":
        fill = svg_look.ink(look, "fill", paints, size, element, report)
    stroke = svg_look.stroke(look, paints, size, element, report)
    marker = svg_look.marker(look)
    if marker and local(element) in ("path", "line", "polygon", "polyline"):
        what = f"the marker {shown(marker)} cannot be printed"
        report.add(element, what, "turn the markers into shapes")
    if stroke and stroke.dashes and element.get("pathLength"):
        report.add(element, "pathLength scales the dashes", "write the real dash lengths")
    if fill is None and stroke is None:
        return None
    first = svg_look.stroke_first(look, element, report)
    return bare(element)._replace(even_odd=rule, fill=fill, stroke=stroke, stroke_first=first)


def clipping(element: Element, look: Look, region: str, report: Report) -> Leaf:
    """The leaf of a shape that is a part of a clip region."""
    rule = svg_look.even_odd(look, "clip-rule", element, report)
    return bare(element)._replace(even_odd=rule, region=region)
