"""How large a fallback font is set, so that its letters look as large as those of the first.

In: heights of letters of two fonts. Out: units an em for the second. Fonts of one size in
points are often of quite another size to the eye; a person sees the height of the letters.
"""

from __future__ import annotations

from typing import Literal

SizedBy = Literal["cap-height", "x-height", "none"]

LETTERS: dict[SizedBy, str] = {"cap-height": "H", "x-height": "x"}
# 1/1000 em: heights of Noto Sans, beside which Noto's fonts for scripts without capitals are
# drawn (its OS/2 table). A font that has no Latin letters counts as drawn beside it.
USUAL: dict[SizedBy, float] = {"cap-height": 714.0, "x-height": 536.0, "none": 1.0}
# As far as sizes are changed: a font whose tables say more than this is not to be believed.
_SMALLEST, _LARGEST = 0.6, 1.6
_ALIKE = 0.01  # a difference that nobody sees
_UNITS = range(16, 16385)  # OpenType 1.9, head: unitsPerEm


def units_beside(own: int, first: float, other: float) -> int:
    """Units an em with which letters that are ``other`` 1/1000 em high, at ``own`` units, look
    like letters of the height ``first``; ``own`` where they do."""
    ratio = min(max(first / other, _SMALLEST), _LARGEST)
    units = round(own / ratio)
    return own if abs(ratio - 1.0) < _ALIKE or units not in _UNITS else units
