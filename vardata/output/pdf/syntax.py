"""How PDF writes numbers, names, strings and dates.

In: Python values. Out: bytes of PDF syntax (ISO 32000-1, 7.3 and 7.9.4). Numbers come from
whole counts of a small step, so that the same place is always written the same way.
"""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache

_NAME_SAFE = frozenset(b"!\"$&'*+,-.0123456789:;=?@ABCDEFGHIJKLMNOPQRSTUVWXYZ"
                       b"\\^_`abcdefghijklmnopqrstuvwxyz|~")  # fmt: skip
_KEPT = 100_000  # numbers kept in their written form


class Decimals(dict[int, bytes]):
    """Whole counts of 10^-digits, written as short as they go: 12340 of 10^-3 is ``12.34``."""

    def __init__(self, digits: int) -> None:
        super().__init__()
        self._one = 10**digits
        self._form = b"%%d.%%0%dd" % digits

    def __missing__(self, count: int) -> bytes:
        if len(self) >= _KEPT:
            self.clear()
        whole, part = divmod(abs(count), self._one)
        if not part:
            written = b"%d" % whole
        else:
            written = (self._form % (whole, part)).rstrip(b"0")
            if not whole:
                written = written[1:]
        if count < 0:
            written = b"-" + written
        self[count] = written
        return written


THOUSANDTHS = Decimals(3)  # of a point: text and outlines, 0.35 um
FINE = Decimals(5)  # 10^-5 of a point: codes, which must meet dots
TURNS = Decimals(7)  # cosines: 10^-7 over the longest page is 0.0014 pt


_BY_DIGITS = tuple(map(Decimals, range(8)))


def number(value: float, digits: int = 3) -> bytes:
    """A number rounded to so many decimals."""
    return _BY_DIGITS[digits][round(value * 10.0**digits)]


def name(text: str) -> bytes:
    """A name with its slash (7.3.5); everything unusual as ``#xx`` of its UTF-8 bytes."""
    return b"/" + b"".join(
        bytes((byte,)) if byte in _NAME_SAFE else b"#%02X" % byte for byte in text.encode()
    )


def special(data: bytes) -> bool:
    """Whether a string holds bytes that mean something in brackets."""
    return 40 in data or 41 in data or 92 in data or 13 in data  # brackets, a backslash, CR


def escaped(data: bytes) -> bytes:
    """A string as it stands in brackets (7.3.4.2). A bare CR would be read as LF."""
    if special(data):
        data = data.replace(b"\\", b"\\\\").replace(b"(", b"\\(").replace(b")", b"\\)")
        data = data.replace(b"\r", b"\\r")
    return data


def literal(data: bytes) -> bytes:
    """A string in brackets."""
    return b"(%b)" % escaped(data)


@lru_cache(maxsize=256)
def text_string(text: str) -> bytes:
    """A string for people (7.9.2.2): plain ASCII as it is, all else in UTF-16."""
    if all(" " <= character <= "~" for character in text):
        return literal(text.encode("ascii"))
    return b"<FEFF" + text.encode("utf-16-be", "replace").hex().upper().encode() + b">"


@lru_cache(maxsize=16)
def date_string(at: datetime) -> bytes:
    """``D:YYYYMMDDHHmmSS`` with the offset from UTC, if it is known (7.9.4)."""
    stamp = at.strftime("D:%Y%m%d%H%M%S")
    offset = at.utcoffset()
    if offset is not None:
        minutes = round(offset.total_seconds() / 60)
        sign = "-" if minutes < 0 else "+"
        stamp += f"{sign}{abs(minutes) // 60:02d}'{abs(minutes) % 60:02d}'"
    return literal(stamp.encode("ascii"))
