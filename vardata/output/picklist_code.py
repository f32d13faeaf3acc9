"""The code on each sheet of the pick list: a QR symbol that names the run and the bed.

In: a text. Out: PDF operators that draw its symbol (ISO/IEC 18004), made and drawn as the codes
on the beds are.
"""

from __future__ import annotations

from vardata.fit.codes.qr import encode_qr
from vardata.output.pdf.operators import stencil_image

QUIET = 4  # modules on every side, ISO/IEC 18004:2015, 6.3.8
# One mask for all: masks weigh looks only, every one of them is valid and readable.
_MASK = 2


def sheet_text(run: str, bed: int, side: str = "") -> str:
    """What the code says; the bed's number ends it."""
    return f"vardata:{run}:side:{side}:bed:{bed}" if side else f"vardata:{run}:bed:{bed}"


def draw(text: str) -> str:
    """Operators that paint the symbol in level M, without quiet zone, in the unit square."""
    symbol = encode_qr(text, "M", _MASK)
    return stencil_image(symbol.columns, symbol.rows, symbol.bits).decode("ascii")
