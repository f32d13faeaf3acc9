"""Scripts whose letters join, stack or run from right to left, shaped for the papers.

In: a stretch of text and the reportlab font that shows it. Out: its glyphs with their places,
as HarfBuzz sets them; and a code for each glyph, because reportlab's fonts know characters
only. The stretch is shaped as one, in the direction its script has, just as for the bed.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any, NamedTuple

# Blocks of Unicode from Hebrew to Myanmar, Khmer to Mongolian and on, with the presentation
# forms: scripts that do not merely put one letter after another. And all beyond the first
# plane, whose characters reportlab's fonts do not name rightly for whoever copies them.
COMPLEX = re.compile(
    "[\u0590-\u109f\u1780-\u18af\u1900-\u1cff\ua840-\uabff\ufb1d-\ufdff\ufe70-\ufefe"
    "\U00010000-\U0010ffff]"
)
_IGNORABLE = re.compile(
    "[\xad\u034f\u061c\u180b-\u180f\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufe00-\ufe0f\ufeff"
    "\U000e0000-\U000e0fff]"
)
_PRIVATE, _PRIVATE_END = 0xE000, 0xF8FF  # Unicode's private use area in the first plane


class Placed(NamedTuple):
    """A glyph; where it is put off its pen, and how far the pen moves, in 1/1000 of the size."""

    glyph: int
    x: float
    y: float
    advance: float


@lru_cache(maxsize=4096)
def shape(font: Any, text: str) -> tuple[Placed, ...]:
    """The glyphs of a stretch, from left to right."""
    import uharfbuzz as hb

    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb_font = _hb_font(font)
    hb.shape(hb_font, buffer)
    scale = 1000.0 / hb_font.face.upem
    return tuple(
        Placed(info.codepoint, move[0] * scale, move[1] * scale, move[2] * scale)
        for info, move in zip(
            buffer.glyph_infos, (position.position for position in buffer.glyph_positions)
        )
    )


@lru_cache(maxsize=32)
def _hb_font(font: Any) -> Any:
    import uharfbuzz as hb

    own = getattr(font, "hb_font", None)  # of a member of a collection, of a variable font
    return own or hb.Font(hb.Face(hb.Blob.from_file_path(font.face.filename)))


def private_char(font: Any, glyph: int) -> str | None:
    """A character that stands for the glyph in reportlab's font: always the same one for the
    same glyph, so that no part depends on what was made before it. None where there is none."""
    code = _PRIVATE + glyph
    face = font.face
    if code > _PRIVATE_END or face.charToGlyph.setdefault(code, glyph) != glyph:
        return None
    advance = face.hmetrics[glyph][0] * 1000.0 / _hb_font(font).face.upem
    face.charWidths.setdefault(code, advance)
    return chr(code)


def is_ignorable(char: str) -> bool:
    """Characters that guide others and are never seen: joiners, marks of direction, variation
    selectors, the soft hyphen (UAX 44, Default_Ignorable_Code_Point, as far as fonts meet it)."""
    return _IGNORABLE.match(char) is not None
