"""Characters seen one by one: what stays together, what needs no glyph, which script it is.

In: text. Out: clusters (a base with all that joins it, as ICU finds them by UAX 29) and
stretches of one script (UAX 24): what choosing a font needs; shaping itself is uharfbuzz's
business.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import lru_cache

import uharfbuzz as hb

# Default ignorable code points that a shaper hides (DerivedCoreProperties of the UCD, without
# the Hangul fillers, which are shown; the list that uharfbuzz's library hides).
_IGNORABLE = (
    (0xAD, 0xAD), (0x34F, 0x34F), (0x61C, 0x61C), (0x17B4, 0x17B5), (0x180B, 0x180F),
    (0x200B, 0x200F), (0x202A, 0x202E), (0x2060, 0x206F), (0xFE00, 0xFE0F), (0xFEFF, 0xFEFF),
    (0xFFF0, 0xFFF8), (0x1D173, 0x1D17A), (0xE0000, 0xE0FFF),
)  # fmt: skip
_BRAILLE_BLANK = "\u2800"


def _within(char: str, ranges: tuple[tuple[int, int], ...]) -> bool:
    code = ord(char)
    return any(first <= code <= last for first, last in ranges)


@lru_cache(maxsize=4096)
def is_ignorable(char: str) -> bool:
    """Whether a character needs no glyph: joiners, marks of direction, variation selectors."""
    return _within(char, _IGNORABLE)


@lru_cache(maxsize=4096)
def is_blank(char: str) -> bool:
    """Whether a character rightly leaves no ink."""
    return unicodedata.category(char)[0] == "Z" or is_ignorable(char) or char == _BRAILLE_BLANK


def is_torn(text: str) -> bool:
    """Whether a text holds half a character (a lone surrogate), which no library takes."""
    return any("\ud800" <= char <= "\udfff" for char in text)


def clusters(text: str) -> Iterator[str]:
    """What a reader takes for one character: extended grapheme clusters (UAX 29)."""
    if (text.isascii() and "\r" not in text) or is_torn(text):
        return iter(text)
    from icu4py.breakers import CharacterBreaker

    return iter(CharacterBreaker(text, "en"))


@lru_cache(maxsize=4096)
def script_of(char: str) -> str:
    """The script's tag; "" for what all scripts share."""
    buffer = hb.Buffer()
    buffer.add_str(char)
    buffer.guess_segment_properties()
    return str(buffer.script or "")


def scripts(text: str) -> Iterator[str]:
    """Stretches of one script; what all scripts share goes with what stands before it."""
    start, current = 0, ""
    for index, char in enumerate(text):
        script = script_of(char)
        if script and script != current:
            if current:
                yield text[start:index]
                start = index
            current = script
    yield text[start:]
