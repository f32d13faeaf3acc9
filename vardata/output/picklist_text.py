"""Text on the papers: which font shows a character, how wide it is, the operators that show it.

In: plain text and a size in points. Out: PDF text operators for one document, and widths.
Characters of a font's first subset, ASCII and most Latin letters, go the short way: one code
each. Other text goes through the fonts' further codes, font after font; a character that no
font has is written out as ``[U+1F600]``, so nothing is ever blank.
"""

from __future__ import annotations

import math
import re
from codecs import charmap_build, charmap_encode
from collections.abc import Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from vardata.output.picklist_embed import First, FontsOfDocument
from vardata.output.picklist_fonts import Chain, covered, spell
from vardata.output.picklist_shape import COMPLEX, private_char, shape

ELLIPSIS = "\u2026"
_BREAK_AFTER = " -/_!"
_SPECIAL = re.compile(r"[()\\\r]")  # in a literal string, ISO 32000-1, 7.3.4.2
_BETWEEN = "\0"  # texts that are looked over together; never a character of the first subset


class _Widths(dict[str, float]):
    """The width of each character in 1/1000 of the size, as the chain of fonts shows it."""

    def __init__(self, chain: Sequence[Any]) -> None:
        super().__init__()
        self._chain = chain

    def __missing__(self, char: str) -> float:
        width = 0.0
        for font, shown in spell(self._chain, char):
            face = self._chain[font].face
            width += float(sum(face.getCharWidth(ord(part)) for part in shown))
        self[char] = width
        return width


class _Metrics(NamedTuple):
    """What is known of a chain of fonts once for all documents.

    ``encoding`` makes codes of characters of the first subset. ``steps`` gives a width for each
    code in ``_STEP`` of the size, rounded up, so that a text can be measured in one go; a text
    is never wider than it is measured.
    """

    widths: _Widths
    encoding: Any
    steps: bytes
    covered: frozenset[str]  # what the first font shows itself


class Stack(NamedTuple):
    """Texts of one size, a line each: what shows them between ``before`` and ``after``, and the
    width of the widest in points."""

    before: str
    shown: list[str]
    after: str
    widest: float


_STEP = 1 / 220  # of the size; 255 of them pass the widest Latin letter


@lru_cache(maxsize=16)
def _metrics(chain: Chain, first: First) -> _Metrics:
    widths = _Widths(chain)
    steps = bytearray(256)
    chars = [_BETWEEN, *["\ufffe"] * 255]  # which stands for none
    for char, code in first.codes.items():
        wide = math.ceil(widths[char] / 1000 / _STEP)
        if wide < 256:
            chars[code], steps[code] = char, wide
    return _Metrics(widths, charmap_build("".join(chars)), bytes(steps), covered(chain[0]))


