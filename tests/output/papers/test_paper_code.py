"""The code on each sheet, against foreign readers and the package that defines its modules."""

from __future__ import annotations

import re

import numpy as np
import pytest
import qrcode
import zxingcpp

from vardata.output.picklist_code import QUIET, draw, sheet_text

BEDS = [*range(0, 130), 256, 999, 1000, 1563, 9876, 12345, 99999]


def modules(text: str) -> np.ndarray:
    """The modules of the inline stencil (ISO 32000-1, 8.9.7): rows from the top, 1 is painted."""
    found = re.fullmatch(
        r"BI/W (\d+)/H (\d+)/IM true/BPC 1/D\[1 0\]/F/AHx ID ([0-9a-f]+)>\nEI", draw(text)
    )
    assert found is not None
    columns, rows = int(found[1]), int(found[2])
    packed = np.frombuffer(bytes.fromhex(found[3]), dtype=np.uint8).reshape(rows, -1)
    return np.unpackbits(packed, axis=1)[:, :columns].astype(bool)


@pytest.mark.parametrize("run", ["3f9c2a7be1d0", "run-007"])
def test_a_foreign_reader_reads_every_code(run: str) -> None:
    for bed in BEDS:
        text = sheet_text(run, bed)
        cells = np.pad(modules(text), QUIET)
        picture = np.where(np.kron(cells, np.ones((6, 6), dtype=bool)), 0, 255).astype(np.uint8)
        (found,) = zxingcpp.read_barcodes(picture)
        assert (found.format, found.text) == (zxingcpp.BarcodeFormat.QRCode, text)
        assert found.ec_level == "M"


def test_it_takes_no_more_modules_than_the_package_does() -> None:
    for bed in (1, 64, 1563, 99999):
        text = sheet_text("3f9c2a7be1d0", bed)
        code = qrcode.QRCode(error_correction=qrcode.constants.ERROR_CORRECT_M, border=0)
        code.add_data(text)
        code.make(fit=True)
        assert len(modules(text)) <= code.modules_count


def test_codes_of_both_sides_tell_their_side() -> None:
    assert sheet_text("3f9c2a7be1d0", 3, "B") == "vardata:3f9c2a7be1d0:side:B:bed:3"
