"""The code on each sheet of the pick list: a QR symbol that names the run and the bed.

In: a text. Out: its modules, and PDF operators that draw them. The ``qrcode`` package makes
the symbols (ISO/IEC 18004). Making one takes a good part of a bed's time, and the texts of a
run differ in a few digits only, so the rest is arithmetic: for one version, level, mask and
length the encoding is linear over GF(2) (data bits, Reed-Solomon check bits and mask alike),
therefore a symbol is the first symbol XOR one difference for each bit that differs.
"""

from __future__ import annotations

import re
from functools import lru_cache

QUIET = 4  # modules on every side, ISO/IEC 18004:2015, 6.3.8
# One mask for all: masks weigh looks only, every one of them is valid and readable.
_MASK = 2
_DARK = re.compile("1+")


def sheet_text(run: str, bed: int, side: str = "") -> str:
    """What the code says; the bed's number ends it."""
    return f"vardata:{run}:side:{side}:bed:{bed}" if side else f"vardata:{run}:bed:{bed}"


def symbol(text: str) -> tuple[int, int]:
    """(modules a side, all modules as one number: column by column from the left, each from the
    top, first bit highest)."""
    head = text.rstrip("0123456789")
    base = (head + "0" * (len(text) - len(head))).encode("utf-8")
    side, bits = _made(base)
    for place, (byte, zero) in enumerate(zip(text.encode("utf-8"), base)):
        differs = byte ^ zero
        while differs:
            bit = differs & -differs
            bits ^= _difference(len(base), place, bit)
            differs ^= bit
    return side, bits


@lru_cache(maxsize=1024)
def _difference(length: int, place: int, bit: int) -> int:
    """The modules that change when a bit changes at a place in a text of so many bytes."""
    changed = bytearray(length)
    changed[place] = bit
    return _made(bytes(length))[1] ^ _made(bytes(changed))[1]


@lru_cache(maxsize=64)
def _made(data: bytes) -> tuple[int, int]:
    """A symbol from the package, level M, byte mode throughout."""
    import qrcode
    from qrcode.util import MODE_8BIT_BYTE, QRData

    code = qrcode.QRCode(
        error_correction=qrcode.constants.ERROR_CORRECT_M, border=0, mask_pattern=_MASK
    )
    code.add_data(QRData(data, mode=MODE_8BIT_BYTE, check_data=False), optimize=0)
    code.make(fit=True)
    bits = 0
    for column in zip(*code.modules):
        for module in column:
            bits = bits << 1 | bool(module)
    return code.modules_count, bits


def draw(text: str) -> str:
    """Operators that paint the symbol, without quiet zone, in the unit square."""
    side, bits = symbol(text)
    modules = f"{bits:0{side * side}b}"
    # By columns: data fill a symbol from the right, so of two beds' codes the right part is one.
    boxes = [_column(x, modules[x * side : (x + 1) * side]) for x in range(side)]
    return f"{1 / side:.6f} 0 0 {1 / side:.6f} 0 0 cm 0 g\n" + "\n".join(boxes) + "\nf"


@lru_cache(maxsize=1024)
def _column(x: int, modules: str) -> str:
    """A rectangle for each run of dark modules of a column, given from the top."""
    side = len(modules)
    runs = [dark.span() for dark in _DARK.finditer(modules)]
    return "\n".join([f"{x} {side - end} 1 {end - start} re" for start, end in runs])
