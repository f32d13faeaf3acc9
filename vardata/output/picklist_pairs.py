"""Both sides of every piece of a bed, upright and as seen: what a packer compares a piece with.

In: the two ``BedPaper``s of a bed of two-sided pieces, with a picture of each piece alone. Out:
sheets of a grid, a cell a slot: its name, its order, a box to tick, side A and side B. Pictures
are as large as lets all cells lie on one sheet; where that would be too small, there are more.
"""

from __future__ import annotations

from typing import NamedTuple

from vardata.output.picklist_document import Paper
from vardata.output.picklist_paper import (
    BLACK,
    BOTTOM,
    GREY,
    INNER,
    LEFT,
    RULE,
    TOP,
    foot,
    tick_boxes,
)
from vardata.output.picklist_places import turn
from vardata.output.picklist_values import BedPaper, Look, RunPaper
from vardata.output.slotline import SlotLine
from vardata.units import PT_PER_MM

_START = TOP - 44.0
_GAP, _BETWEEN = 14.0, 5.0  # points between cells, and between the two sides of a piece
_WORDS, _TICK, _SIZE, _SMALL = 14.0, 7.5, 9.0, 7.0
_MOST_COLUMNS = 4


class _Grid(NamedTuple):
    """Cells of a sheet; a picture is ``scale`` points a mm."""

    columns: int
    rows: int
    scale: float
    width: float
    height: float


def draw_pairs(paper: Paper, runs: tuple[RunPaper, RunPaper], a: BedPaper, b: BedPaper) -> None:
    """Adds the sheets of one bed."""
    pairs = tuple(zip(a.lines, a.pieces, b.lines, b.pieces))
    grid = _grid(runs[0].item_mm, len(pairs))
    on_sheet = grid.columns * grid.rows
    sheets = range(0, len(pairs), on_sheet)
    for number, start in enumerate(sheets, 1):
        out = [_head(paper, runs[0], a)]
        forms: list[str] = []
        for place, pair in enumerate(pairs[start : start + on_sheet]):
            row, column = divmod(place, grid.columns)
            x = LEFT + column * (grid.width + _GAP)
            y = _START - row * (grid.height + _GAP)
            out.append(_words(paper, pair[0], x, y, grid.width))
            for half, (run, line, look) in enumerate(zip(runs, pair[::2], pair[1::2])):
                name = f"Piece{a.bed}{run.side}{start + place}"
                forms.append(paper.picture(name, look))
                wide = run.item_mm[0] * grid.scale
                at = (x + half * (wide + _BETWEEN), y - grid.height)
                out.append(_picture(run, line, look, name, at, grid.scale))
        sheet = f"bed {a.bed}, both sides, page {number} of {len(sheets)}"
        out.append(foot(paper, runs[0], sheet))
        paper.page(out, forms)


def _grid(item_mm: tuple[float, float], cells: int) -> _Grid:
    """The fewest columns that hold all cells on one sheet; the most there may be, if none do."""
    for columns in range(1, _MOST_COLUMNS + 1):
        room = (INNER - (columns - 1) * _GAP) / columns
        high = _START - BOTTOM - _WORDS
        scale = min((room - _BETWEEN) / 2 / item_mm[0], high / item_mm[1], PT_PER_MM)
        height = item_mm[1] * scale + _WORDS
        rows = max(1, int((_START - BOTTOM + _GAP) / (height + _GAP)))
        if columns * rows >= cells:
            break
    return _Grid(columns, rows, scale, room, height)


def _head(paper: Paper, run: RunPaper, bed: BedPaper) -> str:
    title = f"Bed {bed.bed}"
    x = LEFT + paper.bold.width(title, 18.0) + 6
    told = f"of {run.beds}, both sides of each piece as seen: pack it when both are printed"
    return "\n".join((
        BLACK, paper.bold.at(LEFT, TOP - 16, title, 18.0),
        f"{GREY} {paper.regular.at(x, TOP - 16, told, 11.0)} {BLACK}",
    ))  # fmt: skip


def _words(paper: Paper, line: SlotLine, x: float, y: float, width: float) -> str:
    """Above a piece: a box to tick, its slot and its order."""
    base = y - 9.0
    after = x + _TICK + 4.0
    slot = paper.bold.at(after, base, line.slot, _SIZE)
    after += paper.bold.width(line.slot, _SIZE) + 5.0
    order = paper.regular.shorten(line.order, _SMALL, max(0.0, x + width - after))
    order = f"{GREY} {paper.regular.at(after, base, order, _SMALL)} {BLACK}" if order else ""
    return "\n".join((tick_boxes([(x, base - 0.5)], _TICK), BLACK, slot, order))


def _picture(
    run: RunPaper, line: SlotLine, look: Look, name: str, at: tuple[float, float], scale: float
) -> str:
    """A piece turned upright: its picture lies on its bed as it is printed."""
    x0, y0, x1, _ = look.bbox
    unit = (x1 - x0) / run.bed_mm[0]
    x, y, w, h = line.box_mm
    cx, cy = x0 + (x + w / 2) * unit, y0 + (y + h / 2) * unit
    c, s = (part * scale / unit for part in turn(line.rotation))
    wide, high = run.item_mm[0] * scale, run.item_mm[1] * scale
    left = at[0] + wide / 2 - c * cx - s * cy
    low = at[1] + high / 2 + s * cx - c * cy
    box = f"{at[0]:.2f} {at[1]:.2f} {wide:.2f} {high:.2f} re"
    return (
        f"q {box} W n {c:.6f} {-s:.6f} {s:.6f} {c:.6f} {left:.4f} {low:.4f} cm /{name} Do Q "
        f"{RULE} {box} S"
    )
