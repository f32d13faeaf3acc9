"""The digits of an EAN or UPC, between and beside its guard bars.

In: the symbol, its place in its field's box, the fonts. Out: the digits as fitted texts, and the
height that they take of the box. Which bars are longer is ``guards``' business.

The parts stand under the bars that say them; a digit that has none of its own, or whose bars are
guards, stands in the quiet zone. By default the digits are as large as the standard's figures draw
them, 8 1/3 modules high (2.75 mm at 0.33 mm a module, so that an EAN-13 is 25.93 mm high with its
22.85 mm of bars), or less if the font is so wide that they would not stand over 7 modules each.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from vardata.fit.codes.guards import GUARDS, TAIL, has_addon
from vardata.fit.codes.line import shifted, strip_field
from vardata.fit.codes.room import NO_STRIP, Room, Strip
from vardata.fit.codes.symbol import Symbol
from vardata.fit.fonts import Face
from vardata.fit.groupsize import GroupSize
from vardata.fit.result import TextFit
from vardata.fit.text import fit_in_group, fit_text, led
from vardata.job.model import CodeField
from vardata.problems import Problem
from vardata.units import MM_PER_PT

# In modules, by GS1 General Specifications, 5.2.5 (secondary), if not said otherwise.
GAP = 1.0  # between bars and digits; half of it is the least allowed
HIGH = 8 + 1 / 3  # the height of a digit, from 25.93 - 22.85 mm in the figures, less the gap
# The light left beyond the digits, so that they are seen whole on a ground that ends there.
# Common practice, no source.
EDGE = 0.75
# The widest that the outer digits of UPC get; they may be 4 wide, but then they would end with the
# quiet zone, and with a ground.
OUTER = 3.5
ASIDE = 5.0  # from the symbol to them (from memory)
_NEARER = {"upce": 3.0}  # to the last one of UPC-E, whose quiet zone is narrower there
# Common practice, no source: digits keep off the guard bars beside them by as much as from the
# bars above them at the least, which leaves each of four digits (EAN-8) this width.
_CLEAR = 0.5
_ADVANCE = (4 * 7 - 2 * _CLEAR) / 4
_HAIR = 0.002  # mm: what rounding takes of the height of digits

_LEAD = (-11.0, -4.0)  # EAN-13: at the far end of the quiet zone, as the figures draw it (memory)
_HALVES: dict[str, tuple[tuple[float, float], ...]] = {
    "ean13": (_LEAD, (3, 45), (50, 92)),
    "ean8": ((3, 31), (36, 64)),
    "upca": ((10, 45), (50, 85)),
    "upce": ((3, 45),),
}


class Figures(NamedTuple):
    """The digits 0 to 9 of a font, in em: how high and low they reach, and the widest."""

    top: float
    bottom: float
    advance: float
    ink: float

    @property
    def high(self) -> float:
        return self.top - self.bottom


class _Part(NamedTuple):
    """Digits with their place: from, to and the baseline, mm in the box."""

    text: str
    start: float
    end: float
    base: float
    align: str = "centre"


@lru_cache(maxsize=256)
def figures(chain: tuple[Face, ...]) -> Figures:
    """Measures of the font that sets the digits; of a usual one where none does."""
    face = led(chain, "0123456789")[0]
    numbers = [face.font.get_nominal_glyph(ord(digit)) for digit in "0123456789"]
    glyphs = [face.glyphs[number] for number in numbers if number]
    glyphs = [glyph for glyph in glyphs if glyph.top > glyph.bottom]
    if len(glyphs) < len(numbers):
        return Figures(0.72, -0.01, 0.6, 0.5)
    em = face.units_per_em
    return Figures(
        max(glyph.top for glyph in glyphs) / em,
        min(0.0, *(glyph.bottom for glyph in glyphs)) / em,
        max(glyph.advance for glyph in glyphs) / em,
        max(glyph.right - glyph.left for glyph in glyphs) / em,
    )


def strips(field: CodeField, columns: int, chain: tuple[Face, ...]) -> tuple[Strip, Strip]:
    """What digits and guard bars need below the bars, and an add-on's digits above its own."""
    seen = figures(chain)
    if field.text_size is None:
        strip = Strip(_HAIR, GAP + seen.high * _em(seen) + EDGE)
    else:
        strip = Strip(_HAIR + seen.high * field.text_size * MM_PER_PT, GAP + EDGE)
    foot = strip._replace(least=TAIL) if field.guard_bars == "long" else strip
    return foot, strip if has_addon(field.symbology, columns) else NO_STRIP


