"""The paint of an SVG shape: one solid ink, white ink, a gradient, or nothing.

In: the values of fill, stroke and color. Out: ``Ink`` or None. RGB becomes process ink by
``colour.from_rgb``; device-cmyk() is taken as it is; pure white asks for white ink. What is
neither a colour nor a gradient, or not opaque, raises ``ValueError`` with the words for a message.
"""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from tinycss2 import color4

from vardata.dress import colour, svg_gradient
from vardata.dress.svg_css import Looks
from vardata.dress.svg_gradient import Gradient, Rgb, Stop
from vardata.marks import Cmyk
from vardata.svg.shape import Size
from vardata.svg.source import Element, local
from vardata.svg.values import amount, shown

_CMYK = re.compile(r"device-cmyk\(([^()]*)\)", re.IGNORECASE)
_URL = re.compile(r"""url\(\s*(['"]?)(.*?)\1\s*\)\s*(.*)""", re.DOTALL)
_SPACES = ("srgb", "hsl", "hwb")  # what is sRGB by another name


class Ink(NamedTuple):
    """Solid paint (None is white ink), or a gradient and the heaviest of its inks."""

    cmyk: Cmyk | None
    gradient: Gradient | None = None


class Paints:
    """Reads the paints of one drawing, in which gradients are known by their ids."""

    def __init__(self, ids: dict[str, Element], looks: Looks) -> None:
        self._ids = ids
        self._looks = looks

    def read(self, text: str, current: str, size: Size) -> Ink | None:
        """The ink of a fill or stroke value; ``current`` is the value of color, ``size`` that of
        the viewport."""
        value = current.strip() if text.strip().lower() == "currentcolor" else text.strip()
        if value.lower() == "none":
            return None
        if value.lower().startswith("context-"):
            raise ValueError(f"the paint {shown(text)} depends on another element")
        link = _URL.match(value)
        return self._linked(link.group(2), size) if link else solid(value)

    def _linked(self, target: str, size: Size) -> Ink | None:
        """Paint by reference. A gradient of one colour is that colour (drawing programs
        keep their swatches so)."""
        if not target.startswith("#"):
            raise ValueError(f"the paint {shown(target)} lies in another file")
        element = self._ids.get(target[1:])
        if element is None:
            raise ValueError(f"the paint {shown(target)} is not in the drawing")
        kind = local(element)
        if kind not in ("linearGradient", "radialGradient"):
            words = "a pattern" if kind in ("pattern", "hatch") else "not a colour"
            raise ValueError(f"the paint {shown(target)} is {words}")
        chain = svg_gradient.chain(element, self._ids)
        held = next((e for e in chain if svg_gradient.stop_elements(e)), None)
        stops = [] if held is None else self._stops(held)
        if not stops:
            return None  # SVG 1.1, 13.2.4: no stops paint nothing
        if len({stop.paint for stop in stops}) == 1:
            return _ink(stops[0].paint)
        gradient = svg_gradient.gradient(chain, stops, size, self._looks)
        if gradient is None:  # SVG 1.1, 13.2.2 and 13.2.3: no way to go paints the last colour
            return _ink(stops[-1].paint)
        return Ink(max((stop.paint for stop in stops), key=sum), gradient)

    def _stops(self, element: Element) -> list[Stop]:
        found: list[Stop] = []
        for stop in svg_gradient.stop_elements(element):
            look = self._looks.of(stop)
            if amount(look.get("stop-opacity", "1")) < 1:
                raise ValueError("the gradient is see-through")
            value = look.get("stop-color", "black")
            if value.strip().lower() in ("currentcolor", "inherit"):
                raise ValueError(f"the gradient's colour {shown(value)} depends on another element")
            ink, alpha, rgb = _parsed(value)
            if alpha < 1:
                raise ValueError("the gradient is see-through")
            # SVG 1.1, 13.2.4: an offset is never less than the one before it.
            at = amount(stop.get("offset") or "0")
            found.append(Stop(max(at, found[-1].at) if found else at, ink, rgb))
        return found


def _ink(paint: Cmyk) -> Ink:
    return Ink(None if paint == colour.WHITE else paint)


def solid(text: str) -> Ink | None:
    """The ink of a CSS colour; None if it is wholly transparent."""
    if "icc-color" in text.lower():
        raise ValueError(f"the colour {shown(text)} names a colour profile")
    ink, alpha, _ = _parsed(text)
    if alpha <= 0:
        return None
    if alpha < 1:
        raise ValueError(f"the colour {shown(text)} is see-through")
    return _ink(ink)


def _parsed(text: str) -> tuple[Cmyk, float, Rgb | None]:
    """A colour's ink, its alpha, and its red, green and blue if it was written in them."""
    found = _cmyk(text)
    return (*found, None) if found else _rgb(text)


def _rgb(text: str) -> tuple[Cmyk, float, Rgb]:
    found: Any = color4.parse_color(text)
    if found is None:
        raise ValueError(f"{shown(text)} is not a colour")
    if isinstance(found, str) or found.space not in _SPACES:
        raise ValueError(f"the colour {shown(text)} is not RGB")
    r, g, b = (part or 0.0 for part in found.to("srgb").coordinates)
    return colour.from_rgb(r, g, b), found.alpha, (r, g, b)


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
