"""Characters seen one by one: what stays together, what needs no glyph, which script it is.

In: text. Out: clusters (a base with all that joins it), stretches of one script, and whether a
text runs one way only. These are the parts of UAX 29, UAX 24 and UAX 9 that choosing a font
needs; shaping itself is uharfbuzz's business.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from typing import Literal

import uharfbuzz as hb

Direction = Literal["ltr", "rtl", "mixed"]

_JOINER = "\u200d"
# Default ignorable code points that a shaper hides (DerivedCoreProperties of the UCD, without
# the Hangul fillers, which are shown; the list that uharfbuzz's library hides).
_IGNORABLE = (
    (0xAD, 0xAD), (0x34F, 0x34F), (0x61C, 0x61C), (0x17B4, 0x17B5), (0x180B, 0x180F),
    (0x200B, 0x200F), (0x202A, 0x202E), (0x2060, 0x206F), (0xFE00, 0xFE0F), (0xFEFF, 0xFEFF),
    (0xFFF0, 0xFFF8), (0x1D173, 0x1D17A), (0xE0000, 0xE0FFF),
)  # fmt: skip
# Joined to the character before them though no marks: conjoining jamo (vowels and finals),
# skin tones, the Thai and Lao vowels am.
_JOINED = ((0x1160, 0x11FF), (0xD7B0, 0xD7FB), (0x1F3FB, 0x1F3FF), (0xE33, 0xE33), (0xEB3, 0xEB3))
_FLAG_LETTERS = (0x1F1E6, 0x1F1FF)
# UAX 9, table 4: what turns a text to the left, and what then needs the full algorithm.
_RIGHT_TO_LEFT = {"R", "AL", "RLE", "RLO", "RLI"}
_OTHER_WAY = {"L", "EN", "AN", "LRE", "LRO", "LRI", "RLE", "RLO", "RLI", "FSI"}
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


@lru_cache(maxsize=4096)
def _extends(char: str) -> bool:
    """Whether a character belongs to the cluster before it (UAX 29, GB7 to GB9a)."""
    return unicodedata.category(char)[0] == "M" or is_ignorable(char) or _within(char, _JOINED)


def clusters(text: str) -> Iterator[str]:
    """Bases with all that joins them; two flag letters are one flag."""
    cluster = ""
    for char in text:
        if cluster and not (_extends(char) or cluster[-1] == _JOINER or _is_flag(cluster, char)):
            yield cluster
            cluster = ""
        cluster += char
    if cluster:
        yield cluster


def _is_flag(cluster: str, char: str) -> bool:
    return len(cluster) == 1 and all(_within(part, (_FLAG_LETTERS,)) for part in (cluster, char))


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


def direction_of(text: str) -> Direction:
    """Which way a text runs; "mixed" where it runs both ways or says how to."""
    classes = set(map(unicodedata.bidirectional, text))
    if classes.isdisjoint(_RIGHT_TO_LEFT):
        return "ltr"
    return "rtl" if classes.isdisjoint(_OTHER_WAY) else "mixed"
