"""What the bytes of a text might read in other encodings, where the first guess reads rubbish.

In: lines that are not plain ASCII, and what a guess makes of them. Out: the encodings in which
they hold letters only. Knows the Latin pages of Windows, DOS and the Mac; decides nothing.
"""

from __future__ import annotations

import re
from typing import NamedTuple

_LATIN = ("cp1252", "cp1250", "cp1254", "cp1257", "cp850", "cp437", "cp852", "mac_roman")
_LETTER = r"[^\W\d_]"
# Signs that stand in no word of any language, but where a DOS page has its letters: ” for ö.
_AMONG = re.compile(rf"{_LETTER}[„”“‚†‡ˆ‰‹›¤¦¨©«¬®¯±¶¸»×÷¢£¥§™˜]+(?:{_LETTER}|\b)|[\x80-\x9f─-▟]")
# A letter of another script within a Latin word.
_MIXED = re.compile(r"[a-z][Ͱ-ӿ⺀-\uffef]|[Ͱ-ӿ⺀-\uffef][a-z]")
_BROKEN = re.compile(r"[a-zß-öø-ÿ][À-ÖØ-Þ]")  # a capital in the middle: MÅller
_WORD = re.compile(r"\w+")
_SHOWN = 3


class Reading(NamedTuple):
    """An encoding and the words that it makes of the telling bytes."""

    name: str
    words: tuple[str, ...]


def is_rubbish(text: str) -> bool:
    """Whether a text holds what no person writes: signs or letters of another script within
    Latin words, boxes, controls."""
    return _AMONG.search(text) is not None or _MIXED.search(text) is not None


def plain_readings(sample: bytes) -> list[Reading]:
    """The encodings that read letters only, the first of those that read the same."""
    found: dict[str, Reading] = {}
    for name in _LATIN:
        try:
            text = sample.decode(name)
        except UnicodeDecodeError:
            continue
        odd = [char for char in text if char > "\x7f"]
        if not all(map(str.isalpha, odd)) or _BROKEN.search(text):
            continue
        words = dict.fromkeys(word for word in _WORD.findall(text) if not word.isascii())
        found.setdefault(text, Reading(name, tuple(words)))
    return list(found.values())


def listed(readings: list[Reading]) -> str:
    """``cp850 (Jörg, Größe) or mac_roman (Jîrg)``."""
    shown = [f"{one.name} ({', '.join(one.words[:_SHOWN])})" for one in readings]
    return " or ".join([", ".join(shown[:-1]), shown[-1]] if len(shown) > 1 else shown)
