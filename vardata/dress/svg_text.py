"""Text of an SVG as outlines, where it is set in a font that ships.

In: a ``<text>`` element and what is declared about it. Out: a path for each stretch of it, in
user units. Whatever would be set otherwise by another reader (a font that does not ship, spacing,
decoration, lines of other directions) raises ``ValueError`` with the words for a message.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from typing import Any, NamedTuple

from vardata.dress.svg_css import Looks
from vardata.fit.outlines import CommandPen
from vardata.job.shipped import fonts
from vardata.marks import Command
from vardata.svg.shape import Figure
from vardata.svg.source import XML, Element, local
from vardata.svg.values import length, shown

_BOLD = ("bold", "600", "700", "800", "900")
# Properties whose every other value would move or change letters (SVG 1.1, 10).
_PLAIN = {
    "font": (), "font-style": ("normal",), "font-variant": ("normal",),
    "font-stretch": ("normal", "100%"), "font-feature-settings": ("normal",),
    "font-kerning": ("auto", "normal"), "font-size-adjust": ("none",),
    "font-variation-settings": ("normal",), "letter-spacing": ("normal", "0", "0px"),
    "word-spacing": ("normal", "0", "0px"), "text-decoration": ("none",),
    "text-decoration-line": ("none",), "text-transform": ("none",),
    "writing-mode": ("lr-tb", "lr", "horizontal-tb"), "direction": ("ltr",),
    "baseline-shift": ("baseline", "0"), "dominant-baseline": ("auto", "alphabetic"),
    "alignment-baseline": ("auto", "baseline", "alphabetic"), "white-space": ("normal",),
    "text-rendering": ("auto", "geometricprecision", "optimizelegibility"),
}  # fmt: skip
_PLACED = ("dx", "dy", "rotate", "textLength", "lengthAdjust")


class Stretch(NamedTuple):
    """Letters of one element, their font file, size and anchor; ``x``, ``y`` where they begin a
    new line of their own."""

    element: Element
    text: str
    font: str
    size: float
    anchor: str
    x: float | None
    y: float | None


class Lettered(NamedTuple):
    """The outlines of a stretch, and the element that says how they are painted."""

    element: Element
    figure: Figure


def outlines(element: Element, looks: Looks) -> Iterator[Lettered]:
    """A text as paths, stretch by stretch. Raises ``ValueError``."""
    stretches = list(_stretches(element, looks, None))
    while stretches and not stretches[-1].text.strip():
        stretches.pop()
    if stretches:
        stretches[-1] = stretches[-1]._replace(text=stretches[-1].text.rstrip())
    x = y = 0.0
    for line in _lines(stretches):
        x, y = (x if line[0].x is None else line[0].x), (y if line[0].y is None else line[0].y)
        shaped = [_shaped(one) for one in line]
        wide = sum(width for _, width in shaped)
        x -= {"start": 0.0, "middle": wide / 2, "end": wide}[line[0].anchor]
        for one, (glyphs, width) in zip(line, shaped):
            drawn = _drawn(one, glyphs, x, y)
            if drawn:
                yield Lettered(one.element, Figure("path", {"d": drawn}))
            x += width


def _lines(stretches: list[Stretch]) -> Iterator[list[Stretch]]:
    """Stretches that follow each other; a place of its own begins another line."""
    line: list[Stretch] = []
    for one in stretches:
        if line and (one.x is not None or one.y is not None):
            yield line
            line = []
        line.append(one)
    if line:
        yield line


def _stretches(element: Element, looks: Looks, before: Stretch | None) -> Iterator[Stretch]:
    """All letters in their order, white space taken together (SVG 1.1, 10.15)."""
    own = _setting(element, looks)
    last, first = before, True

    def stretch(text: str | None) -> Stretch | None:
        nonlocal first, last
        begins = first and (own.x is not None or own.y is not None)
        bare = " ".join((text or "").split())
        if text and text[:1].isspace() and last and not begins and not last.text.endswith(" "):
            bare = f" {bare}"
        if text and text[-1:].isspace() and bare.strip():
            bare += " "
        if not bare:
            return None
        made = own._replace(text=bare)
        if not first:
            made = made._replace(x=None, y=None)
        first, last = False, made
        return made

    found = stretch(element.text)
    if found:
        yield found
    for child in element:
        kind = local(child)
        if kind == "tspan":
            for one in _stretches(child, looks, last):
                if first and one.x is None and one.y is None:
                    one = one._replace(x=own.x, y=own.y)
                first, last = False, one
                yield one
        elif kind and kind not in ("title", "desc"):
            raise ValueError(f"<{kind}> in a text cannot be set")
        found = stretch(child.tail)
        if found:
            yield found


def _setting(element: Element, looks: Looks) -> Stretch:
    """How an element's letters are set."""
    for name, plain in _PLAIN.items():
        value = _asked(element, name, looks, "").lower()
        if value and value not in plain:
            raise ValueError(f"{name} {shown(value)} is not set here")
    for name in _PLACED:
        if element.get(name):
            raise ValueError(f"{name} moves single letters")
    if element.get(f"{{{XML}}}space") == "preserve" and "  " in "".join(element.itertext()):
        raise ValueError("it keeps several spaces")
    anchor = _asked(element, "text-anchor", looks, "start").lower()
    if anchor not in ("start", "middle", "end"):
        raise ValueError(f"text-anchor {shown(anchor)} is not one of start, middle, end")
    text = _asked(element, "font-size", looks, "16px")
    size = 0.0 if text.endswith("%") else length(text, 0.0)
    if size <= 0:
        raise ValueError(f"font-size {shown(text)} is no size of its own")
    return Stretch(
        element, "", _font(element, looks), size, anchor,
        *(_place(element, name) for name in ("x", "y")),
    )  # fmt: skip


