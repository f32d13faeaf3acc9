"""The table of the codes that can be printed: one row each, which all others read.

Knows facts only, no encoder: what a code is called, whether its modules are square, what must
stay light around it, which keys of a layout it takes, and by what name a reader knows it.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

SymbologyName = Literal[
    "qr",
    "microqr",
    "rmqr",
    "datamatrix",
    "datamatrix-rectangular",
    "aztec",
    "pdf417",
    "code128",
    "code39",
    "code93",
    "codabar",
    "itf",
    "itf14",
    "ean13",
    "ean8",
    "upca",
    "upce",
    "databar",
    "databar-limited",
    "databar-stacked",
    "databar-stacked-omni",
    "databar-expanded",
    "databar-expanded-stacked",
]


class Quiet(NamedTuple):
    """Modules that stay light at each side; a linear code needs none above and below."""

    left: int
    bottom: int
    right: int
    top: int


class Symbology(NamedTuple):
    """One kind of code.

    ``matrix``: modules are square and rows matter (stacked bars too); otherwise bars, whose
    height fills the box. ``lettered``: may have a human-readable line. ``follows_text``: a
    shorter text gives a smaller symbol. ``levels``: the error correction levels a layout may
    choose. ``gs1``: what the key ``gs1`` may say. ``encoder`` and ``decoder``: who draws the
    symbol, and the name of its kind in the ``zxing-cpp`` reader, for read-back.
    ``reversible``: its standard lets it be light on dark, so readers take it so.
    """

    name: str
    encoder: str
    decoder: str
    quiet: Quiet
    matrix: bool = False
    lettered: bool = True
    follows_text: bool = True
    levels: str = ""
    check_digit: bool = False
    columns: bool = False
    reversible: bool = False
    gs1: tuple[str, ...] = ()


def _all(modules: int) -> Quiet:
    return Quiet(modules, modules, modules, modules)


def _ends(left: int, right: int) -> Quiet:
    return Quiet(left, 0, right, 0)


# Who encodes, and why: "own" are symbols from the tables of the qrcode and python-barcode
# packages, fastest and checked module by module; the rest comes from the writer of zxing-cpp,
# one well-kept library for all of them.
_OWN = "own"
_WRITER = "zxing-cpp"

# GS1 DataBar needs no quiet zone, since it begins and ends with a guard (GS1 General
# Specifications, from memory), and Aztec none (ISO/IEC 24778, from memory). One module is
# kept all the same, so that no ground ends with the symbol. Common practice, no source.
_KEPT = 1

# Light on dark: ISO/IEC 18004 (and with it Micro QR), 23941, 16022 and 24778 allow it, the
# others do not (all from memory).

SYMBOLOGIES: dict[str, Symbology] = {
    # ISO/IEC 18004:2015, 6.3 (clause from memory)
    "qr": Symbology(
        "QR code", _OWN, "QRCode", _all(4), matrix=True, lettered=False, levels="LMQH",
        reversible=True, gs1=("element", "link"),
    ),
    # the same standard, Micro QR (from memory)
    "microqr": Symbology(
        "Micro QR code", _WRITER, "MicroQRCode", _all(2), matrix=True, lettered=False, levels="LMQ",
        reversible=True,
    ),
    # ISO/IEC 23941 (from memory)
    "rmqr": Symbology(
        "rectangular Micro QR code", _WRITER, "RMQRCode", _all(2), matrix=True, lettered=False,
        levels="MH", reversible=True,
    ),
    # GS1 DataMatrix Guideline (secondary)
    "datamatrix": Symbology(
        "Data Matrix", _WRITER, "DataMatrix", _all(1), matrix=True, lettered=False,
        reversible=True, gs1=("element", "link"),
    ),
    "datamatrix-rectangular": Symbology(
        "rectangular Data Matrix", _WRITER, "DataMatrix", _all(1), matrix=True, lettered=False,
        reversible=True, gs1=("element", "link"),
    ),
    "aztec": Symbology(
        "Aztec code", _WRITER, "Aztec", _all(_KEPT), matrix=True, lettered=False, levels="LMQH",
        reversible=True,
    ),
    # ISO/IEC 15438 (from memory)
    "pdf417": Symbology(
        "PDF417", _WRITER, "PDF417", _all(2), matrix=True, lettered=False, columns=True
    ),
    # GS1 General Specifications, 5.4.4.2 (secondary)
    "code128": Symbology("Code 128", _OWN, "Code128", _ends(10, 10), gs1=("element",)),
    # ISO/IEC 16388 (from memory). Plain Code 39: the reader's other kind takes $A to +Z for
    # the pairs of the full-ASCII annex.
    "code39": Symbology("Code 39", _OWN, "Code39Std", _ends(10, 10), check_digit=True),
    # AIM USS-93 (from memory)
    "code93": Symbology("Code 93", _WRITER, "Code93", _ends(10, 10)),
    # EN 798 (from memory)
    "codabar": Symbology("Codabar", _WRITER, "Codabar", _ends(10, 10)),
    # GS1 size guide: ITF-14 (secondary)
    "itf": Symbology("ITF", _OWN, "ITF", _ends(10, 10), check_digit=True),
    "itf14": Symbology("ITF-14", _OWN, "ITF", _ends(10, 10), follows_text=False),
    # GS1 size guide for retail codes (secondary), for the four below; UPC-E from memory
    "ean13": Symbology("EAN-13", _OWN, "EAN13", _ends(11, 7), follows_text=False),
    "ean8": Symbology("EAN-8", _OWN, "EAN8", _ends(7, 7), follows_text=False),
    "upca": Symbology("UPC-A", _OWN, "UPCA", _ends(9, 9), follows_text=False),
    "upce": Symbology("UPC-E", _WRITER, "UPCE", _ends(9, 7), follows_text=False),
    "databar": Symbology(
        "GS1 DataBar", _WRITER, "DataBarOmni", _ends(_KEPT, _KEPT), follows_text=False
    ),
    "databar-limited": Symbology(
        "GS1 DataBar Limited", _WRITER, "DataBarLtd", _ends(_KEPT, _KEPT), follows_text=False
    ),
    "databar-stacked": Symbology(
        "GS1 DataBar Stacked", _WRITER, "DataBarStk", _all(_KEPT), matrix=True, follows_text=False
    ),
    "databar-stacked-omni": Symbology(
        "GS1 DataBar Stacked Omnidirectional", _WRITER, "DataBarStkOmni", _all(_KEPT),
        matrix=True, follows_text=False,
    ),
    "databar-expanded": Symbology(
        "GS1 DataBar Expanded", _WRITER, "DataBarExp", _ends(_KEPT, _KEPT), gs1=("element",)
    ),
    "databar-expanded-stacked": Symbology(
        "GS1 DataBar Expanded Stacked", _WRITER, "DataBarExpStk", _all(_KEPT), matrix=True,
        columns=True, gs1=("element",),
    ),
}  # fmt: skip

# Whose modules may be round: readers find these by parts that stay square.
ROUNDED = ("qr", "datamatrix")
# Whose guard bars go on below the others where the number stands there (GS1 General
# Specifications, 5.2, secondary).
GUARDED = ("ean13", "ean8", "upca", "upce")
