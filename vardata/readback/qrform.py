"""The fixed parts of a QR symbol: finders, timing, format.

In: modules, True for dark, as seen. Out: whether they are a QR symbol that stands upright.
The decoder mends damage here silently and reads mirrored symbols, so it is looked at apart.
Rules: ISO/IEC 18004:2015, 6.3 (patterns), 7.9 (format), clauses secondary.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Modules: TypeAlias = npt.NDArray[np.bool_]

_LEVELS = {"L": 1, "M": 0, "Q": 3, "H": 2}
_FORMAT_POLYNOMIAL, _FORMAT_MASK = 0x537, 0x5412
_VERSION_POLYNOMIAL = 0x1F25
_FAR = 8  # of the format's modules, 30 in all; another format differs in 2 x 5 at least (BCH)


def format_bits(level: str, mask: int) -> int:
    """The 15 bits of format information (BCH 15,5)."""
    data = _LEVELS[level] << 3 | mask
    return (data << 10 | _remainder(data << 10, _FORMAT_POLYNOMIAL, 10)) ^ _FORMAT_MASK


def version_bits(version: int) -> int:
    """The 18 bits of version information (BCH 18,6), from version 7."""
    return version << 12 | _remainder(version << 12, _VERSION_POLYNOMIAL, 12)


def _remainder(value: int, polynomial: int, degree: int) -> int:
    while value.bit_length() > degree:
        value ^= polynomial << (value.bit_length() - degree - 1)
    return value


@lru_cache(maxsize=256)
def fixed_parts(size: int, level: str, mask: int) -> tuple[Modules, Modules, Modules]:
    """(dark, fixed, format): what the fixed modules are, which they are, which of them carry
    the format."""
    dark = np.zeros((size, size), np.bool_)
    fixed = np.zeros((size, size), np.bool_)
    form = np.zeros((size, size), np.bool_)
    fixed[6, :] = fixed[:, 6] = True
    dark[6, ::2] = dark[::2, 6] = True
    _align(dark, fixed, (size - 17) // 4)
    finder = np.zeros((8, 8), np.bool_)
    finder[:7, :7] = True
    finder[1:6, 1:6] = False
    finder[2:5, 2:5] = True
    for rows, columns, turned in (
        (slice(0, 8), slice(0, 8), finder),
        (slice(0, 8), slice(size - 8, size), finder[:, ::-1]),
        (slice(size - 8, size), slice(0, 8), finder[::-1]),
    ):
        dark[rows, columns], fixed[rows, columns] = turned, True
    bits = format_bits(level, mask)
    for i in range(15):
        bit = bool(bits >> i & 1)
        upright = i if i < 6 else i + 1 if i < 8 else size - 15 + i
        lying = size - 1 - i if i < 8 else 7 if i == 8 else 14 - i
        for row, column in ((upright, 8), (8, lying)):
            dark[row, column], fixed[row, column], form[row, column] = bit, True, True
    dark[size - 8, 8] = fixed[size - 8, 8] = True
    if size >= 45:
        bits = version_bits((size - 17) // 4)
        for i in range(18):
            a, b = i // 3, size - 11 + i % 3
            dark[a, b] = dark[b, a] = bool(bits >> i & 1)
            fixed[a, b] = fixed[b, a] = True
    return dark, fixed, form


def _align(dark: Modules, fixed: Modules, version: int) -> None:
    """Alignment patterns, 5 x 5; their places come from a reference library's table."""
    from qrcode.util import pattern_position

    places = pattern_position(version)
    last = len(places) - 1
    for i, row in enumerate(places):
        for j, column in enumerate(places):
            if (i, j) in ((0, 0), (0, last), (last, 0)):  # a finder is there
                continue
            square = (slice(row - 2, row + 3), slice(column - 2, column + 3))
            dark[square], fixed[square] = True, True
            dark[row - 1 : row + 2, column - 1 : column + 2] = False
            dark[row, column] = True


def damaged(modules: Modules, level: str, mask: int, hole: range = range(0)) -> int:
    """How many of the fixed modules are not as they must be; ``hole``: columns and rows of a
    window where nothing is asked."""
    dark, fixed, _ = fixed_parts(len(modules), level, mask)
    wrong = (modules != dark) & fixed
    wrong[hole.start : hole.stop, hole.start : hole.stop] = False
    return int(wrong.sum())


def is_mirrored(modules: Modules, level: str, mask: int) -> bool:
    """Whether the symbol is seen as in a mirror, whichever way it is turned."""
    return any(
        _fits(np.rot90(modules.T, quarter), level, mask) for quarter in range(4)
    ) and not any(_fits(np.rot90(modules, quarter), level, mask) for quarter in range(4))


def _fits(modules: Modules, level: str, mask: int) -> bool:
    dark, fixed, form = fixed_parts(len(modules), level, mask)
    wrong = (modules != dark) & fixed
    return int((wrong & form).sum()) < _FAR and int(wrong.sum()) < fixed.sum() // 5
