"""Names in all capitals set in capitals and small letters.

In: a text, a language, and words whose case somebody knows better. Out: the text with its case
changed where it is all capitals, else as it is: McDonald, van der Berg and O'Neil are how people
write themselves, and no rule knows better. What an all-capital name looked like before cannot be
known for certain, so whoever changes a text also tells what it was (``slots.jsonl``: ``written``).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping

# Lower case within a name; common practice, no source. Not at either end of a text: there it is a
# name itself (Thanh Le), or an initial.
_PARTICLES = frozenset((
    "af", "al", "am", "an", "aan", "av", "bin", "bint", "d", "da", "dal", "de", "dei", "del",
    "della", "den", "der", "des", "di", "do", "dos", "du", "e", "el", "het", "ibn", "la", "las",
    "le", "los", "op", "'t", "te", "ten", "ter", "und", "van", "vom", "von", "y", "zu", "zum",
    "zur",
))  # fmt: skip
_ROMAN = re.compile("(?=[IVX]{2,})X{0,3}(IX|IV|V?I{0,3})")
# Where a new capital stands: after these within a word.
_WITHIN = re.compile("(['’\\-‐‑./(])")
_MC = re.compile("Mc[bcdfghjklmnpqrstvwxyz]")  # Gaelic: son of
_EDGES = ".,;:!?\"()[]&"  # what may stand around a word that is kept
_TURKIC = ("tr", "az")


def kept_words(*lists: Iterable[str]) -> dict[str, str]:
    """Words as they are to be written, by how they look regardless of case; later lists win."""
    return {word.casefold(): word for words in lists for word in words}


def title_case(text: str, locale: str = "en", kept: Mapping[str, str] | None = None) -> str:
    """The text, changed only if it has two letters or more and all of them are capitals.

    ß counts as neither, since its capital is seldom written; nor do raised letters (Mª).
    Words in ``kept`` (from ``kept_words``) are written as they stand there.
    """
    cases = [unicodedata.category(char) for char in text if char != "ß"]
    letters = [case for case in cases if case in ("Lu", "Ll", "Lt")]
    if len(letters) < 2 or any(case != "Lu" for case in letters):
        return text
    language = re.split("[-_]", locale)[0].lower()
    words = re.split("(\\s+)", text)  # every second part is white space
    named = [at for at, part in enumerate(words) if part.strip()]
    for at in named:
        ends = at in (named[0], named[-1])
        words[at] = _word(words[at], language, at == named[0], ends, kept or {})
    return "".join(words)


def _word(
    word: str, language: str, first: bool, ends: bool, kept: Mapping[str, str]
) -> str:
    bare = word.strip(_EDGES)
    if bare and bare.casefold() in kept:
        return word.replace(bare, kept[bare.casefold()], 1)
    small = _lower(word, language)
    if not ends and small.strip(".,;") in _PARTICLES:
        return small
    if any(char.isdigit() for char in word) or _roman(word.strip(".,"), first):
        return word
    parts = _WITHIN.split(word)
    out = [kept.get(part.casefold()) or _capital(part, language) for part in parts]
    # A single letter after an apostrophe is an ending, as in "Fernhollow's".
    for at in range(2, len(out), 2):
        if parts[at - 1] in "'’" and len(parts[at]) == 1:
            out[at] = _lower(parts[at], language)
    return "".join(out)


def _roman(word: str, first: bool) -> bool:
    """Whether a word is a numeral; a short one that comes first is rather a name, as Xi."""
    return bool(_ROMAN.fullmatch(word)) and (len(word) > 2 or not first)


def _capital(part: str, language: str) -> str:
    if not part:
        return part
    if language == "nl" and part.startswith("IJ"):
        return "IJ" + _lower(part[2:], language)
    # A capital with its marks, in Unicode's title case where there is one (the Croatian dz).
    found = part[0].title() if len(part[0].title()) == 1 else part[0]
    found += _lower(part, language)[len(_lower(part[0], language)) :]
    return found[:2] + found[2].upper() + found[3:] if _MC.match(found) else found


def _lower(text: str, language: str) -> str:
    """Small letters; Turkish and Azeri have two of i (SpecialCasing.txt of the UCD). A dotted
    capital becomes the common i in every language: a mark of its own would be a second dot."""
    if language in _TURKIC:
        text = text.replace("I\u0307", "i").replace("I", "ı")
    return text.replace("İ", "i").lower()
