"""Modules drawn dot by dot: narrower for ink that spreads, choked where they lie under colour.

In: a code's modules, their size in dots, the dots that they lose. Out: rows of dots, each a
number whose bits are dots, the leftmost highest; and the mark made of them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from vardata.dress.code import Snapped, grid
from vardata.fit.result import CodeFit
from vardata.job.reduction import NOTHING, Off
from vardata.marks import ModuleGrid, Paint


def reduced(
    plate: int, paint: Paint, fit: CodeFit, at: Snapped, off: Off, kept: Sequence[int] = ()
) -> ModuleGrid:
    """The symbol as a mark with a column and a row for every dot; bars stay one row.

    ``kept``: modules are round but for these, row by row; () if all are square.
    """
    if off == NOTHING and not kept:
        return grid(plate, paint, fit, at)
    rows = drawn_rows(fit, at.dots, off, kept)
    return as_grid(plate, paint, rows, fit.columns * at.dots[0], at)


def as_grid(plate: int, paint: Paint, rows: list[int], wide: int, at: Snapped) -> ModuleGrid:
    """Rows of dots as a mark in the symbol's place."""
    x, y, w, h = at.box
    size = (wide + 7) // 8
    pad = size * 8 - wide
    data = b"".join((row << pad).to_bytes(size, "big") for row in rows)
    return ModuleGrid(plate, paint, wide, len(rows), data, x, y, w, h, at.turn)


def reduced_rows(fit: CodeFit, dots: tuple[int, int], off: Off) -> list[int]:
    """The symbol dot by dot. Dark runs lose dots at their ends, outside the symbol is light."""
    across, upwards = dots
    left, bottom, right, top = off.sides
    modules = [
        _narrowed(_widened(row, fit.columns, across), left, right) for row in module_rows(fit)
    ]
    if not upwards:
        return modules
    out: list[int] = []
    above = 0
    for number, row in enumerate(modules):
        below = modules[number + 1] if number + 1 < len(modules) else 0
        out += [row & above] * top + [row] * (upwards - top - bottom) + [row & below] * bottom
        above = row
    return out


def drawn_rows(
    fit: CodeFit, dots: tuple[int, int], off: Off, kept: Sequence[int] = ()
) -> list[int]:
    """The symbol dot by dot, as narrow as ``off`` says, its modules round where not ``kept``."""
    rows = reduced_rows(fit, dots, off)
    if not kept:
        return rows
    across, upwards = dots
    disc = _disc(across, upwards, off)
    out: list[int] = []
    for number, bits in enumerate(module_rows(fit)):
        square = _widened(kept[number], fit.columns, across)
        loose = f"{bits & ~kept[number]:0{fit.columns}b}".replace("0", " " * across)
        for at, slice_ in enumerate(disc):
            loose_dots = int(loose.replace("1", slice_).replace(" ", "0"), 2)
            out.append(rows[number * upwards + at] & square | loose_dots)
    return out


@lru_cache(maxsize=64)
def _disc(across: int, upwards: int, off: Off) -> tuple[str, ...]:
    """A round module dot by dot, from the top: 1 where the dot's middle lies in it."""
    left, _, _, top = off.sides
    wide, high = across - off.across, upwards - off.upwards
    middle_x, middle_y = left + wide / 2, top + high / 2

    def inside(x: int, y: int) -> bool:
        dx, dy = (x + 0.5 - middle_x) / wide, (y + 0.5 - middle_y) / high
        return dx * dx + dy * dy <= 0.25

    return tuple(
        "".join(str(int(inside(x, y))) for x in range(across)) for y in range(upwards)
    )


@lru_cache(maxsize=256)
def square_parts(symbology: str, columns: int, rows: int) -> tuple[int, ...]:
    """Modules that stay square in a round code, row by row: what readers find it by, the
    finders of a QR code and the solid sides of a Data Matrix."""
    whole, left = (1 << columns) - 1, 1 << (columns - 1)
    if symbology == "datamatrix":
        return (*(left for _ in range(rows - 1)), whole)
    ends = 0x7F << (columns - 7) | 0x7F
    return tuple(
        ends if row < 7 else 0x7F << (columns - 7) if row >= rows - 7 else 0
        for row in range(rows)
    )


def module_rows(fit: CodeFit) -> list[int]:
    """The modules, row by row from the top."""
    stride = (fit.columns + 7) // 8
    pad = stride * 8 - fit.columns
    return [
        int.from_bytes(fit.bits[at : at + stride], "big") >> pad
        for at in range(0, fit.rows * stride, stride)
    ]


def _widened(row: int, columns: int, across: int) -> int:
    text = f"{row:0{columns}b}"
    return int(text.replace("0", "0" * across).replace("1", "1" * across), 2)


def _narrowed(row: int, left: int, right: int) -> int:
    """A row whose dark runs lose ``left`` dots at their left ends and ``right`` at the other."""
    kept = row
    for shift in range(1, left + 1):
        kept &= row >> shift
    for shift in range(1, right + 1):
        kept &= row << shift
    return kept


def thinned(
    plate: int, fit: CodeFit, at: Snapped, choke: float, dot: float, off: Off = NOTHING,
    kept: Sequence[int] = (),
) -> tuple[ModuleGrid, float]:
    """White under modules that have no ground: the modules, as narrow as the colour draws them
    (``off``) and as round (``kept``, see ``reduced``), choked dot by dot.

    Gives the mark and the choke that was left: at most what leaves every module a dot of white.
    """
    across, along = at.dots
    least = min(across - off.across, along - off.upwards) if along else across - off.across
    depth = max(0, min(round(choke / dot), (least - 1) // 2))
    if depth == 0:
        return reduced(plate, 1.0, fit, at, off, kept), 0.0
    wide = fit.columns * across
    rows = drawn_rows(fit, at.dots, off, kept)
    if along:
        return as_grid(plate, 1.0, _eroded(rows, depth), wide, at), depth * dot
    # Bars are rectangles: each side moves in, and so do their ends.
    thin = [_narrowed(row, depth, depth) for row in rows]
    x, y, w, h = at.box
    inset = depth * w / wide
    shorter = at._replace(box=(x, y + inset, w, h - 2 * inset))
    return as_grid(plate, 1.0, thin, wide, shorter), depth * dot


def _eroded(rows: list[int], depth: int) -> list[int]:
    """Rows of dots less a disc of ``depth`` dots; outside is unprinted."""
    disc = [math.isqrt(depth * depth - dy * dy) for dy in range(depth + 1)]
    flat = {reach: [_narrowed(row, reach, reach) for row in rows] for reach in set(disc)}
    out = []
    for i in range(len(rows)):
        kept = flat[disc[0]][i]
        for dy in range(1, depth + 1):
            above = flat[disc[dy]][i - dy] if i >= dy else 0
            below = flat[disc[dy]][i + dy] if i + dy < len(rows) else 0
            kept &= above & below
        out.append(kept)
    return out
