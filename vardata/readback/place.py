"""Where a code stands in a bed file, and the window that shows it upright with its zone.

In: a code's line of ``slots.jsonl``, its field, its slot's turn, the print mode. Out: a
``CodePlace``: the window, and where in its pixels the symbol lies. A module is a whole number
of pixels and the window's corner lies on a dot, so an exact symbol falls on whole pixels.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from vardata.fit.codes.quiet import Quiet, quiet_zone
from vardata.fit.codes.window import window_of
from vardata.job.model import CodeField, PrintMode
from vardata.job.reduction import dots_off
from vardata.job.symbologies import SYMBOLOGIES
from vardata.readback.plates import Window
from vardata.units import MM_PER_INCH

DPI = 600  # wanted; the nearest whole number of pixels a module is taken
_ALONG_BARS_DPI = 200  # bars are the same all along, so fewer pixels do there
_LEAST = 4  # pixels a module
# pdfium rounds a picture's box outwards to whole pixels: seen so little smaller (pixels, over
# the whole symbol), a box that is exact but for rounded numbers keeps its pixels.
_GUARD = 0.1


class CodePlace(NamedTuple):
    """Lengths in pixels unless said otherwise. ``columns`` x ``rows`` modules of ``px`` x
    ``py`` pixels lie at (left, top); a linear code has one row. ``dots`` are the dots of a
    module as ``slots.jsonl`` states them, across and upwards as the symbol stands upright
    (upwards 0 for a linear code). ``quiet`` is in modules. ``spread`` is how far (left, bottom,
    right, top) ink is taken to spread, where modules are drawn narrower for it."""

    window: Window
    columns: int
    rows: int
    px: int
    py: int
    left: int
    top: int
    dots: tuple[int, int]
    quiet: Quiet
    spread: tuple[int, int, int, int] = (0, 0, 0, 0)
    inset: tuple[int, int] = (0, 0)  # of what is looked at in a module, across and upwards
    hole: range = range(0)  # columns and rows of modules that are left out for a logo


def turns(field: CodeField, rotation: float) -> int:
    """Quarter turns by which a code stands on the bed."""
    return round((field.rotation + rotation) / 90.0) % 4


def place_code(
    field: CodeField, code: dict[str, Any], rotation: float, mode: PrintMode, *,
    one_dot: bool = False, reduction: float = 0.0,
) -> CodePlace:
    """The place of a code; ``one_dot``: a pixel is a dot (the larger, if dots are oblong);
    ``reduction`` (mm) is what its modules were drawn narrower."""
    turn = turns(field, rotation)
    dot = (MM_PER_INCH / mode.dpi[0], MM_PER_INCH / mode.dpi[1])
    x, y, w, h = code["box_mm"]
    # The box is written in 1/10,000 mm; on the bed it lies on whole dots.
    x, w = round(x / dot[0]) * dot[0], round(w / dot[0]) * dot[0]
    y, h = round(y / dot[1]) * dot[1], round(h / dot[1]) * dot[1]
    across, upwards = (dot[1], dot[0]) if turn % 2 else dot
    width, height = (h, w) if turn % 2 else (w, h)
    matrix = SYMBOLOGIES[field.symbology].matrix
    stated = [int(dots) for dots in code["module_dots"]]
    dots_x = stated[-1] if turn % 2 else stated[0]
    dots_y = (stated[0] if turn % 2 else stated[-1]) if matrix else 0
    module_x = dots_x * across
    module_y = dots_y * upwards if matrix else height
    columns = max(1, round(width / module_x))
    rows = max(1, round(height / module_y)) if matrix else 1
    scale = 1 / max(dot) if one_dot else DPI / MM_PER_INCH
    least = 2 * _LEAST if reduction or field.modules == "round" else _LEAST
    px = max(least, round(module_x * scale))
    if reduction and dots_x in (dots_y, 0):  # then edges of dots are edges of pixels
        px = dots_x * max(1, math.ceil(least / dots_x), round(px / dots_x))
    along = min(scale, _ALONG_BARS_DPI / MM_PER_INCH)
    # The form of a module counts for a decoder: it is kept, not each side rounded for itself.
    py = max(_LEAST, round(px * module_y / module_x if matrix else module_y * along))
    left, bottom, right, top = dots_off(reduction, mode, turn, matrix).sides
    spread = (
        round(left * px / dots_x), round(bottom * py / dots_y) if dots_y else 0,
        round(right * px / dots_x), round(top * py / dots_y) if dots_y else 0,
    )  # fmt: skip
    quiet = quiet_zone(field.symbology, field.quiet) or Quiet(0, 0, 0, 0)
    window = Window(
        *_centre(x + w / 2, y + h / 2, turn, module_x, module_y, quiet),
        (columns + quiet.left + quiet.right) * module_x * (1 + _GUARD / (columns * px)),
        (rows + quiet.bottom + quiet.top) * module_y * (1 + _GUARD / (rows * py)),
        90.0 * turn,
        (columns + quiet.left + quiet.right) * px,
        (rows + quiet.bottom + quiet.top) * py,
    )
    return CodePlace(
        window, columns, rows, px, py, quiet.left * px, quiet.top * py, (dots_x, dots_y), quiet,
        spread, (_inset(px), _inset(py)) if field.modules == "round" else (0, 0),
        window_of(field.window, columns) if field.window else range(0),
    )


def _inset(side: int) -> int:
    """How far from a module's edge the square within a disc begins: 1/2 - 1/4 of root 2."""
    return math.ceil(side * 0.147)


def _centre(
    x: float, y: float, turn: int, module_x: float, module_y: float, quiet: Quiet
) -> tuple[float, float]:
    """The zone's centre on the bed: the symbol's, moved where the zone is lopsided."""
    dx = (quiet.right - quiet.left) / 2 * module_x
    dy = (quiet.top - quiet.bottom) / 2 * module_y
    cos, sin = ((1, 0), (0, 1), (-1, 0), (0, -1))[turn]
    return x + cos * dx - sin * dy, y + sin * dx + cos * dy
