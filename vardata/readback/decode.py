"""Reading a picture with a decoder that did not make its code (zxing-cpp).

In: a grey picture of one upright code. Out: what it says. The decoder reads symbols that are
mirrored, inverted or without a quiet zone and does not tell; ``symbol`` and ``qrform`` look at
those on their own.
"""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

from vardata.fit.codes.readings import as_read
from vardata.job.symbologies import SYMBOLOGIES
from vardata.readback.plates import Grey


class Reading(NamedTuple):
    """``turn`` is in degrees, 0 upright. ``unused`` is the part of the error correction that
    was not needed, from 0 to 1; 1 for a linear code, which has none."""

    text: str
    data: bytes
    turn: int
    unused: float
    level: str
    mask: int
    version: int


@cache
def _format(symbology: str) -> Any:
    import zxingcpp

    return getattr(zxingcpp.BarcodeFormat, SYMBOLOGIES[symbology].decoder)


def _add_on(symbology: str) -> Any:
    import zxingcpp

    kinds = zxingcpp.EanAddOnSymbol
    return kinds.Read if symbology in ("ean13", "upca", "upce") else kinds.Ignore


def read(picture: Grey, symbology: str, *, inverted: bool = False) -> Reading | None:
    """The one code of this kind in the picture; None if there is none that reads."""
    import zxingcpp

    found: list[Any] = []
    for rotate in (False, True):  # most stand as they should: look there first
        found = found or zxingcpp.read_barcodes(
            picture, formats=_format(symbology), try_rotate=rotate, try_downscale=False,
            try_invert=inverted, text_mode=zxingcpp.TextMode.Plain,
            ean_add_on_symbol=_add_on(symbology),
        )
    if not found:
        return None
    first = found[0]
    extra = first.extra or {}
    return Reading(
        first.text, first.bytes, int(first.orientation), float(extra.get("UEC", 1.0)),
        str(extra.get("ECLevel", "")), int(extra.get("DataMask", -1)),
        int(version) if (version := str(extra.get("Version", 0))).isdigit() else 0,
    )


def says(reading: Reading, symbology: str, text: str) -> bool:
    """Whether a code says what it should; bytes decide where a text has control characters."""
    if reading.text in (text, as_read(symbology, text)):
        return True
    for encoding in ("utf-8", "latin-1"):
        try:
            if reading.data == text.encode(encoding):
                return True
        except UnicodeEncodeError:
            continue
    return False
