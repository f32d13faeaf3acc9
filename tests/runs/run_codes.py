"""Codes on a bed: where they must be, by ``slots.jsonl``, and what a foreign decoder reads.

Widths of quiet zones: 4 modules around a QR code (ISO/IEC 18004, 6.3), 10 modules at the ends
of a Code 128 (GS1 General Specifications, 5.4.4.2; secondary).
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import zxingcpp
from run_kit import Run
from run_pages import MM, Box, Pixels, part

FORMATS = {
    "qr": zxingcpp.BarcodeFormat.QRCode,
    "code128": zxingcpp.BarcodeFormat.Code128,
}
QUIET = {"qr": (4, 4), "code128": (10, 0)}  # modules at the sides, above and below
# AIM symbology identifiers: a QR code without ECI or FNC1, a Code 128 without FNC1.
IDENTIFIER = {"qr": "]Q1", "code128": "]C0"}


class Code(NamedTuple):
    """A code of a slot; lengths in mm on the bed."""

    record: str
    field: str
    kind: str
    text: str
    box: Box
    module_dots: tuple[int, ...]
    quiet: tuple[float, float]  # at the sides, above and below

    @property
    def zone(self) -> Box:
        """The symbol with its quiet zone."""
        (x, y, w, h), (beside, above) = self.box, self.quiet
        return (x - beside, y - above, w + 2 * beside, h + 2 * above)


def job_dpi(run: Run) -> tuple[float, float]:
    """Dots per inch of the job's print mode."""
    x, y = run.toml("bed")["modes"][run.toml("job")["print_mode"]]["dpi"]
    return x, y


def codes_of(run: Run, slot: dict[str, Any]) -> list[Code]:
    """The codes of a slot that is not turned."""
    assert slot["rotation_deg"] == 0, "these tests know upright slots only"
    dpi = job_dpi(run)
    found = []
    for code in slot["codes"]:
        kind, dots = code["symbology"], tuple(code["module_dots"])
        beside, above = QUIET[kind]
        quiet = (beside * dots[0] * MM / dpi[0], above * dots[-1] * MM / dpi[1])
        box = tuple(code["box_mm"])
        found.append(Code(slot["record"], code["field"], kind, code["text"], box, dots, quiet))
    return found


def read(pixels: Pixels, kind: str) -> Any:
    """The one code in a picture, upright, dark on light; zxing-cpp 3 is the judge."""
    found = zxingcpp.read_barcodes(
        np.ascontiguousarray(pixels), formats=FORMATS[kind], try_rotate=False,
        try_downscale=False, try_invert=False,
    )  # fmt: skip
    assert len(found) == 1, f"{len(found)} codes found"
    return found[0]


def read_on(page: Pixels, code: Code, dpi: float) -> None:
    """Reads a code from the rendered page, cut out with its quiet zone and nothing else."""
    answer = read(part(page, code.zone, (dpi, dpi), grow=1.0), code.kind)
    assert answer.text == code.text, f"{code.record}, {code.field}: {answer.text}"
    assert answer.symbology_identifier == IDENTIFIER[code.kind]
    # A mirrored or turned symbol is read as well; its corners give it away.
    place = answer.position
    assert answer.orientation == 0
    assert place.top_left.x < place.top_right.x and place.bottom_left.x < place.bottom_right.x
    assert place.top_left.y < place.bottom_left.y and place.top_right.y < place.bottom_right.y
    # It lies where box_mm says: the quiet zone and the width of the symbol, in pixels.
    beside, wide = code.quiet[0] * dpi / MM, code.box[2] * dpi / MM
    near = 0.3 * dpi / MM + 2
    assert abs(place.top_left.x - beside) < near, f"{code.record}, {code.field} is not in its box"
    assert abs(place.top_right.x - beside - wide) < near, f"{code.record}, {code.field}: width"