def _place(element: Element, name: str) -> float | None:
    text = (element.get(name) or "").strip()
    if not text:
        return 0.0 if local(element) == "text" else None
    if len(text.replace(",", " ").split()) > 1:
        raise ValueError(f"{name} places letters one by one")
    if text.endswith("%"):
        raise ValueError(f"{name} is a share of the drawing")
    return length(text, 0.0)


def _asked(element: Element, name: str, looks: Looks, default: str) -> str:
    """A property of an element, or of the nearest around it that has one."""
    while element is not None:
        value = (looks.of(element).get(name) or element.get(name) or "").strip()
        if value and value.lower() not in ("inherit", "unset"):
            return value
        element = element.getparent()
    return default


def _font(element: Element, looks: Looks) -> str:
    """The name of the shipped font. Others may look alike, and are still others."""
    family = _asked(element, "font-family", looks, "").split(",")[0].strip().strip("'\"")
    if not family:
        raise ValueError("text would need its font")
    weight = _asked(element, "font-weight", looks, "normal").lower()
    style = "Bold" if weight in _BOLD else "Regular"
    plain = "".join(family.split()).lower()
    for name in fonts():
        base, _, kind = name.partition("-")
        if base.lower() == plain and kind == style and weight in (*_BOLD, "normal", "400"):
            return name
    bold = f" in the weight {weight}" if weight not in ("normal", "400") else ""
    raise ValueError(f"text would need the font {shown(family)}{bold}")


@lru_cache(maxsize=16)
def _face(name: str) -> Any:
    import uharfbuzz

    return uharfbuzz.Font(uharfbuzz.Face(fonts()[name].read_bytes()))


Glyphs = list[tuple[int, float, float]]  # id, x and y of its origin, in the font's units


def _shaped(one: Stretch) -> tuple[Glyphs, float]:
    """The glyphs of a stretch, and its width in user units."""
    import uharfbuzz

    if any(unicodedata.bidirectional(letter) in ("R", "AL", "AN") for letter in one.text):
        raise ValueError(f"{shown(one.text)} runs from right to left")
    font = _face(one.font)
    buffer = uharfbuzz.Buffer()
    buffer.add_str(one.text)
    buffer.guess_segment_properties()
    uharfbuzz.shape(font, buffer)
    pen, glyphs = 0.0, []
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions):
        if info.codepoint == 0:
            missing = one.text[info.cluster]
            raise ValueError(f"the font {one.font} has no {shown(missing)}")
        glyphs.append((info.codepoint, pen + place.x_offset, float(place.y_offset)))
        pen += place.x_advance
    return glyphs, pen * one.size / font.face.upem


def _drawn(one: Stretch, glyphs: Glyphs, x: float, y: float) -> str:
    """Path data, y down."""
    font = _face(one.font)
    scale = one.size / font.face.upem
    drawn: list[str] = []
    for glyph, gx, gy in glyphs:
        pen = CommandPen(1.0)
        font.draw_glyph_with_pen(glyph, pen)
        drawn += (_written(c, x + gx * scale, y - gy * scale, scale) for c in pen.commands)
    return " ".join(drawn)


def _written(command: Command, x: float, y: float, scale: float) -> str:
    kind, *given = command
    n = [float(value) for value in given]
    points = (f"{x + px * scale:.5f} {y - py * scale:.5f}" for px, py in zip(n[::2], n[1::2]))
    return {"m": "M", "l": "L", "c": "C", "h": "Z"}[str(kind)] + " ".join(points)
