"""Which letters a glyph stands for, when several characters share it or it joins several letters.

In: a character of a font's cmap. Out: its rank among those of one glyph, and the text that a
reader should find in its place.
"""

from __future__ import annotations

import unicodedata

_LIGATURES = frozenset("ﬀﬁﬂﬃﬄﬅﬆﬓﬔﬕﬖﬗ")


def rank(char: str) -> tuple[bool, str]:
    """One glyph often serves several characters: the plain one goes first (mu before micro)."""
    return not unicodedata.is_normalized("NFKC", char), char


def letters_of(char: str) -> str:
    if unicodedata.category(char) == "Co":
        return ""
    return unicodedata.normalize("NFKC", char) if char in _LIGATURES else char
