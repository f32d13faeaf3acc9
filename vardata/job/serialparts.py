"""The parts that a serial number is put together from, as they are written in a job.

In: a rule's texts such as ``FHL-{{ year }}-{{ number }}{{ check }}``. Out: literals and places
in order. How a place is filled is ``resolve.serial``'s business.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from vardata.job.near import choose, nearest

NUMBER, CHECK = "number", "check"
# Parts of a date and their widths; week and week_year are those of ISO 8601-1:2019, 5.2.3.
DATE_PARTS = {
    "year": 4, "short_year": 2, "month": 2, "day": 2, "week": 2, "week_year": 4,
}  # fmt: skip
PLACES = (NUMBER, CHECK, *DATE_PARTS)

_DIGITS = "0123456789"
_LATIN = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
ALPHABETS = {
    "decimal": _DIGITS,
    "hex": _DIGITS + "ABCDEF",
    # Neither of two that look alike (0 O Q D, 1 I L, 2 Z, 5 S, 8 B, U V), and no A or E, so that
    # no number is a word: common practice, no source.
    "clear": "34679CFGHJKMNPRTWXY",
}
# What each scheme can read, and how many characters it adds (ISO/IEC 7064:2003, table 1,
# secondary: read from python-stdnum, which computes them all).
CHECK_READS = {
    "luhn": _DIGITS, "gs1": _DIGITS, "damm": _DIGITS, "verhoeff": _DIGITS,
    "iso7064-mod11-2": _DIGITS, "iso7064-mod11-10": _DIGITS,
    "iso7064-mod37-2": _DIGITS + _LATIN, "iso7064-mod37-36": _DIGITS + _LATIN,
    "iso7064-mod97-10": _DIGITS + _LATIN,
}  # fmt: skip
CHECK_WRITES = dict.fromkeys(CHECK_READS, _DIGITS) | {
    "iso7064-mod11-2": _DIGITS + "X",
    "iso7064-mod37-2": _DIGITS + _LATIN + "*",
    "iso7064-mod37-36": _DIGITS + _LATIN,
}
CHECK_WIDTHS = {name: 2 if name == "iso7064-mod97-10" else 1 for name in CHECK_READS}

_PLACE = re.compile(r"\{\{\s*([^{}]*?)\s*\}\}")


class Part(NamedTuple):
    """A literal, or a place to be filled (then ``text`` is its name)."""

    text: str
    place: bool


def parts_of(text: str) -> tuple[Part, ...]:
    """The parts of a rule's text. Raises ``ValueError`` of one line."""
    parts: list[Part] = []
    end = 0
    for match in _PLACE.finditer(text):
        parts.append(Part(text[end : match.start()], False))
        name = match.group(1)
        if name not in PLACES:
            raise ValueError(f"a serial has no part {name!r}; {choose(name, PLACES)}")
        parts.append(Part(name, True))
        end = match.end()
    parts.append(Part(text[end:], False))
    for part in parts:
        if not part.place and re.search(r"\{\{|\}\}|\{%|\{#", part.text):
            raise ValueError(f'{text!r} cannot be read; write a part as "{{{{ number }}}}"')
    return tuple(part for part in parts if part.text)


def places(text: str) -> tuple[str, ...]:
    """The names of the places of a text that can be read."""
    return tuple(part.text for part in parts_of(text) if part.place)


def serial_text(value: str) -> str:
    """A rule's text, checked as far as it stands alone."""
    parts_of(value)
    if not value.isprintable():
        raise ValueError(f"{value!r} holds a control character; use printable characters only")
    if len(value) > 500:
        raise ValueError(f"the text has {len(value)} characters; at most 500 are allowed")
    return value


def serial_alphabet(value: str) -> str:
    """A known alphabet's name, or the symbols themselves, the symbol for nought first."""
    if value in ALPHABETS:
        return value
    how = f"name one of {', '.join(ALPHABETS)}, or write each symbol once, such as \"0123456789X\""
    if (near := nearest(value, ALPHABETS)) is not None:
        raise ValueError(f"{value!r} is not an alphabet; did you mean {near!r}? If not, {how}")
    if len(value) < 2:
        raise ValueError(f"{value!r} is no alphabet, for it has fewer than two symbols; {how}")
    for symbol in value:
        if not symbol.isprintable() or symbol.isspace() or symbol in "{}":
            raise ValueError(f"{symbol!r} in {value!r} cannot stand in a number; {how}")
        if value.count(symbol) > 1:
            raise ValueError(f"{value!r} holds {symbol!r} more than once; {how}")
    return value


def symbols(alphabet: str) -> str:
    """The symbols of a named or written alphabet."""
    return ALPHABETS.get(alphabet, alphabet)
