"""Codes on the plates that a RIP would make: whole dots, quiet zones, polarity, white ground.

Ghostscript's tiffsep is the judge throughout; no decoder is asked whether it can read.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from run_codes import Code, codes_of, job_dpi, read
from run_kit import Run
from run_pages import MM, PROCESS, Pixels, cropped, part, plates

SAMPLE = [0, 41, -1]  # beds, by their place in the run
# Format information of level M, masks 0 to 7: ISO/IEC 18004, 7.9 and annex C, worked out with
# the BCH generator 0x537 and the pattern 0x5412.
FORMATS_M = (
    "101010000010010", "101000100100101", "101111001111100", "101101101001011",
    "100010111111001", "100000011001110", "100111110010111", "100101010100000",
)  # fmt: skip
FINDER = np.array(  # ISO/IEC 18004, 6.3.3: 7 x 7 dark, 5 x 5 light, 3 x 3 dark; then one light
    [[max(abs(r - 3), abs(c - 3)) in (0, 1, 3) for c in range(8)] for r in range(8)]
)


@pytest.mark.parametrize("place", SAMPLE)
def test_codes_lie_on_whole_dots_of_the_print_mode(tags: Run, place: int) -> None:
    """A row of a bed at the job's own dots: each module is one block of equal dots, its edges
    where ``box_mm`` and ``module_dots`` say, with its quiet zone clear and white below."""
    dpi = job_dpi(tags)
    slots = one_row(tags, tags.beds[place])
    window, found = strip(tags, slots, dpi)
    for slot in slots:
        for code in codes_of(tags, slot):
            left, top, across, down = in_dots(code, window, found["Black"].shape[0], dpi)
            symbol = found["Black"][top : top + down, left : left + across]
            modules = blocks(symbol, code)
            if code.kind == "qr":
                look_at_qr(modules)
            else:
                look_at_code128(modules)
            assert read(picture(modules), code.kind).text == code.text
            beside = round(code.quiet[0] / MM * dpi[0])
            above = round(code.quiet[1] / MM * dpi[1])
            rows = slice(top - above, top + down + above)
            columns = slice(left - beside, left + across + beside)
            zone = {name: plate[rows, columns].copy() for name, plate in found.items()}
            look_at_zone(zone, (above, beside), (down, across))


@pytest.mark.parametrize("place", SAMPLE)
def test_quiet_zones_grounds_and_polarity_of_a_whole_bed(tags: Run, place: int) -> None:
    """All codes of a bed at 360 dpi, edges left out for the width of a pixel."""
    bed, dpi = tags.beds[place], (360.0, 360.0)
    found = plates(tags.bed_file(bed), tags.on_bed(bed)[0]["page"], "360")
    for slot in tags.on_bed(bed):
        for code in codes_of(tags, slot):
            assert (part(found["White"], code.zone, dpi, grow=-1.0) == 255).all(), code
            assert not part(found["Gloss"], code.zone, dpi, grow=-1.0).any(), code
            x, y, w, h = code.box
            beside, above = code.quiet
            ring = [(x - beside, y, beside, h), (x + w, y, beside, h)]
            if above:
                wide = w + 2 * beside
                ring += [(x - beside, y + h, wide, above), (x - beside, y - above, wide, above)]
            for box in ring:
                for ink in PROCESS:
                    assert not part(found[ink], box, dpi, grow=-1.0).any(), (code, ink)
            for module, is_dark in marks_of(code):
                ink = part(found["Black"], module, dpi, grow=-1.0)
                assert (ink == (255 if is_dark else 0)).all(), (code, module)
            for ink in ("Cyan", "Magenta", "Yellow"):
                assert not part(found[ink], code.box, dpi, grow=-1.0).any(), (code, ink)


def marks_of(code: Code) -> list[tuple[tuple[float, float, float, float], bool]]:
    """Places that are dark or light in every symbol of the kind, in mm on the bed."""
    x, y, w, h = code.box
    if code.kind == "code128":
        # ISO/IEC 15417: every start character begins with a bar of two modules and a space; the
        # stop character ends with a bar of two modules.
        module = 2 * code.quiet[0] / 20
        return [((x, y, 2 * module, h), True), ((x + 2 * module, y, module, h), False),
                ((x + w - 2 * module, y, 2 * module, h), True)]  # fmt: skip
    mx, my = code.quiet[0] / 4, code.quiet[1] / 4
    found = []
    for cx, cy in ((x, y + h - 7 * my), (x + w - 7 * mx, y + h - 7 * my), (x, y)):
        found.append(((cx + 2 * mx, cy + 2 * my, 3 * mx, 3 * my), True))
        found.append(((cx + mx, cy + my, 5 * mx, my), False))
        found.append(((cx, cy, 7 * mx, my), True))
    return found


# ------------------------------------------------------------ a strip of the bed, in dots


def one_row(run: Run, bed: int) -> list[dict[str, Any]]:
    """The slots of a bed that lie beside the one in the middle of the filling order."""
    slots = run.on_bed(bed)
    y = slots[len(slots) // 2]["box_mm"][1]
    return [slot for slot in slots if slot["box_mm"][1] == y]


def strip(
    run: Run, slots: list[dict[str, Any]], dpi: tuple[float, float]
) -> tuple[tuple[int, int], dict[str, Pixels]]:
    """The plates of a row, cut out along the dots of the bed; and its lower left dot."""
    left, low, wide, high = slots[0]["box_mm"]
    right = max(slot["box_mm"][0] for slot in slots) + wide
    left = min(slot["box_mm"][0] for slot in slots)
    x0, x1 = int(left * dpi[0] / MM), int(right * dpi[0] / MM) + 1
    y0, y1 = int(low * dpi[1] / MM), int((low + high) * dpi[1] / MM) + 1
    window = (x0 * MM / dpi[0], y0 * MM / dpi[1], (x1 - x0) * MM / dpi[0], (y1 - y0) * MM / dpi[1])
    path = run.out / "beds" / slots[0]["file"]
    found = plates(cropped(path, slots[0]["page"], window), 1, f"{dpi[0]}x{dpi[1]}")
    assert found["Black"].shape == (y1 - y0, x1 - x0)
    return (x0, y0), found


def in_dots(
    code: Code, window: tuple[int, int], high: int, dpi: tuple[float, float]
) -> tuple[int, int, int, int]:
    """(left, top, width, height) of the symbol in the strip; all of it must be whole dots."""
    x, y, w, h = code.box
    exact = (x * dpi[0] / MM, y * dpi[1] / MM, w * dpi[0] / MM, h * dpi[1] / MM)
    # box_mm is told to 0.0001 mm, which is 0.006 of a dot here; width adds two such errors.
    whole = [round(value) for value in exact]
    assert exact == pytest.approx(whole, abs=0.02), f"{code} is off the dots"
    left, low, across, down = whole
    return left - window[0], high - (low - window[1]) - down, across, down


def blocks(symbol: Pixels, code: Code) -> np.ndarray:
    """The symbol's modules (True is inked), each one a block of equal dots."""
    down, across = symbol.shape
    wide = code.module_dots[0]
    high = code.module_dots[1] if code.kind == "qr" else down
    assert across % wide == 0 and down % high == 0, f"{code}: not whole modules"
    cells = symbol.reshape(down // high, high, across // wide, wide)
    least, most = cells.min(axis=(1, 3)), cells.max(axis=(1, 3))
    assert np.array_equal(least, most), f"{code}: a module's edge is off by a dot"
    assert set(np.unique(least)) == {0, 255}, f"{code}: not pure black"
    return least == 255


def look_at_qr(modules: np.ndarray) -> None:
    """Patterns of function (ISO/IEC 18004, 6.3) and the format's bits, which also rule out a
    mirrored symbol: there they would run backwards."""
    side = len(modules)
    assert modules.shape == (side, side) and (side - 17) % 4 == 0
    assert np.array_equal(modules[:8, :8], FINDER)
    assert np.array_equal(modules[:8, -8:], FINDER[:, ::-1])
    assert np.array_equal(modules[-8:, :8], FINDER[::-1])
    timing = [place % 2 == 0 for place in range(8, side - 8)]
    assert list(modules[6, 8:-8]) == timing and list(modules[8:-8, 6]) == timing
    assert modules[side - 8, 8], "the dark module"
    around = [(8, c) for c in (0, 1, 2, 3, 4, 5, 7, 8)] + [(r, 8) for r in (7, 5, 4, 3, 2, 1, 0)]
    apart = [(side - 1 - i, 8) for i in range(7)] + [(8, side - 8 + i) for i in range(8)]
    for places in (around, apart):
        assert "".join(str(int(modules[place])) for place in places) in FORMATS_M


def look_at_code128(modules: np.ndarray) -> None:
    """ISO/IEC 15417: 11 modules a character, 13 the stop, which ends 2331112."""
    assert modules.shape[0] == 1
    bars = "".join(str(int(module)) for module in modules[0])
    assert (len(bars) - 13) % 11 == 0
    assert bars.startswith("11010") and bars.endswith("1100011101011")


def look_at_zone(zone: dict[str, Pixels], quiet: tuple[int, int], size: tuple[int, int]) -> None:
    """No colour around the symbol, none but black in it; white below all; no gloss on it."""
    (above, beside), (down, across) = quiet, size
    assert (zone["White"] == 255).all(), "the ground has a hole"
    assert not zone["Gloss"].any(), "gloss on a code"
    for ink in ("Cyan", "Magenta", "Yellow"):
        assert not zone[ink].any(), f"{ink} on a code"
    zone["Black"][above : above + down, beside : beside + across] = 0
    assert not zone["Black"].any(), "ink in the quiet zone"


def picture(modules: np.ndarray) -> Pixels:
    """Modules as a picture with a quiet zone, to be read once more from the dots alone."""
    grid = np.repeat(modules, 1 if len(modules) > 1 else 40, axis=0)
    grid = np.pad(grid, ((4, 4), (10, 10)))
    return np.where(np.kron(grid, np.ones((4, 4), dtype=bool)), 0, 255).astype(np.uint8)
