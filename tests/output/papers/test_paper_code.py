"""The code on each sheet, against the package that defines its modules and a foreign reader."""

from __future__ import annotations

import numpy as np
import pytest
import qrcode
import zxingcpp
from qrcode.util import MODE_8BIT_BYTE, QRData

from vardata.output.picklist_code import QUIET, draw, sheet_text, symbol


def package_modules(text: str) -> np.ndarray:
    """The qrcode package's own symbol, made whole: level M, mask 2, bytes."""
    code = qrcode.QRCode(
        error_correction=qrcode.constants.ERROR_CORRECT_M, border=0, mask_pattern=2
    )
    code.add_data(QRData(text.encode(), mode=MODE_8BIT_BYTE, check_data=False), optimize=0)
    code.make(fit=True)
    return np.array(code.modules, dtype=bool)


def modules(text: str) -> np.ndarray:
    side, bits = symbol(text)
    flat = [bit == "1" for bit in f"{bits:0{side * side}b}"]
    return np.array(flat, dtype=bool).reshape(side, side).T


BEDS = [*range(0, 130), 256, 999, 1000, 1563, 9876, 12345, 99999]


@pytest.mark.parametrize("run", ["3f9c2a7be1d0", "run-007"])
def test_every_symbol_is_the_packages_own_module_by_module(run: str) -> None:
    for bed in BEDS:
        text = sheet_text(run, bed)
        assert np.array_equal(modules(text), package_modules(text)), text


def test_a_foreign_reader_reads_it() -> None:
    for bed in (1, 7, 64, 1563):
        text = sheet_text("3f9c2a7be1d0", bed)
        cells = np.pad(modules(text), QUIET)
        picture = np.where(np.kron(cells, np.ones((6, 6), dtype=bool)), 0, 255).astype(np.uint8)
        (found,) = zxingcpp.read_barcodes(picture)
        assert (found.format, found.text) == (zxingcpp.BarcodeFormat.QRCode, text)


def test_the_drawing_paints_those_modules_and_no_others() -> None:
    text = sheet_text("3f9c2a7be1d0", 42)
    wanted = modules(text)
    side = len(wanted)
    painted = np.zeros_like(wanted, dtype=int)
    for line in draw(text).splitlines():
        if line.endswith(" re"):
            x, y, w, h = map(int, line.split()[:4])
            painted[side - y - h : side - y, x : x + w] += 1
    assert np.array_equal(painted, wanted.astype(int))
