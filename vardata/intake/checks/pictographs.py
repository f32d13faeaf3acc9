"""Emoji and pictographs that no font of the layout can draw.

In: a text and the fonts of the layout. Out: a finding, or None. Fonts are opened only when a
pictograph is met, and only their tables of characters are read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from vardata.intake.checks.finding import Found
from vardata.intake.tally import quoted

# Unicode 15.1: the blocks of pictographs and dingbats, tags, and the sign that asks for colour.
_PICTOGRAPH = re.compile(
    "[\u2600-\u27bf\u2b00-\u2bff\ufe0f\u20e3\U0001f000-\U0001faff\U000e0020-\U000e007f]"
)


def has_pictograph(text: str) -> bool:
    return _PICTOGRAPH.search(text) is not None


class Pictographs:
    """Knows which pictographs can be drawn."""

    def __init__(self, fonts: Iterable[Path]) -> None:
        self._fonts = tuple(fonts)
        self._drawn: frozenset[int] | None = None

    def check(self, text: str) -> Found | None:
        for char in _PICTOGRAPH.findall(text):
            if ord(char) not in self._characters():
                return Found(
                    "emoji",
                    f"the text {quoted(text)} holds {char} U+{ord(char):04X}, which no font of "
                    "the layout has",
                    "take it out, or add a font that has it",
                )
        return None

    def _characters(self) -> frozenset[int]:
        if self._drawn is None:
            from fontTools.ttLib import TTFont

            drawn: set[int] = set()
            for path in self._fonts:
                with TTFont(path, fontNumber=0, lazy=True) as font:
                    drawn |= set(font.getBestCmap() or ())
            self._drawn = frozenset(drawn)
        return self._drawn
