"""What GS1 asks of a code's size where it is used: module width and height of the bars.

Facts only, from the symbol specification tables of the GS1 General Specifications (5.12.3):
the retail and carton values of EAN, UPC, ITF-14 and GS1-128 by a size guide of a GS1 member
(secondary), the others from memory. In mm.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

Application = Literal["retail", "distribution", "healthcare", "marking"]


class Size(NamedTuple):
    """Least and most width of a module; least height of bars, in mm and in modules."""

    least: float
    most: float
    height: float = 0.0
    modules_high: float = 0.0


# 22.85 and 18.23 mm at 0.330 mm a module; the height goes with the width.
_EAN13, _EAN8 = 22.85 / 0.330, 18.23 / 0.330

SIZES: dict[Application, dict[str, Size]] = {
    "retail": {
        "ean13": Size(0.264, 0.660, modules_high=_EAN13),
        "upca": Size(0.264, 0.660, modules_high=_EAN13),
        "ean8": Size(0.264, 0.660, modules_high=_EAN8),
        "upce": Size(0.264, 0.660, modules_high=_EAN13),  # from memory
        "databar-stacked-omni": Size(0.264, 0.660),  # from memory, and the next two
        "databar-expanded": Size(0.264, 0.660, modules_high=34),
        "databar-expanded-stacked": Size(0.264, 0.660),
    },
    "distribution": {
        "itf14": Size(0.495, 1.016, height=31.75),
        "code128": Size(0.495, 1.016, height=31.75),
        "ean13": Size(0.495, 0.660, modules_high=_EAN13),  # from memory, and all that follow
        "upca": Size(0.495, 0.660, modules_high=_EAN13),
        "ean8": Size(0.495, 0.660, modules_high=_EAN8),
        "datamatrix": Size(0.743, 1.500),
        "qr": Size(0.743, 1.500),
    },
    "healthcare": {
        "datamatrix": Size(0.254, 0.990),
        "datamatrix-rectangular": Size(0.254, 0.990),
        "code128": Size(0.170, 0.495, height=12.70),
    },
    "marking": {  # direct part marking with ink
        "datamatrix": Size(0.254, 0.615),
        "datamatrix-rectangular": Size(0.254, 0.615),
        "qr": Size(0.254, 0.615),
    },
}
ANY = Size(0.0, float("inf"))


def size_for(application: Application | None, symbology: str) -> Size:
    """What a use asks of a symbology; nothing where none is stated."""
    return ANY if application is None else SIZES[application].get(symbology, ANY)
