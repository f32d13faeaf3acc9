"""The paint of an SVG shape: one solid ink, white ink, or nothing.

In: the values of fill, stroke and color. Out: ``Ink`` or None. RGB becomes process ink by
``colour.from_rgb``; device-cmyk() is taken as it is; pure white asks for white ink. What is
neither solid nor opaque raises ``ValueError`` with the words for a message.
"""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from tinycss2 import color4

from vardata.dress import colour
from vardata.dress.svg_css import Looks
from vardata.marks import Cmyk
from vardata.svg.source import Element, href, local
from vardata.svg.values import amount, shown

_CMYK = re.compile(r"device-cmyk\(([^()]*)\)", re.IGNORECASE)
_URL = re.compile(r"""url\(\s*(['"]?)(.*?)\1\s*\)\s*(.*)""", re.DOTALL)
_SPACES = ("srgb", "hsl", "hwb")  # what is sRGB by another name
_CHAIN = 10  # gradients that refer to one another


class Ink(NamedTuple):
    """Solid paint; None is white ink."""

    cmyk: Cmyk | None


class Paints:
    """Reads the paints of one drawing, in which gradients are known by their ids."""

    def __init__(self, ids: dict[str, Element], looks: Looks) -> None:
        self._ids = ids
        self._looks = looks

    def read(self, text: str, current: str) -> Ink | None:
        """The ink of a fill or stroke value; ``current`` is the value of color."""
        value = current.strip() if text.strip().lower() == "currentcolor" else text.strip()
        if value.lower() == "none":
            return None
        if value.lower().startswith("context-"):
            raise ValueError(f"the paint {shown(text)} depends on another element")
        link = _URL.match(value)
        return self._linked(link.group(2)) if link else solid(value)

    def _linked(self, target: str) -> Ink | None:
        """Paint by reference. A gradient of one colour is that colour (drawing programs
        keep their swatches so); anything else is no solid ink."""
        if not target.startswith("#"):
            raise ValueError(f"the paint {shown(target)} lies in another file")
        element = self._ids.get(target[1:])
        if element is None:
            raise ValueError(f"the paint {shown(target)} is not in the drawing")
        kind = local(element)
        if kind not in ("linearGradient", "radialGradient"):
            words = "a pattern" if kind in ("pattern", "hatch") else "not a colour"
            raise ValueError(f"the paint {shown(target)} is {words}")
        inks = {self._stop(stop) for stop in self._stops(element)}
        if len(inks) > 1:
            raise ValueError(f"the paint {shown(target)} is a gradient")
        return inks.pop() if inks else None  # SVG 1.1, 13.2.4: no stops paint nothing

    def _stops(self, element: Element | None) -> list[Element]:
        for _ in range(_CHAIN):
            if element is None:
                return []
            stops = [child for child in element if local(child) == "stop"]
            if stops:
                return stops
            element = self._ids.get(href(element).removeprefix("#"))
        return []

    def _stop(self, element: Element) -> Ink | None:
        look = self._looks.of(element)
        if amount(look.get("stop-opacity", "1")) < 1:
            raise ValueError("the gradient is see-through")
        value = look.get("stop-color", "black")
        if value.strip().lower() in ("currentcolor", "inherit"):
            raise ValueError(f"the gradient's colour {shown(value)} depends on another element")
        return solid(value)


def solid(text: str) -> Ink | None:
    """The ink of a CSS colour; None if it is wholly transparent."""
    if "icc-color" in text.lower():
        raise ValueError(f"the colour {shown(text)} names a colour profile")
    ink, alpha = _cmyk(text) or _rgb(text)
    if alpha <= 0:
        return None
    if alpha < 1:
        raise ValueError(f"the colour {shown(text)} is see-through")
    return Ink(None if ink == colour.WHITE else ink)


def _rgb(text: str) -> tuple[Cmyk, float]:
    found: Any = color4.parse_color(text)
    if found is None:
        raise ValueError(f"{shown(text)} is not a colour")
    if isinstance(found, str) or found.space not in _SPACES:
        raise ValueError(f"the colour {shown(text)} is not RGB")
    r, g, b = (part or 0.0 for part in found.to("srgb").coordinates)
    return colour.from_rgb(r, g, b), found.alpha


def _cmyk(text: str) -> tuple[Cmyk, float] | None:
    """CSS Color 5, 8: device-cmyk(c m y k [/ alpha]), numbers to 1 or percent."""
    match = _CMYK.fullmatch(text.strip())
    if match is None:
        return None
    inks, slash, alpha = match.group(1).partition("/")
    parts = [amount(p) for p in (inks.split(",") if "," in inks else inks.split())]
    if len(parts) != 4:
        raise ValueError(f"{shown(text)} does not have four inks")
    c, m, y, k = (round(part, 4) for part in parts)
    return Cmyk(c, m, y, k), amount(alpha) if slash else 1.0
