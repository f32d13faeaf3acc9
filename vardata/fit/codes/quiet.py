"""Quiet zones, in modules: what must stay light around a symbol.

A field's ``quiet`` may ask for more than the standard, never for less: readers do without,
now and then, but a code is held to its standard here. For a linear code it holds for both
ends; above and below its bars no standard asks for any.
"""

from __future__ import annotations

from typing import NamedTuple


class Quiet(NamedTuple):
    left: int
    bottom: int
    right: int
    top: int


STANDARD: dict[str, Quiet] = {
    "qr": Quiet(4, 4, 4, 4),  # ISO/IEC 18004:2015, 6.3 (clause from memory)
    "code128": Quiet(10, 0, 10, 0),  # GS1 General Specifications, 5.4.4.2 (secondary)
    "ean13": Quiet(11, 0, 7, 0),  # GS1 size guide for retail codes (secondary)
    "upca": Quiet(9, 0, 9, 0),  # the same guide
    "code39": Quiet(10, 0, 10, 0),  # ISO/IEC 16388 (from memory)
    "itf": Quiet(10, 0, 10, 0),  # GS1 size guide: ITF-14 (secondary)
}


def quiet_zone(symbology: str, asked: int | None) -> Quiet | None:
    """The quiet zone that a field gets; None where it asks for less than the standard."""
    standard = STANDARD[symbology]
    if asked is None:
        return standard
    if asked < max(standard):
        return None
    return Quiet(*(asked if side else 0 for side in standard))
