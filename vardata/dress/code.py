"""A code on the dots of the bed: its modules, its zone, its ground.

In: a ``CodeFit`` in its field's box, the item's placement, the print mode. Out: the symbol
and its zone in item mm, moved so that every module edge lies on a dot of the bed. The dot
grid starts at the bed's lower left corner. Codes sit at quarter turns only.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from vardata.dress import geometry
from vardata.dress.geometry import Bounds
from vardata.fit.codes.window import window_of
from vardata.fit.result import CodeFit
from vardata.job.model import CodeField, Layout, PrintMode
from vardata.marks import Commands, ModuleGrid, Paint, Placement
from vardata.units import MM_PER_INCH

_new: Any = tuple.__new__  # what ``_make`` does, without asking for the number of values
_SWAPPED = 1e-3  # of a dot: a module this far from whole dots is one of another turn
_WHOLE = 1e-6  # of a dot: an edge this near to a dot lies on it
MARGIN = 0.5  # mm of ground around the human-readable line (common practice, no source)
_KEPT = 20_000  # snaps kept: one a slot and size of code


class Snapped(NamedTuple):
    """A code where it is printed, in item mm.

    ``box`` is (x, y, w, h) before its quarter ``turn``; ``zone`` is the upright rectangle
    out to the quiet zone, the human-readable line's ink included, on whole dots; ``shift``
    is how far (mm, in the field's box) the code was moved; ``dots`` is the size of a module
    along the symbol's own columns and rows (0 where a row is a whole bar); ``net`` is its
    quarter turn on the bed.
    """

    box: Bounds
    turn: int
    zone: Bounds
    shift: tuple[float, float]
    dots: tuple[int, int]
    net: int = 0


class Snapper:
    """Snaps the codes of one field."""

    def __init__(self, field: CodeField, layout: Layout, mode: PrintMode) -> None:
        x, y, w, h = field.box
        self._half = (w / 2, h / 2)
        self._centre = (x + w / 2, y + h / 2)
        self._item = (layout.width / 2, layout.height / 2)
        self._turn = round(field.rotation / 90.0) % 4
        self._dot = (MM_PER_INCH / mode.dpi[0], MM_PER_INCH / mode.dpi[1])
        self._kept: dict[tuple[object, ...], Snapped] = {}

    def snap(self, fit: CodeFit, placement: Placement) -> Snapped:
        """The code's place for one slot; remembered, as slots repeat from bed to bed."""
        key = (
            placement, fit.x, fit.y, fit.w, fit.h, fit.columns, fit.rows, fit.quiet,
            None if fit.line is None else lettered(fit),
        )  # fmt: skip
        found = self._kept.get(key)
        if found is None:
            if len(self._kept) >= _KEPT:
                self._kept.clear()
            found = self._kept[key] = self._snap(fit, placement)
        return found

    def bounds(self, fit: CodeFit, ground: bool) -> Bounds:
        """What the code prints in item mm, before it is snapped: its zone if that has a
        ground, else its symbol and line."""
        bare = fit if ground else fit._replace(quiet=(0.0, 0.0, 0.0, 0.0))
        return self._to_item(self._zone(bare, MARGIN if ground else 0.0))

    def zone(self, fit: CodeFit, ground: bool) -> Bounds:
        """Symbol, line and quiet zone in item mm, before they are snapped; with a ground as far as
        that reaches."""
        return self._to_item(self._zone(fit, MARGIN if ground else 0.0))

    def window(self, fit: CodeFit, percent: float) -> Bounds:
        """The part of a square symbol that is left light for a logo, in item mm."""
        hole = window_of(percent, fit.columns)
        wide, high = fit.w / fit.columns, fit.h / fit.rows
        across = (fit.x + hole.start * wide, fit.x + hole.stop * wide)
        up = (fit.y + hole.start * high, fit.y + hole.stop * high)
        return self._to_item((across[0], up[0], across[1], up[1]))

    def _snap(self, fit: CodeFit, placement: Placement) -> Snapped:
        wide, high = self._dot
        bed = self._to_bed(self._to_item((fit.x, fit.y, fit.x + fit.w, fit.y + fit.h)), placement)
        left, bottom = round(bed[0] / wide), round(bed[1] / high)
        net = (self._turn + _quarters(placement.angle)) % 4
        across, along = self._modules(fit, net)
        columns, rows = (across * fit.columns, along)
        w, h = (rows, columns) if net % 2 else (columns, rows)
        snapped = (left * wide, bottom * high, (left + w) * wide, (bottom + h) * high)
        shift_bed = (snapped[0] - bed[0], snapped[1] - bed[1])
        zone = self._to_bed(self._to_item(self._zone(fit, MARGIN)), placement)
        # Growth by the rounding of a bar's length goes into the zone as well.
        grow = (
            snapped[2] - snapped[0] - bed[2] + bed[0],
            snapped[3] - snapped[1] - bed[3] + bed[1],
        )
        zone = (
            math.floor((zone[0] + shift_bed[0]) / wide + _WHOLE) * wide,
            math.floor((zone[1] + shift_bed[1]) / high + _WHOLE) * high,
            math.ceil((zone[2] + shift_bed[0] + max(grow[0], 0.0)) / wide - _WHOLE) * wide,
            math.ceil((zone[3] + shift_bed[1] + max(grow[1], 0.0)) / high - _WHOLE) * high,
        )
        x0, y0, x1, y1 = self._from_bed(snapped, placement)
        wide, high = (y1 - y0, x1 - x0) if self._turn % 2 else (x1 - x0, y1 - y0)
        box = ((x0 + x1 - wide) / 2, (y0 + y1 - high) / 2, wide, high)
        cos, sin = geometry.turn(90.0 * net)
        dx, dy = shift_bed
        shift = (dx * cos + dy * sin, dy * cos - dx * sin)
        module_rows = along // fit.rows if fit.rows > 1 else 0
        return Snapped(
            box, self._turn, self._from_bed(zone, placement), shift, (across, module_rows), net
        )

    def _zone(self, fit: CodeFit, margin: float) -> Bounds:
        """Symbol, quiet zone and the line's ink together, in the field's box, unsnapped; with
        ``margin`` mm around the ink where the box has them."""
        left, bottom, right, top = fit.quiet
        x0, y0, x1, y1 = fit.x - left, fit.y - bottom, fit.x + fit.w + right, fit.y + fit.h + top
        if fit.line is None or not fit.line.runs:
            return (x0, y0, x1, y1)
        ink, wide = lettered(fit), 2 * self._half[0]
        return (
            min(x0, ink[0], max(0.0, ink[0] - margin)),
            min(y0, ink[1], max(0.0, ink[1] - margin)),
            max(x1, ink[2], min(wide, ink[2] + margin)),
            max(y1, ink[3]),
        )

    def _modules(self, fit: CodeFit, net: int) -> tuple[int, int]:
        """Dots of a module along the columns, and dots of the whole symbol along the rows."""
        wide, high = self._dot if net % 2 == 0 else self._dot[::-1]
        column, row = fit.w / fit.columns, fit.h / fit.rows
        if fit.rows == 1:
            return max(1, round(column / wide)), max(1, round(fit.h / high))
        if net % 2 and abs(column / wide - round(column / wide)) > _SWAPPED:
            # It lies both ways, and its size is that of an even turn.
            column, row = fit.h / fit.rows, fit.w / fit.columns
        return max(1, round(column / wide)), max(1, round(row / high)) * fit.rows

    def _to_item(self, bounds: Bounds) -> Bounds:
        (hx, hy), (cx, cy) = self._half, self._centre
        x0, y0, x1, y1 = bounds
        return _turned((x0 - hx, y0 - hy, x1 - hx, y1 - hy), self._turn, cx, cy)

    def _to_bed(self, bounds: Bounds, placement: Placement) -> Bounds:
        hx, hy = self._item
        x0, y0, x1, y1 = bounds
        centred = (x0 - hx, y0 - hy, x1 - hx, y1 - hy)
        return _turned(centred, _quarters(placement.angle), placement.cx, placement.cy)

    def _from_bed(self, bounds: Bounds, placement: Placement) -> Bounds:
        cx, cy = placement.cx, placement.cy
        x0, y0, x1, y1 = bounds
        centred = (x0 - cx, y0 - cy, x1 - cx, y1 - cy)
        return _turned(centred, -_quarters(placement.angle) % 4, *self._item)


def lettered(fit: CodeFit) -> Bounds:
    """What a code with a line prints beyond its symbol, in the field's box: the ink of the line
    with longer bars."""
    assert fit.line is not None
    x0, y0, x1, y1 = fit.line.ink
    if fit.ends is not None:
        left, low, right, high = fit.ends.ink
        x0, y0, x1, y1 = min(x0, left), min(y0, low), max(x1, right), max(y1, high)
    if fit.below is not None:
        y0 = min(y0, fit.y - fit.below[1])
    if fit.above is not None:
        y1 = max(y1, fit.y + fit.h + fit.above[1])
    return (x0, y0, x1, y1)


def _quarters(angle: float) -> int:
    return round(angle / 90.0) % 4


def _turned(bounds: Bounds, quarters: int, x: float, y: float) -> Bounds:
    """A rectangle turned by quarters about the origin, then moved by (x, y)."""
    x0, y0, x1, y1 = bounds
    if quarters == 1:
        x0, y0, x1, y1 = -y1, x0, -y0, x1
    elif quarters == 2:
        x0, y0, x1, y1 = -x1, -y1, -x0, -y0
    elif quarters == 3:
        x0, y0, x1, y1 = y0, -x1, y1, -x0
    return (x0 + x, y0 + y, x1 + x, y1 + y)


def grid(plate: int, paint: Paint, fit: CodeFit, at: Snapped) -> ModuleGrid:
    """The symbol as a mark on a plate."""
    made: ModuleGrid = _new(ModuleGrid, (plate, paint, *fit[1:4], *at[0], at[1]))
    return made


def upright(at: Snapped) -> Bounds:
    """The symbol's upright rectangle in item mm, after its turn."""
    x, y, w, h = at.box
    if at.turn % 2:
        x, y, w, h = x + (w - h) / 2, y + (h - w) / 2, h, w
    return (x, y, x + w, y + h)


def rectangle(bounds: Bounds) -> Commands:
    """A zone as drawing commands."""
    x0, y0, x1, y1 = bounds
    return (("re", x0, y0, x1 - x0, y1 - y0),)


def modules(fit: CodeFit, at: Snapped) -> list[Bounds]:
    """The dark runs of modules as rectangles in item mm."""
    x, y, w, h = at.box
    column, row = w / fit.columns, h / fit.rows
    stride = (fit.columns + 7) // 8
    cx, cy = x + w / 2, y + h / 2
    found = []
    for r in range(fit.rows):
        bits = int.from_bytes(fit.bits[r * stride : (r + 1) * stride], "big")
        text = f"{bits:0{stride * 8}b}"[: fit.columns]
        start = text.find("1")
        while start >= 0:
            end = text.find("0", start)
            end = fit.columns if end < 0 else end
            top = y + h - r * row
            local = (x + start * column - cx, top - row - cy, x + end * column - cx, top - cy)
            found.append(_turned(local, at.turn, cx, cy))
            start = text.find("1", end)
    return found
