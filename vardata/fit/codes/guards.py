"""Which bars of an EAN or UPC are longer than the others, and which are shorter.

In: the modules of a symbol. Out: the modules of its bars that go on below the others, and of those
that begin above them. Knows no lengths but in modules, and no digits.

Where the number stands below the bars, the guard bars (of UPC-A those of the first and the last
digit too) go on for 5 modules between its parts, and an add-on goes down as far; its own number
stands above it (ISO/IEC 15420, the figures; GS1 General Specifications, 5.2; secondary).
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

TAIL = 5.0  # modules that the guard bars go on below the others (from memory)


class Guards(NamedTuple):
    """``columns`` of the symbol without an add-on, and the ranges of those that are longer."""

    columns: int
    longer: tuple[tuple[int, int], ...]


# Guards take 3 modules at the ends and 5 in the middle, a digit 7 (ISO/IEC 15420, 4.3; from
# memory); UPC-E ends with 6.
GUARDS: dict[str, Guards] = {
    "ean13": Guards(95, ((0, 3), (45, 50), (92, 95))),
    "ean8": Guards(67, ((0, 3), (31, 36), (64, 67))),
    "upca": Guards(95, ((0, 10), (45, 50), (85, 95))),
    "upce": Guards(51, ((0, 3), (45, 51))),
}


class Longer(NamedTuple):
    """Bars that go on below, and that begin above the others, as the symbol's bits; b"": none."""

    below: bytes
    above: bytes


def longer_bars(symbology: str, columns: int, bits: bytes, long_guards: bool) -> Longer:
    """The bars of a symbol of one row that are longer than those that all have in common."""
    below, above = _masks(symbology, columns, long_guards)
    modules = int.from_bytes(bits, "big")
    size = len(bits)
    return Longer(
        *((modules & mask).to_bytes(size, "big") if mask else b"" for mask in (below, above))
    )


def has_addon(symbology: str, columns: int) -> bool:
    """Whether a symbol of so many modules has an add-on."""
    return columns > GUARDS[symbology].columns


@lru_cache(maxsize=64)
def _masks(symbology: str, columns: int, long_guards: bool) -> tuple[int, int]:
    guards = GUARDS[symbology]
    padded = (columns + 7) // 8 * 8

    def mask(start: int, end: int) -> int:
        return ((1 << (end - start)) - 1) << (padded - end)

    addon = mask(guards.columns, columns)
    own = sum(mask(*span) for span in guards.longer)
    return (own | addon if long_guards else 0), (mask(0, guards.columns) if addon else 0)
