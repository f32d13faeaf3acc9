"""Letters that a wrong encoding broke: "MÃ¼ller" for "Müller".

In: a text. Out: what it was before, or an empty text. Nothing is mended here: the suggestion is
shown, and the sheet decides. ftfy, which knows many ways of breaking, is only loaded for a text
that a cheap pattern suspects.
"""

from __future__ import annotations

import re

# A byte that starts a letter of UTF-8 (C2 to F4), read as Latin-1, Windows-1252, and one that
# goes on (80 to BF), which Windows-1252 shows as the marks listed.
_SUSPECT = re.compile(
    "[\u00c2-\u00f4][\u0080-\u00bf\u0152\u0153\u0160\u0161\u0178\u017d\u017e\u0192\u02c6\u02dc"
    "\u2013\u2014\u2018-\u201a\u201c-\u201e\u2020-\u2022\u2026\u2030\u2039\u203a\u20ac\u2122]"
)


def is_suspect(text: str) -> bool:
    """Whether a text may be broken; a quick no for almost all texts."""
    return _SUSPECT.search(text) is not None


def before(text: str) -> str:
    """The text before UTF-8 was read as something else, or an empty text."""
    try:  # a whole text that turns back into good UTF-8 does so only by great chance
        whole = text.encode("cp1252").decode("utf-8")
    except UnicodeError:
        whole = ""
    if whole and whole != text:
        return whole
    import ftfy

    mended = ftfy.fix_encoding(text)
    return "" if mended == text or "\ufffd" in mended else mended