def _em(seen: Figures) -> float:
    """The modules of an em of digits of the figures' size."""
    return min(HIGH / seen.high, _ADVANCE / seen.advance)


def fit_digits(
    field: CodeField, symbol: Symbol, place: Room, chain: tuple[Face, ...]
) -> tuple[TextFit, TextFit | None] | Problem:
    """The digits, and those of UPC that stand outside and are smaller."""
    seen, module = figures(chain), place.module
    if field.text_size is None:  # a hair less, in hundredths of a point
        points = math.floor(_em(seen) * module / MM_PER_PT * 100) / 100
    else:
        points = field.text_size
    foot, _ = strips(field, symbol.columns, chain)
    low = foot.height_mm(module) - GAP * module - seen.top * points * MM_PER_PT
    high = place.y + place.h + place.head - EDGE * module - seen.top * points * MM_PER_PT - _HAIR
    inner, outer = _parts(field.symbology, symbol, place, (low, high))
    main = _fitted(inner, field, points, chain)
    if isinstance(main, Problem) or not outer:
        return main if isinstance(main, Problem) else (main, None)
    smaller = min(points, math.floor((OUTER * module - _HAIR) / seen.ink / MM_PER_PT * 100) / 100)
    ends = _fitted(outer, field, smaller, chain)
    return ends if isinstance(ends, Problem) else (main, ends)


def _parts(
    symbology: str, symbol: Symbol, place: Room, bases: tuple[float, float]
) -> tuple[list[_Part], list[_Part]]:
    """The digits of one size, an add-on's with them, and the outer ones of UPC; ``bases`` are the
    baselines below the bars and above those of an add-on."""
    words = symbol.line.split(" ")
    own, columns = GUARDS[symbology].columns, symbol.columns
    low, high = bases

    def part(text: str, start: float, end: float, base: float, align: str = "centre") -> _Part:
        left, module = place.x, place.module
        return _Part(text, left + start * module, left + end * module, base, align)

    addon: list[_Part] = []
    right = own + _NEARER.get(symbology, ASIDE)
    if has_addon(symbology, columns):
        over = words.pop()
        wide = 20 if len(over) == 2 else 47  # the add-ons' modules (5.2.2.5, from memory)
        addon = [part(over, columns - wide, columns, high)]
        right = own + (columns - wide - own - OUTER) / 2  # in the middle of the gap
    outer: list[_Part] = []
    if symbology in ("upca", "upce"):
        first, *words, last = words
        outer = [
            part(first, -ASIDE - OUTER, -ASIDE, low, "right"),
            part(last, right, right + OUTER, low, "centre" if addon else "left"),
        ]
    inner = [
        part(word, start, end, low) if start < 0
        else part(word, start + _CLEAR, end - _CLEAR, low)
        for word, (start, end) in zip(words, _HALVES[symbology])
    ]  # fmt: skip
    return [*inner, *addon], outer


def _fitted(
    parts: Sequence[_Part], field: CodeField, points: float, chain: tuple[Face, ...]
) -> TextFit | Problem:
    """Parts as one text, all of one size."""
    fields = [
        strip_field(round(part.end - part.start, 6), field.text_font, points, part.align)
        for part in parts
    ]
    fits: list[TextFit] = []
    for part, strip in zip(parts, fields):
        fitted = fit_text(part.text, strip, chain)
        if isinstance(fitted, Problem):
            return fitted._replace(what=f"the line under the code: {fitted.what}", value=part.text)
        fits.append(fitted)
    size, squeeze = min(fit.size_pt for fit in fits), min(fit.squeeze for fit in fits)
    if any((fit.size_pt, fit.squeeze) != (size, squeeze) for fit in fits):
        common = GroupSize(size, squeeze, 1, 0.0)
        again = (fit_in_group(p.text, strip, chain, common) for p, strip in zip(parts, fields))
        fits = [fit for fit in again if isinstance(fit, TextFit)]  # what is smaller fits as well
    moved = [
        shifted(fit, part.start, part.base - fit.runs[0].y) for fit, part in zip(fits, parts)
    ]
    boxes = list(zip(*(fit.ink for fit in moved)))
    return moved[0]._replace(
        text=" ".join(fit.text for fit in moved),
        runs=tuple(run for fit in moved for run in fit.runs),
        ink=(min(boxes[0]), min(boxes[1]), max(boxes[2]), max(boxes[3])),
    )
