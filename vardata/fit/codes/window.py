"""A window in the middle of a QR code, left light for a logo.

In: the share of the side, a symbol. Out: the modules of the window, the symbol without them.
The error correction makes good for what is missing; whether it does is for read-back to say.
"""

from __future__ import annotations

from vardata.fit.codes.symbol import Symbol


def window_of(percent: float, modules: int) -> range:
    """Columns and rows of the window: as many on either side of it, at most so many percent."""
    size = int(modules * percent / 100)
    if (modules - size) % 2:
        size -= 1
    start = (modules - size) // 2
    return range(start, start + max(0, size))


def with_window(symbol: Symbol, percent: float) -> Symbol:
    """A square symbol with its window light."""
    hole = window_of(percent, symbol.columns)
    stride = (symbol.columns + 7) // 8
    light = sum(1 << (stride * 8 - 1 - column) for column in hole)
    rows = []
    for row in range(symbol.rows):
        bits = int.from_bytes(symbol.bits[row * stride : (row + 1) * stride], "big")
        rows.append((bits & ~light if row in hole else bits).to_bytes(stride, "big"))
    return symbol._replace(bits=b"".join(rows))
