"""How large an SVG is, and the viewports of drawings within it.

In: ``<svg>`` and ``<symbol>`` elements. Out: sizes in px or user units. A drawing that does
not say how large it is raises ``ValueError``.
"""

from __future__ import annotations

from vardata.svg import shape as svg_shape
from vardata.svg.shape import Size
from vardata.svg.source import Element, local
from vardata.svg.values import view

_SIDES = ("width", "height")


def _sized(element: Element, sized: Element, name: str, size: Size, axis: int) -> float:
    """A side of a viewport: what the use says, else the element itself, else all of it."""
    own = size[axis]
    if local(element) == "svg":
        own = svg_shape.value(element, name, size, own)
    return own if sized is element else svg_shape.value(sized, name, size, own)


def sides(element: Element, sized: Element, size: Size) -> Size:
    """Width and height of the viewport of ``element``, a symbol or an inner drawing.

    ``sized`` is the use that shows it, whose own width and height go first, or itself.
    """
    width, height = (_sized(element, sized, name, size, i) for i, name in enumerate(_SIDES))
    return width, height


def page(root: Element) -> tuple[Size, Size]:
    """The drawing's size in px and the size of its user space.

    A side that is missing or a percentage follows from the view box (CSS 2.1, 10.3.2).
    """
    text = (root.get("viewBox") or "").strip()
    aspect = root.get("preserveAspectRatio") or ""
    seen = view(text, aspect, (1.0, 1.0)) if text else None
    sides: list[float | None] = []
    for name in _SIDES:
        given = (root.get(name) or "auto").strip()
        known = given != "auto" and not given.endswith("%")
        sides.append(svg_shape.value(root, name, (0.0, 0.0)) if known else None)
    width, height = sides
    if seen is not None:
        if width is None and height is None:
            width, height = seen.width, seen.height
        elif height is None and width is not None:
            height = width * seen.height / seen.width
        elif width is None and height is not None:
            width = height * seen.width / seen.height
    if width is None or height is None or width <= 0 or height <= 0:
        raise ValueError("the drawing does not say how large it is")
    return (width, height), ((seen.width, seen.height) if seen else (width, height))
