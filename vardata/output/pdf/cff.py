"""The CFF table of a font, fit for being embedded by glyph id.

In: an OpenType font file. Out: its CFF table, in which a glyph's id is also its CID. In a
font without CIDs that is so by definition (ISO 32000-1, 9.7.4.2). A font keyed by CIDs may
number them otherwise (the regional cuts of large fonts do): there the table that numbers
them, the charset, is overwritten. Layouts are those of Adobe Technical Note 5176.
"""

from __future__ import annotations

import struct
from io import BytesIO
from itertools import pairwise

_CHARSET, _CHARSTRINGS, _ROS = 15, 17, (12, 30)  # Top DICT operators, tables 9 and 10


def table(sfnt: bytes) -> bytes:
    """The CFF table of a font file with a single font."""
    (count,) = struct.unpack_from(">H", sfnt, 4)
    for i in range(count):
        tag, _, offset, length = struct.unpack_from(">4sIII", sfnt, 12 + 16 * i)
        if tag == b"CFF ":
            return sfnt[offset : offset + length]
    raise ValueError("the font has no CFF table")


def identity_charset(data: bytes) -> bytes:
    """The same table with CID n for glyph n; a table without CIDs comes back as it is."""
    top = _top_dict(data)
    if _ROS not in top or _CHARSET not in top:
        return data
    start = top[_CHARSET][0]
    (glyphs,) = struct.unpack_from(">H", data, top[_CHARSTRINGS][0])
    if glyphs < 2:
        return data
    # One range from CID 1 on takes 5 bytes (format 2), or 4 in format 1, which can only count
    # to 256; what stood there is never shorter than the one that fits.
    room = _charset_length(data, start, glyphs)
    if room >= 5:
        span = struct.pack(">BHH", 2, 1, glyphs - 2)
    else:
        span = data[start : start + 1] + b"\0\1" + data[start + 3 : start + room]
    return data[:start] + span + data[start + len(span) :]


def with_units(sfnt: bytes, units: int) -> bytes:
    """A font file whose outlines are drawn with so many units an em: the font matrix says so
    (Technical Note 5176, table 9). Not for fonts keyed by CIDs, whose parts have their own."""
    from fontTools.ttLib import TTFont

    with TTFont(BytesIO(sfnt), recalcTimestamp=False) as font:
        font["CFF "].cff.topDictIndex[0].FontMatrix = [1 / units, 0, 0, 1 / units, 0, 0]
        font["head"].unitsPerEm = units
        out = BytesIO()
        font.save(out)
    return out.getvalue()


def _charset_length(data: bytes, start: int, glyphs: int) -> int:
    kind = data[start]
    if kind == 0:
        return 1 + 2 * (glyphs - 1)
    size, at, left = (3 if kind == 1 else 4), start + 1, glyphs - 1
    while left > 0:
        more = data[at + 2] if kind == 1 else struct.unpack_from(">H", data, at + 2)[0]
        left -= more + 1
        at += size
    return at - start


def _index(data: bytes, start: int) -> tuple[list[tuple[int, int]], int]:
    """Where the objects of an INDEX lie, and where it ends."""
    (count,) = struct.unpack_from(">H", data, start)
    if not count:
        return [], start + 2
    size = data[start + 2]
    offsets = [
        int.from_bytes(data[at : at + size], "big")
        for at in range(start + 3, start + 3 + size * (count + 1), size)
    ]
    base = start + 2 + size * (count + 1)
    places = [(base + a, base + b) for a, b in pairwise(offsets)]
    return places, base + offsets[-1]


def _top_dict(data: bytes) -> dict[int | tuple[int, int], list[int]]:
    """Operators of the first Top DICT with their whole-number operands; reals count as 0."""
    _, after_names = _index(data, data[2])
    (at, end), *_ = _index(data, after_names)[0]
    found: dict[int | tuple[int, int], list[int]] = {}
    operands: list[int] = []
    while at < end:
        byte = data[at]
        if byte <= 21:
            key: int | tuple[int, int] = byte
            if byte == 12:
                at += 1
                key = (12, data[at])
            found[key], operands = operands, []
            at += 1
            continue
        value, at = _operand(data, at)
        operands.append(value)
    return found


def _operand(data: bytes, at: int) -> tuple[int, int]:
    """One operand (table 3), and where the next one starts."""
    byte = data[at]
    if byte == 28:
        return struct.unpack_from(">h", data, at + 1)[0], at + 3
    if byte == 29:
        return struct.unpack_from(">i", data, at + 1)[0], at + 5
    if byte == 30:
        at += 1
        while data[at] & 15 != 15 and data[at] >> 4 != 15:
            at += 1
        return 0, at + 1
    if byte <= 246:
        return byte - 139, at + 1
    if byte <= 250:
        return (byte - 247) * 256 + data[at + 1] + 108, at + 2
    return -(byte - 251) * 256 - data[at + 1] - 108, at + 2
