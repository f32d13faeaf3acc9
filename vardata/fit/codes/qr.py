"""QR symbols (ISO/IEC 18004, model 2), module for module those of the ``qrcode`` package.

The package draws one symbol in milliseconds, most of it spent on trying the eight masks
module by module. A symbol of one version and level depends on its codewords by XOR alone, so
its constants are taken from the package once (``qr_canvas``, ``qr_correction``) and each text
costs a few operations on whole symbols.
"""

from __future__ import annotations

from functools import lru_cache

from vardata.fit.codes.qr_canvas import press
from vardata.fit.codes.qr_masks import best_mask
from vardata.fit.codes.qr_stream import LEVELS, chunks, codewords, version_of
from vardata.fit.codes.symbol import Symbol


@lru_cache(maxsize=256)  # the pieces of one row share their text
def encode_qr(text: str, level: str = "M", mask: int | None = None) -> Symbol:
    """The symbol of a text at a level (L, M, Q, H), in the smallest version that holds it.

    ``mask`` (0 to 7) is chosen by penalty when not given. Raises ``CodeError`` for a text that
    is empty or too long.
    """
    parts = chunks(text)
    version = version_of(parts, level)
    plate = press(version, LEVELS[level])
    data = codewords(parts, version, plate.correction.count)
    written = plate.written(data)
    if mask is None:
        lane = int.from_bytes(written[plate.size :], "big")
        mask = best_mask(lane, plate.canvas.lanes, plate.canvas.lane)
    symbol = int.from_bytes(written[: plate.size], "big")
    bits = (symbol ^ plate.finals[mask]).to_bytes(plate.size, "big")
    return Symbol(plate.canvas.n, plate.canvas.n, bits, text)


def qr_version(text: str, level: str = "M") -> int:
    """The version (1 to 40) that ``encode_qr`` takes; (4 * version + 17) modules a side."""
    return version_of(chunks(text), level)

