"""Texts made fit for print without a letter being changed, and what makes a text unfit.

In: a cell's text. Out: the text in Unicode form NFC (UAX 15), white space at the ends taken
out and inside made single; line breaks stay, each line trimmed. Codes never come here.
"""

from __future__ import annotations

import re
import unicodedata

# Line breaks of the platforms and Unicode's own two (UAX 14, class BK).
_BREAKS = re.compile("\r\n|[\n\r\u2028\u2029]")
# Controls other than tab and line breaks, the replacement character and noncharacters.
_UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffd\ufdd0-\ufdef\ufffe\uffff]")
# Characters of format that a person cannot see. The joiners U+200C and U+200D are left out:
# they belong to the spelling of scripts and to emoji.
_UNSEEN = re.compile("[\u00ad\u061c\u180e\u200b\u200e\u200f\u202a-\u202e\u2060-\u2069\ufeff]")


def is_clean(text: str) -> bool:
    """Whether nothing can be wrong with a text: a quick yes, for most texts.

    Many cells may be asked for at once, joined by "|". False only means: look closer.
    """
    if (
        not text.isprintable()  # also finds white space other than the plain blank
        or "  " in text
        or " |" in text
        or "| " in text
        or text[:1] == " "
        or text[-1:] == " "
    ):
        return False
    if text.isascii():
        return True
    return (
        unicodedata.is_normalized("NFC", text)
        and "\ufffd" not in text
        and "\u00c3" not in text  # what garbled texts begin with, see garbled()
        and "\u00c2" not in text
        and "\u00e2\u20ac" not in text
    )


def tidy(text: str) -> str:
    """The text as it is printed; see the module's docstring."""
    text = unicodedata.normalize("NFC", text)
    if _BREAKS.search(text):
        return "\n".join(" ".join(line.split()) for line in _BREAKS.split(text)).strip("\n")
    return " ".join(text.split())


def unfit(text: str) -> str:
    """The first character that must not be printed, as "U+0007", or an empty text."""
    match = _UNFIT.search(text)
    return f"U+{ord(match[0]):04X}" if match else ""


def unfit_code(text: str) -> str:
    """The same for a code, which may hold any control character but NUL."""
    return "U+FFFD" if "\ufffd" in text else "U+0000" if "\0" in text else ""


def unseen(text: str) -> bool:
    """Whether the text holds characters that print nothing but may matter."""
    return _UNSEEN.search(text) is not None


def garbled(text: str) -> str:
    """What the text was before UTF-8 was read as Windows-1252, or an empty text.

    Such a text turns back into good UTF-8; a true text does so only by great chance.
    """
    try:
        before = text.encode("cp1252").decode("utf-8")
    except UnicodeError:
        return ""
    return "" if before == text else before
