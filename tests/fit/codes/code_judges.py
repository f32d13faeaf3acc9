"""Foreign eyes for symbols: pictures of them, and two decoders that this project does not use."""

from __future__ import annotations

import subprocess
from io import BytesIO
from tempfile import NamedTemporaryFile
from typing import Any

import numpy as np
import zxingcpp
from numpy.typing import NDArray
from PIL import Image
from qrcode.main import QRCode

from vardata.fit.codes.qr_stream import LEVELS
from vardata.fit.codes.symbol import Symbol
from vardata.job.symbologies import SYMBOLOGIES

# By the name that the table gives for read-back.
FORMATS = {key: getattr(zxingcpp.BarcodeFormat, kind.decoder) for key, kind in SYMBOLOGIES.items()}


def modules(symbol: Symbol) -> NDArray[np.uint8]:
    """The symbol as rows of 0 and 1."""
    width = (symbol.columns + 7) // 8
    assert len(symbol.bits) == symbol.rows * width
    rows = np.frombuffer(symbol.bits, np.uint8).reshape(symbol.rows, width)
    bits = np.unpackbits(rows, axis=1)
    assert not bits[:, symbol.columns :].any(), "the padding of a row must be light"
    return bits[:, : symbol.columns]


def rows_of(symbol: Symbol) -> list[str]:
    return ["".join(map(str, row)) for row in modules(symbol)]


def package_rows(text: str, level: str, mask: int | None = None, optimize: int = 20) -> list[str]:
    """The same symbol from the ``qrcode`` package."""
    code = QRCode(version=None, error_correction=LEVELS[level], border=0, mask_pattern=mask)
    code.add_data(text, optimize=optimize)
    code.make(fit=True)
    return ["".join("1" if module else "0" for module in row) for row in code.modules]


def picture(symbol: Symbol, quiet: int, scale: int = 3, height: int = 40) -> NDArray[np.uint8]:
    """Black on white with its quiet zone; a linear symbol gets bars ``height`` pixels high."""
    grid = modules(symbol)
    if symbol.rows == 1:
        grid = np.pad(np.repeat(grid, scale, axis=1), ((0, 0), (quiet * scale, quiet * scale)))
        grid = np.pad(np.repeat(grid, height, axis=0), ((8, 8), (0, 0)))
    else:
        grid = np.kron(np.pad(grid, quiet), np.ones((scale, scale), np.uint8))
    return np.ascontiguousarray((1 - grid) * 255, dtype=np.uint8)


def zxing(symbol: Symbol, symbology: str, quiet: int = 12) -> Any:
    """The one code that zxing-cpp finds in the picture."""
    found = zxingcpp.read_barcodes(
        picture(symbol, quiet), formats=FORMATS[symbology], try_rotate=False, try_invert=False
    )
    assert len(found) == 1, f"{symbology} {symbol.text!r}: {len(found)} codes found"
    return found[0]


def plain(symbol: Symbol, symbology: str, scale: int = 3) -> Any:
    """The one code that zxing-cpp finds, its text as a reader hands it on, with add-ons."""
    found = zxingcpp.read_barcodes(
        picture(symbol, 12, scale),
        formats=FORMATS[symbology],
        try_rotate=False,
        try_invert=False,
        text_mode=zxingcpp.TextMode.Plain,
        ean_add_on_symbol=zxingcpp.EanAddOnSymbol.Read,
    )
    assert len(found) == 1, f"{symbology} {symbol.text!r}: {len(found)} codes found"
    return found[0]


def dmtx(symbol: Symbol, *options: str) -> bytes:
    """What libdmtx's program reads from a Data Matrix ("" if nothing).

    It does not find every symbol in a picture of every size, so it is shown up to three; what
    it reads first counts.
    """
    for scale in (8, 5, 11):
        with NamedTemporaryFile(suffix=".png") as file:
            Image.fromarray(picture(symbol, 6, scale=scale)).save(file, "PNG")
            file.flush()
            done = subprocess.run(
                ["dmtxread", "-N1", *options, file.name], capture_output=True, check=False
            )
        if done.stdout:
            return done.stdout
    return b""


def zbar(symbol: Symbol, quiet: int = 12, more: tuple[str, ...] = ()) -> str:
    """What zbarimg reads, byte by byte ("" if nothing); ``more``: symbologies to switch on."""
    file = BytesIO()
    Image.fromarray(picture(symbol, quiet, scale=4)).save(file, "PNG")
    done = subprocess.run(
        ["zbarimg", "--quiet", "--nodbus", "-Sbinary", *(f"-S{name}.enable" for name in more), "-"],
        input=file.getvalue(),
        capture_output=True,
        check=False,
    )
    return done.stdout.decode()
