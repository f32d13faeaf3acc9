"""What a reader hands on for a symbol's text, where that is not the text itself.

Readers of the ``zxing-cpp`` package, in the plain text mode and with add-ons read, return EAN
and UPC numbers as the thirteen digits they all stand for, an add-on joined to them.
"""

from __future__ import annotations

from vardata.fit.codes.bars import with_zeros


def as_read(symbology: str, text: str) -> str:
    """What ``zxing-cpp`` reads from the symbol of ``CodeFit.text``."""
    number, _, addon = text.partition("+")
    if symbology == "upca":
        return f"0{number}{addon}"
    if symbology == "upce":
        return f"0{with_zeros(number[:7])}{number[7:]}{addon}"
    if symbology == "ean13":
        return number + addon
    return text
