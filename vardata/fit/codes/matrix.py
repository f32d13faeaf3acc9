"""The 2D codes of the writer: Micro QR, rectangular Micro QR, Data Matrix, Aztec and PDF417.

Those that come in several forms (rectangular Micro QR and Data Matrix, PDF417) are given the
form that gets the largest module in the field's box.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Any

from vardata.fit.codes.symbol import CodeError, Symbol, shown
from vardata.fit.codes.written import write
from vardata.job.symbologies import SYMBOLOGIES

Box = tuple[float, float]

# The writer's numbers of the six rectangles of ISO/IEC 16022, smallest first: 8x18, 8x32,
# 12x26, 12x36, 16x36, 16x48. Left to itself it also takes those of ISO/IEC 21471, which many
# readers do not know.
_RECTANGLES = {25: (8, 18), 26: (8, 32), 27: (12, 26), 28: (12, 36), 29: (16, 36), 30: (16, 48)}
# Rectangular Micro QR of 7 to 17 rows, each as short as the text allows.
_HEIGHTS = range(33, 39)
# Shares of error correction of Aztec; 23 % is the standard's own (ISO/IEC 24778, from memory).
_AZTEC = {"L": "10%", "M": "23%", "Q": "36%", "H": "50%"}
_PDF417_EDGE, _PDF417_COLUMN = 69, 17  # modules of start, stop and indicators; of a column
_PDF417_ROW = 3  # modules that a row is high (ISO/IEC 15438: at least 3, from memory)


@lru_cache(maxsize=256)  # the pieces of one row share their text
def encode_matrix(
    symbology: str, text: str, level: str, columns: int | None, box: Box, gs1: str = ""
) -> Symbol:
    """The symbol of a text; ``columns`` of PDF417, by default as the box of (w, h) mm suggests.

    ``gs1`` is the same text with its identifiers in square brackets, "" if it is no GS1 data.
    Raises ``CodeError``.
    """
    name = SYMBOLOGIES[symbology].name
    if not text:
        raise CodeError(f"the text of the {name} is empty", "give the field a text")
    if symbology == "microqr":
        return _micro_qr(name, text, level)
    options = _encoding(text)
    if symbology == "rmqr":
        return _rectangular_micro_qr(name, text, level, box, options)
    if symbology == "aztec":
        return write("AztecCode", name, text, stacked=True, ec_level=_AZTEC[level], **options)
    if symbology == "pdf417":
        return _pdf417(name, text, columns, box, options)
    if gs1:
        options = {"gs1": True}
    if symbology == "datamatrix":
        # Squares only: left free, the writer takes a rectangle wherever that is smaller.
        return write(
            "DataMatrix", name, gs1 or text, text=text, stacked=True, force_square=True, **options
        )
    return _rectangular_data_matrix(name, text, gs1, box, options)


def _encoding(text: str) -> dict[str, Any]:
    """Text beyond ASCII is marked as UTF-8, so that no reader has to guess."""
    return {} if text.isascii() else {"eci": "UTF8"}


def _micro_qr(name: str, text: str, level: str) -> Symbol:
    """Micro QR has no mark for an encoding, so it takes ASCII alone."""
    if not text.isascii():
        wrong = "".join(c for c in text if not c.isascii())
        raise CodeError(f"a {name} cannot hold {shown(wrong)}", "use a QR code")
    return write("MicroQRCode", name, text, stacked=True, ec_level=level)


def _rectangular_micro_qr(
    name: str, text: str, level: str, box: Box, options: dict[str, Any]
) -> Symbol:
    def written(version: int) -> Symbol:
        return write(
            "RMQRCode", name, text, stacked=True, ec_level=level, version=version, **options
        )

    return _largest(written, _HEIGHTS, box, 2)


def _rectangular_data_matrix(
    name: str, text: str, gs1: str, box: Box, options: dict[str, Any]
) -> Symbol:
    def written(version: int) -> Symbol:
        symbol = write(
            "DataMatrix", name, gs1 or text, text=text, stacked=True, version=version, **options
        )
        if (symbol.rows, symbol.columns) != _RECTANGLES[version]:
            raise CodeError(
                f"the text of {len(text)} characters is too long for a {name}",
                "shorten it, or choose another symbology",
            )
        return symbol

    return _largest(written, _RECTANGLES, box, 1)


def _pdf417(name: str, text: str, columns: int | None, box: Box, options: dict[str, Any]) -> Symbol:
    def written(count: int | None) -> Symbol:
        fixed = options if count is None else {**options, "columns": count}
        return write("PDF417", name, text, stacked=True, **fixed)

    if columns is not None:
        return written(columns)
    symbol = written(None)
    codewords = (symbol.columns - _PDF417_EDGE) // _PDF417_COLUMN * (symbol.rows // _PDF417_ROW)

    def estimate(count: int) -> float:
        rows = max(3, -(-codewords // count))
        return _module(count * _PDF417_COLUMN + _PDF417_EDGE, rows * _PDF417_ROW, box, 2)

    # A symbol has 3 to 90 rows, 1 to 30 columns (ISO/IEC 15438, from memory).
    likely = max((c for c in range(1, 31) if codewords <= 90 * c), key=estimate, default=None)
    if likely is None:
        return symbol
    near = [count for count in (likely, likely - 1, likely + 1) if 1 <= count <= 30]
    return _largest(written, near, box, 2)


def _largest(
    written: Callable[[int], Symbol], forms: Iterable[int], box: Box, quiet: int
) -> Symbol:
    """Of the forms that hold the text, the one with the largest module in the box."""
    best: Symbol | None = None
    refusal: CodeError | None = None
    for form in forms:
        try:
            symbol = written(form)
        except CodeError as error:
            refusal = error
            continue
        if best is None or _module(symbol.columns, symbol.rows, box, quiet) > _module(
            best.columns, best.rows, box, quiet
        ):
            best = symbol
    if best is None:
        raise refusal if refusal is not None else ValueError("no forms")
    return best


def _module(columns: int, rows: int, box: Box, quiet: int) -> float:
    """About how large a module gets, mm."""
    return min(box[0] / (columns + 2 * quiet), box[1] / (rows + 2 * quiet))
