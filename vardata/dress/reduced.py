"""Modules drawn narrower than they are, so that spreading ink brings them to their size.

In: a code's modules, their size in dots, the dots that they lose. Out: rows of dots, each a
number whose bits are dots, the leftmost highest; and the mark made of them.
"""

from __future__ import annotations

from vardata.dress.code import Snapped
from vardata.fit.result import CodeFit
from vardata.job.reduction import Off
from vardata.marks import ModuleGrid, Paint


def reduced(plate: int, paint: Paint, fit: CodeFit, at: Snapped, off: Off) -> ModuleGrid:
    """The symbol as a mark with a column and a row for every dot; bars stay one row."""
    rows = reduced_rows(fit, at.dots, off)
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
