"""``slots.jsonl``: what lies in each slot of each bed, one line a slot.

In: a dressed item with its fits and its place. Out: one line of JSON. Boxes are mm on the
bed, axis-aligned after rotation: [x, y, width, height]; a code's box is without quiet zone.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence

from vardata.fit.result import CodeFit, FieldFit, TextFit
from vardata.job.model import CodeField, Layout, PrintMode, Slot
from vardata.job.surfaces import face_down
from vardata.job.symbologies import SYMBOLOGIES
from vardata.marks import Item, ModuleGrid, Placement
from vardata.units import MM_PER_INCH

Box = tuple[float, float, float, float]


def on_bed(layout: Layout, placement: Placement, box: Box) -> Box:
    """A box (x, y, w, h) of item mm as the axis-aligned box on the bed."""
    angle = placement.angle % 360.0
    x, y, w, h = box
    x -= layout.width / 2
    y -= layout.height / 2
    if angle == 0.0:
        return (placement.cx + x, placement.cy + y, w, h)
    c, s = _turn(angle)
    corners = ((x, y), (x + w, y), (x, y + h), (x + w, y + h))
    xs = [placement.cx + c * px - s * py for px, py in corners]
    ys = [placement.cy + s * px + c * py for px, py in corners]
    return (min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def _turn(angle: float) -> tuple[float, float]:
    """Cosine and sine, exact at the quarter turns."""
    quarter = angle / 90.0
    if quarter == int(quarter):
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    return math.cos(math.radians(angle)), math.sin(math.radians(angle))


def _rounded(box: Box) -> list[float]:
    return [round(number, 4) for number in box]


def grid_box(grid: ModuleGrid) -> Box:
    """The box of a module grid in item mm, turned as it is painted."""
    if grid.turn % 2 == 0:
        return (grid.x, grid.y, grid.w, grid.h)
    cx, cy = grid.x + grid.w / 2, grid.y + grid.h / 2
    return (cx - grid.h / 2, cy - grid.w / 2, grid.h, grid.w)


def _grid_of(field: CodeField, fit: CodeFit, grids: Sequence[ModuleGrid]) -> ModuleGrid:
    """The modules of a field's code. Marks stand plate by plate, so their order says nothing:
    the same modules, and the nearest if two fields say the same."""
    x, y, w, h = field.box
    same = [grid for grid in grids if grid.bits == fit.bits and grid.columns == fit.columns]
    return min(
        same, key=lambda grid: math.dist(
            (grid.x + grid.w / 2, grid.y + grid.h / 2), (x + w / 2, y + h / 2)
        ),
    )  # fmt: skip


class SlotWriter:
    """Writes lines for one layout, print mode and set of font names."""

    def __init__(self, layout: Layout, mode: PrintMode, font_names: Sequence[str]) -> None:
        self._layout = layout
        self._mode = mode
        self._font_names = font_names
        self._fields = layout.fields
        self._mirrored = face_down(layout)
        self._encode = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode

    def line(
        self,
        *,
        bed: int,
        slot: Slot,
        placement: Placement,
        file: str,
        pages: dict[str, int],
        page: int,
        order: str,
        blank: str,
        item: Item,
        fits: Sequence[FieldFit],
    ) -> bytes:
        texts: list[dict[str, object]] = []
        codes: list[dict[str, object]] = []
        grids = [mark for mark in item.marks if isinstance(mark, ModuleGrid)]
        for field, fit in zip(self._fields, fits):
            if isinstance(fit, TextFit):
                texts.append(self._text(field.name, fit))
            elif isinstance(fit, CodeFit) and isinstance(field, CodeField):
                codes.append(self._code(field, fit, _grid_of(field, fit, grids), placement))
        width, height = self._layout.width, self._layout.height
        return (
            self._encode(
                {
                    "bed": bed,
                    "slot": slot.name,
                    "file": file,
                    "page": page,
                    "pages": pages,
                    "box_mm": _rounded(on_bed(self._layout, placement, (0.0, 0.0, width, height))),
                    "rotation_deg": placement.angle,
                    "record": item.record,
                    "order": order,
                    "blank": blank,
                    "product": self._layout.name,
                    "texts": texts,
                    "codes": codes,
                }
            ).encode()
            + b"\n"
        )

    def _lying(self, box: Box) -> Box:
        """A box of item mm as it lies on the bed, mirrored if the item lies on its face."""
        x, y, w, h = box
        return (self._layout.width - x - w, y, w, h) if self._mirrored else box

    def _text(self, name: str, fit: TextFit) -> dict[str, object]:
        fonts = list(dict.fromkeys(self._font_names[run.font] for run in fit.runs))
        return {
            "field": name,
            "text": fit.text,
            "font": fonts[0] if len(fonts) == 1 else fonts,
            "size_pt": fit.size_pt,
            "squeeze": round(fit.squeeze, 4),
            "lines": fit.lines,
        }

    def _code(
        self, field: CodeField, fit: CodeFit, grid: ModuleGrid, placement: Placement
    ) -> dict[str, object]:
        sides = (fit.w / fit.columns, fit.h / fit.rows)
        turned = (grid.turn + round(placement.angle / 90.0)) % 2 == 1
        on_axes = zip(sides[::-1] if turned else sides, self._mode.dpi)
        dots = [round(side * dpi / MM_PER_INCH) for side, dpi in on_axes]
        if not SYMBOLOGIES[field.symbology].matrix:  # its rows are bars
            dots = [dots[turned]]
        return {
            "field": field.name,
            "symbology": field.symbology,
            "text": fit.text,
            "box_mm": _rounded(on_bed(self._layout, placement, self._lying(grid_box(grid)))),
            "module_dots": dots,
        }
