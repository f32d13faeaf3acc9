"""From a text to the data codewords of a QR symbol: modes, lengths, version, padding.

Every choice is the ``qrcode`` package's own, so that symbols are the same module for module:
its split into chunks of one mode, its table of capacities, its order of encoding. No ECI
header is written: bytes are UTF-8, as the package has them.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from typing import NamedTuple

from qrcode import constants, util

from vardata.fit.codes.symbol import CodeError

LEVELS: dict[str, int] = {
    "L": constants.ERROR_CORRECT_L,
    "M": constants.ERROR_CORRECT_M,
    "Q": constants.ERROR_CORRECT_Q,
    "H": constants.ERROR_CORRECT_H,
}

# QRCode.add_data(optimize=20): a run of one mode is split off from 20 bytes on.
CHUNK = 20

# The package's numbers of the modes, as they stand in the header of a chunk.
_NUMBER: int = util.MODE_NUMBER
_ALPHA_NUM: int = util.MODE_ALPHA_NUM
_BYTES: int = util.MODE_8BIT_BYTE

_ALPHANUMERIC = util.RE_ALPHA_NUM
_LONG_NUMBER = re.compile(rb"\d{%d,}" % CHUNK)
_LONG_ALPHANUMERIC = re.compile(b"[" + re.escape(util.ALPHA_NUM) + b"]{%d,}" % CHUNK)
_PAIR_VALUES = {
    bytes((a, b)): i * 45 + j
    for i, a in enumerate(util.ALPHA_NUM)
    for j, b in enumerate(util.ALPHA_NUM)
}
_TAIL_VALUES = {bytes((a,)): i for i, a in enumerate(util.ALPHA_NUM)}
MOST_CHARACTERS = 7089  # digits in a 40-L: ISO/IEC 18004:2015, Table 7 (secondary)
_PADS = bytes((util.PAD0, util.PAD1)) * 1500  # more than the 2,956 data codewords of 40-L


class Chunk(NamedTuple):
    """Bytes of one mode, encoded: ``value`` is ``size`` bits without mode and length."""

    mode: int
    length: int
    value: int
    size: int


def chunks(text: str) -> list[Chunk]:
    """The text as the package splits and encodes it.

    Raises ``CodeError`` for an empty text or one that has no UTF-8 form.
    """
    if not text:
        raise CodeError("the text of the QR code is empty", "give the field a text")
    if len(text) > MOST_CHARACTERS:
        raise CodeError(
            f"the text is too long for any QR code: {len(text)} characters, "
            f"{MOST_CHARACTERS} digits are the most",
            "shorten the text",
        )
    try:
        data = text.encode()
    except UnicodeEncodeError as error:
        bad = text[error.start]
        raise CodeError(
            f"the character U+{ord(bad):04X} is half of a pair and cannot be encoded",
            "type the text again in the order sheet",
        ) from None
    mode = _single_mode(data)
    if mode:
        return [_encoded(mode, data)]
    return [_encoded(c.mode, c.data) for c in util.optimal_data_chunks(data, minimum=CHUNK)]


def version_of(parts: Sequence[Chunk], level: str) -> int:
    """The smallest version (1 to 40) that holds the chunks; ``CodeError`` if there is none."""
    limits: list[int] = util.BIT_LIMIT_TABLE[LEVELS[level]]
    version = 1
    while True:  # the widths of the length fields grow with the version: at most three turns
        sizes = util.mode_sizes_for_version(version)
        needed = sum(4 + sizes[part.mode] + part.size for part in parts)
        version = bisect_left(limits, needed, version)
        if version > 40:
            raise CodeError(
                f"{sum(part.length for part in parts)} bytes of text are too long for a QR code "
                f"of level {level}",
                "shorten the text" + ("" if level == "L" else " or take a lower level"),
            )
        if sizes is util.mode_sizes_for_version(version):
            return version


def codewords(parts: Sequence[Chunk], version: int, count: int) -> bytes:
    """All ``count`` data codewords: headers, chunks, terminator and padding.

    ISO/IEC 18004:2015, 7.4.9 and 7.4.10 (clauses from memory).
    """
    sizes = util.mode_sizes_for_version(version)
    value = used = 0
    for mode, length, bits, size in parts:
        width = sizes[mode]
        value = (((value << 4 | mode) << width | length) << size) | bits
        used += 4 + width + size
    filled = (min(used + 4, count * 8) + 7) // 8
    return (value << (filled * 8 - used)).to_bytes(filled, "big") + _PADS[: count - filled]


def bits_after(part: Chunk, version: int, count: int) -> int:
    """How many of the bits of all data codewords follow those of a text's only chunk."""
    sizes = util.mode_sizes_for_version(version)
    return count * 8 - 4 - int(sizes[part.mode]) - part.size


def _single_mode(data: bytes) -> int:
    """The mode of a text that the package leaves in one chunk, 0 where it may split."""
    if data.isdigit():
        return _NUMBER
    short = len(data) <= CHUNK
    if short and data[-1:] == b"\n":
        return 0  # the package's $ also matches before a last line feed
    if not short and _LONG_NUMBER.search(data):
        return 0
    if _ALPHANUMERIC.match(data):
        return _ALPHA_NUM
    if not short and _LONG_ALPHANUMERIC.search(data):
        return 0
    return _BYTES


def _encoded(mode: int, data: bytes) -> Chunk:
    """One chunk in bits. ISO/IEC 18004:2015, 7.4.3 to 7.4.5 (clauses from memory)."""
    count = len(data)
    if mode == _BYTES:
        return Chunk(mode, count, int.from_bytes(data, "big"), count * 8)
    value = 0
    if mode == _NUMBER:
        whole = count - count % 3
        for at in range(0, whole, 3):
            value = value << 10 | int(data[at : at + 3])
        size = whole // 3 * 10
        if whole < count:
            tail = util.NUMBER_LENGTH[count - whole]
            value = value << tail | int(data[whole:])
            size += tail
        return Chunk(mode, count, value, size)
    whole = count - count % 2
    for at in range(0, whole, 2):
        value = value << 11 | _PAIR_VALUES[data[at : at + 2]]
    size = whole // 2 * 11
    if whole < count:
        value = value << 6 | _TAIL_VALUES[data[whole:]]
        size += 6
    return Chunk(mode, count, value, size)