class Pen:
    """Writes text of one weight into one document."""

    def __init__(self, chain: Chain, fonts: FontsOfDocument, first: First) -> None:
        self._chain = chain
        self._fonts = fonts
        self._widths, self._encoding, self._steps, self._covered = _metrics(chain, first)
        self._first = first.name

    @property
    def _doc(self) -> Any:
        return self._fonts.doc

    def _coded(self, text: str, texts: int = 1) -> bytes | None:
        """The codes of a text, or of some with zeros between; None beyond the first subset."""
        try:
            codes: bytes = charmap_encode(text, "strict", self._encoding)[0]
        except UnicodeEncodeError:
            return None
        return codes if codes.count(0) == texts - 1 else None

    def width(self, text: str, size: float) -> float:
        """The width in points; of most, up to half a percent of the size a letter too much."""
        codes = self._coded(text)
        if codes is not None:
            return sum(codes.translate(self._steps)) * (size * _STEP)
        return self._true_width(text, size)

    def _true_width(self, text: str, size: float) -> float:
        if COMPLEX.search(text):
            return self._shaped_width(text) * (size * 0.001)
        return sum(map(self._widths.__getitem__, text)) * (size * 0.001)

    def _shaped_width(self, text: str) -> float:
        width = 0.0
        for index, shown in spell(self._chain, text):
            if COMPLEX.search(shown):
                width += sum(placed.advance for placed in shape(self._chain[index], shown))
            else:
                width += sum(map(self._widths.__getitem__, shown))
        return width

    def widths(self, texts: Sequence[str], size: float) -> list[float]:
        """``width`` of many texts."""
        codes = self._coded(_BETWEEN.join(texts), len(texts))
        if codes is None:
            return [self.width(text, size) for text in texts]
        scale = size * _STEP
        return [sum(steps) * scale for steps in codes.translate(self._steps).split(b"\0")]

    def stack(self, texts: Sequence[str], size: float) -> Stack:
        """``show`` of each text and the greatest ``width``, of at least one."""
        codes = self._coded(_BETWEEN.join(texts), len(texts))
        if codes is None:
            shown = [self.show(text, size) for text in texts]
            return Stack("", shown, "", max([self.width(text, size) for text in texts]))
        # Digits are of one width, and much repeats: most texts are as wide as one before.
        widest = max(map(sum, set(codes.translate(self._steps).split(b"\0"))))
        return self._stacked(codes, size, widest * size * _STEP)

    def _stacked(self, codes: bytes, size: float, widest: float) -> Stack:
        before = f"{self._first} {size:g} Tf ("
        return Stack(before, _literal(codes).split(_BETWEEN), ") Tj", widest)

    def measured(self, texts: Sequence[str], size: float) -> tuple[Stack, list[float]]:
        """``stack`` and ``widths`` of at least one text."""
        codes = self._coded(_BETWEEN.join(texts), len(texts))
        if codes is None:
            return self.stack(texts, size), self.widths(texts, size)
        scale = size * _STEP
        widths = [sum(steps) * scale for steps in codes.translate(self._steps).split(b"\0")]
        return self._stacked(codes, size, max(widths)), widths

    def show(self, text: str, size: float) -> str:
        """Operators that set the font and show the text, for use between BT and ET."""
        codes = self._coded(text)
        if codes is not None:
            return f"{self._first} {size:g} Tf ({_literal(codes)}) Tj"
        runs = [(0, text)] if self._covered.issuperset(text) else spell(self._chain, text)
        return " ".join([self._run(self._chain[font], shown, size) for font, shown in runs])

    def _run(self, font: Any, text: str, size: float) -> str:
        """Operators for a stretch in one font."""
        if COMPLEX.search(text):
            shaped = self._shaped(font, text, size)
            if shaped is not None:
                return shaped
        return " ".join(
            f"{font.getSubsetInternalName(subset, self._doc)} {size:g} Tf <{codes.hex()}> Tj"
            for subset, codes in font.splitString(text, self._doc)
        )

    def _shaped(self, font: Any, text: str, size: float) -> str | None:
        """A shaped stretch, glyph by glyph; what it says is kept beside it for readers and for
        search (ActualText, ISO 32000-1, 14.9.4). None where a glyph cannot be named."""
        out = [f"/Span <</ActualText <FEFF{text.encode('utf-16-be').hex()}>>> BDC"]
        for placed in shape(font, text):
            char = private_char(font, placed.glyph)
            if char is None:
                return None
            ((subset, codes),) = font.splitString(char, self._doc)
            own = font.face.getCharWidth(ord(char))
            after = placed.x + own - placed.advance
            out.append(
                f"{font.getSubsetInternalName(subset, self._doc)} {size:g} Tf "
                f"{placed.y * size * 0.001:.2f} Ts "
                f"[{-placed.x:.1f} <{codes.hex()}> {after:.1f}] TJ"
            )
        return " ".join([*out, "0 Ts EMC"])

    def at(self, x: float, y: float, text: str, size: float) -> str:
        """A text object with its baseline's start at (x, y)."""
        return f"BT {x:.2f} {y:.2f} Td {self.show(text, size)} ET"

    def at_right(self, x: float, y: float, text: str, size: float) -> str:
        """The same, ending at x."""
        return self.at(x - self.width(text, size), y, text, size)

    def at_middle(self, x: float, y: float, text: str, size: float) -> str:
        """The same, centred on x."""
        return self.at(x - self.width(text, size) / 2, y, text, size)

    def shorten(self, text: str, size: float, width: float) -> str:
        """The text, or as much of it as fits the width with an ellipsis behind it."""
        if self.width(text, size) <= width or self._true_width(text, size) <= width:
            return text
        return self._cut(text, size, width)

    def _cut(self, text: str, size: float, width: float) -> str:
        """As much of a text as fits the width with an ellipsis behind it."""
        room = width - self.width(ELLIPSIS, size)
        used, kept = 0.0, 0
        for char in text:
            used += self._widths[char] * size * 0.001
            if used > room:
                break
            kept += 1
        return text[:kept].rstrip() + ELLIPSIS

    def fit_size(self, text: str, width: float, size: float, least: float) -> float:
        """The largest size, up to ``size`` and not below ``least``, at which the text fits."""
        natural = self.width(text, 1.0)
        if natural * size <= width:
            return size
        return max(least, int(width / natural * 4) / 4)

    def wrap(self, text: str, size: float, width: float, most: int) -> list[str]:
        """Lines that fit the width: broken at spaces and hyphens if possible, else in a word.

        After ``most`` lines the rest is left out, and an ellipsis says so.
        """
        lines: list[str] = []
        for paragraph in text.split("\n"):
            lines += self._wrap_one(paragraph, size, width)
            if len(lines) > most:
                last = f"{lines[most - 1]} {lines[most]}"
                return [*lines[: most - 1], self._cut(last, size, width)]
        return lines

    def _wrap_one(self, text: str, size: float, width: float) -> list[str]:
        if self.width(text, size) <= width:
            return [text]
        lines: list[str] = []
        scale = size * 0.001
        rest = text
        while rest:
            used, place, space = 0.0, 0, 0
            for place, char in enumerate(rest):
                used += self._widths[char] * scale
                if used > width and place:
                    break
                if char in _BREAK_AFTER:
                    space = place + 1
            else:
                lines.append(rest)
                break
            cut = place if rest[place] == " " else space or place
            lines.append(rest[:cut].rstrip(" "))
            rest = rest[cut:].lstrip(" ")
        return lines


def _literal(codes: bytes) -> str:
    """Codes as they stand between the brackets of a literal string."""
    text = codes.decode("latin-1")
    return _SPECIAL.sub(_escaped, text) if _SPECIAL.search(text) else text


def _escaped(found: re.Match[str]) -> str:
    return "\\r" if found[0] == "\r" else f"\\{found[0]}"
