"""The geometry of SVG's basic shapes with all numbers in plain user units.

In: a shape element and the size of its viewport (for percentages). Out: the name and the
attributes of an element that draws the same without units, percentages or shorthand, or
None where SVG draws nothing. Faulty values raise ``ValueError``.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from vardata.svg import path as svg_path
from vardata.svg.source import Element, local
from vardata.svg.values import length, numbers

SHAPES = frozenset({"circle", "ellipse", "line", "path", "polygon", "polyline", "rect"})
Size = tuple[float, float]


class Figure(NamedTuple):
    tag: str
    attributes: dict[str, str]


def diagonal(size: Size) -> float:
    """What 100 % of a length that is neither across nor up stands for (SVG 1.1, 7.10)."""
    return math.sqrt((size[0] ** 2 + size[1] ** 2) / 2)


def value(element: Element, name: str, size: Size, default: float = 0.0) -> float:
    """A length attribute in user units; missing or "auto" gives the default."""
    text = (element.get(name) or "").strip()
    if not text or text == "auto":
        return default
    if name in ("x", "cx", "x1", "x2", "width", "rx"):
        whole = size[0]
    elif name in ("y", "cy", "y1", "y2", "height", "ry"):
        whole = size[1]
    else:
        whole = diagonal(size)
    try:
        found = length(text, whole)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None
    if found < 0 and name in ("width", "height", "r", "rx", "ry"):
        raise ValueError(f"{name} {text!r} is negative")
    return found


def figure(element: Element, size: Size) -> Figure | None:
    """The plain form of a shape element."""
    kind = local(element)
    if kind == "path":
        made = svg_path.segments(element.get("d") or "")
        return Figure("path", {"d": svg_path.written(made)}) if len(made) > 1 else None
    if kind in ("polygon", "polyline"):
        return _poly(element, kind)
    if kind == "rect":
        return _rect(element, size)
    names = {"line": ("x1", "y1", "x2", "y2"), "circle": ("cx", "cy", "r")}
    found = {name: value(element, name, size) for name in names.get(kind, ("cx", "cy", "rx", "ry"))}
    if kind == "ellipse":  # SVG 2, 7.4: one radius alone stands for both
        found["rx"] = value(element, "rx", size, found["ry"])
        found["ry"] = value(element, "ry", size, found["rx"])
    if not all(found[name] > 0 for name in ("r", "rx", "ry") if name in found):
        return None
    return Figure(kind, {name: repr(number) for name, number in found.items()})


def _poly(element: Element, kind: str) -> Figure | None:
    try:
        points = numbers(element.get("points") or "")
    except ValueError as error:
        raise ValueError(f"points: {error}") from None
    if len(points) % 2:
        raise ValueError("points: the last point has no y")
    if len(points) < 4:
        return None
    corners = [f"{x!r} {y!r}" for x, y in zip(points[::2], points[1::2])]
    # As a path: readers differ in whether they fill an open polyline.
    return Figure("path", {"d": "M" + " L".join(corners) + (" Z" if kind == "polygon" else "")})


def _rect(element: Element, size: Size) -> Figure | None:
    x, y, w, h = (value(element, name, size) for name in ("x", "y", "width", "height"))
    if w <= 0 or h <= 0:
        return None
    # SVG 1.1, 9.2: one radius alone stands for both. ``outline.rounded`` cuts them to half a side.
    given_x, given_y = ((element.get(name) or "auto").strip() != "auto" for name in ("rx", "ry"))
    rx, ry = value(element, "rx", size), value(element, "ry", size)
    rx, ry = (rx if given_x else ry), (ry if given_y else rx)
    if rx == 0 or ry == 0:
        rx = ry = 0.0
    found = {"x": x, "y": y, "width": w, "height": h, "rx": rx, "ry": ry}
    return Figure("rect", {name: repr(number) for name, number in found.items()})
