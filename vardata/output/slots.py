"""``slots.jsonl``: what lies in each slot of each bed, one line a slot.

In: the dressed items of a bed with their fits and places. Out: lines of JSON. Boxes are mm on the
bed, axis-aligned after rotation: [x, y, width, height]; a code's box is without quiet zone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from json.encoder import encode_basestring as _text
from typing import Any

from vardata.fit.result import CodeFit, FieldFit, TextFit
from vardata.job.model import CodeField, Layout, PrintMode, Slot, TextField
from vardata.job.surfaces import face_down
from vardata.job.symbologies import SYMBOLOGIES
from vardata.marks import Item, ModuleGrid, Placement
from vardata.units import MM_PER_INCH

_KEPT = 20_000  # of what repeats, of each kind
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


def _box(box: Box) -> str:
    x, y, w, h = box
    return f"[{round(x, 4)!r},{round(y, 4)!r},{round(w, 4)!r},{round(h, 4)!r}]"


def grid_box(grid: ModuleGrid) -> Box:
    """The box of a module grid in item mm, turned as it is painted."""
    if grid.turn % 2 == 0:
        return (grid.x, grid.y, grid.w, grid.h)
    cx, cy = grid.x + grid.w / 2, grid.y + grid.h / 2
    return (cx - grid.h / 2, cy - grid.w / 2, grid.h, grid.w)


def _grid_of(field: CodeField, fit: CodeFit, grids: Sequence[ModuleGrid]) -> ModuleGrid:
    """The modules of a field's code. Marks stand plate by plate, so their order says nothing:
    those that lie where the code was fitted, or came nearest to it when it was put on the dots.

    What they show says less: another field may say the same, and modules that are round or
    narrower are drawn dot by dot.
    """
    if len(grids) == 1:
        return grids[0]
    x, y, w, h = field.box
    dx, dy = fit.x + (fit.w - w) / 2, fit.y + (fit.h - h) / 2
    cos, sin = _turn(field.rotation)
    middle = (x + w / 2 + cos * dx - sin * dy, y + h / 2 + sin * dx + cos * dy)
    return min(
        (
            grid for grid in grids
            if grid.columns % fit.columns == 0 and grid.rows % fit.rows == 0
        ), key=lambda grid: (
            round(math.dist((grid.x + grid.w / 2, grid.y + grid.h / 2), middle), 3),
            grid.bits != fit.bits,
            -grid.h,  # white under bars ends before them
        ),
    )  # fmt: skip


def _also(fit: TextFit) -> str:
    """What few texts have: room added between letters, and how they were written before their
    case was changed."""
    tracking = f',"tracking":{fit.tracking!r}' if fit.tracking else ""
    return f'{tracking},"written":{_text(fit.written)}' if fit.written else tracking


class SlotWriter:
    """Writes lines for one layout and print mode; ``font_name`` gives a font's name by number.

    JSON by hand, because a line is written for every record: what repeats (names of fields and
    fonts, a bed's file, a slot's box) is made once.
    """

    def __init__(
        self, layout: Layout, mode: PrintMode, slots: Sequence[Slot],
        placements: Sequence[Placement], font_name: Callable[[int], str], side: str = "",
    ) -> None:  # fmt: skip
        """``placements`` are those of the slots."""
        self._layout = layout
        self._mode = mode
        self._font_name = font_name
        self._fields = layout.fields
        self._mirrored = face_down(layout)
        heads = [(at, self._head(field), field) for at, field in enumerate(layout.fields)]
        self._texts = [(at, head) for at, head, field in heads if isinstance(field, TextField)]
        self._codes = [one for one in heads if isinstance(one[2], CodeField)]
        of_side = f',"side":{_text(side)}' if side else ""
        self._tail = f',"product":{_text(layout.name)}{of_side},"texts":['
        self._placements = placements
        self._places = [self._place(*one) for one in zip(slots, placements)]
        self._blanks: dict[str, str] = {}
        self._settings: dict[tuple[object, ...], str] = {}
        self._boxes: dict[tuple[object, ...], str] = {}

    @staticmethod
    def _head(field: object) -> str:
        """A field's entry up to its text."""
        name = _text(getattr(field, "name", ""))
        if isinstance(field, CodeField):
            return f'{{"field":{name},"symbology":{_text(field.symbology)},"text":'
        return f'{{"field":{name},"text":'

    def bed(
        self,
        *,
        bed: int,
        file: str,
        pages: dict[str, int],
        page: int,
        orders: Sequence[str],
        blanks: Sequence[str],
        items: Sequence[Item],
        fits: Sequence[Sequence[FieldFit]],
    ) -> bytes:
        """The lines of a bed: what lies in each of its slots, from the first on."""
        head, in_file = f'{{"bed":{bed},"slot":', self._in_file(file, page, pages)
        kinds, said, drawn = self._blanks, self._said, self._code
        out = []
        for slot, (order, blank, item, of_item) in enumerate(zip(orders, blanks, items, fits)):
            name, box = self._places[slot]
            kind = kinds.get(blank)
            if kind is None:
                kind = kinds[blank] = f',"blank":{_text(blank)}{self._tail}'
            texts = [said(begun, of_item[at]) for at, begun in self._texts if of_item[at]]
            codes = [
                drawn(begun, field, of_item[at], item, slot)
                for at, begun, field in self._codes if of_item[at]
            ]  # fmt: skip
            out.append(
                f'{head}{name}{in_file}{box}{_text(item.record)},"order":{_text(order)}'
                f'{kind}{",".join(texts)}],"codes":[{",".join(codes)}]}}\n'
            )
        return "".join(out).encode()

    @staticmethod
    def _in_file(file: str, page: int, pages: dict[str, int]) -> str:
        listed = ",".join(f"{_text(plate)}:{number}" for plate, number in pages.items())
        return f',"file":{_text(file)},"page":{page},"pages":{{{listed}}}'

    def _place(self, slot: Slot, placement: Placement) -> tuple[str, str]:
        whole = (0.0, 0.0, self._layout.width, self._layout.height)
        return (
            _text(slot.name),
            f',"box_mm":{_box(on_bed(self._layout, placement, whole))}'
            f',"rotation_deg":{placement.angle!r},"record":',
        )

    def _said(self, head: str, fit: Any) -> str:
        """What a text field says (``fit`` is a ``TextFit``) and how it is set."""
        runs, size, squeeze, lines = fit.runs, fit.size_pt, fit.squeeze, fit.lines
        used = runs[0][0] if len(runs) == 1 else tuple([run[0] for run in runs])
        key = (used, size, squeeze, lines)
        set_as = self._settings.get(key)
        if set_as is None:
            if len(self._settings) > _KEPT:
                self._settings.clear()
            fonts = [_text(self._font_name(n)) for n in dict.fromkeys(run[0] for run in runs)]
            font = fonts[0] if len(fonts) == 1 else f"[{','.join(fonts)}]"
            set_as = self._settings[key] = (
                f',"font":{font},"size_pt":{size!r},"squeeze":{round(squeeze, 4)!r},'
                f'"lines":{lines}}}'
            )
        if fit.tracking or fit.written:
            return f"{head}{_text(fit.text)}{set_as[:-1]}{_also(fit)}}}"
        return f"{head}{_text(fit.text)}{set_as}"

    def _lying(self, box: Box) -> Box:
        """A box of item mm as it lies on the bed, mirrored if the item lies on its face."""
        x, y, w, h = box
        return (self._layout.width - x - w, y, w, h) if self._mirrored else box

    def _code(
        self, head: str, field: Any, fit: Any, item: Item, slot: int
    ) -> str:
        """What a code field says (``fit`` is a ``CodeFit``) and where it lies, which is the same
        wherever one so large lies in a slot."""
        key = (head, fit.columns, fit.rows, fit.x, fit.y, fit.w, fit.h, slot)
        drawn = self._boxes.get(key)
        if drawn is None:
            if len(self._boxes) > _KEPT:
                self._boxes.clear()
            grids = [mark for mark in item.marks if isinstance(mark, ModuleGrid)]
            grid = _grid_of(field, fit, grids)
            drawn = self._boxes[key] = self._drawn(field, fit, grid, self._placements[slot])
        return f"{head}{_text(fit.text)}{drawn}"

    def _drawn(
        self, field: CodeField, fit: CodeFit, grid: ModuleGrid, placement: Placement
    ) -> str:
        """Where a code stands and the dots of its modules; slots repeat from bed to bed."""
        sides = (grid.w / fit.columns, grid.h / fit.rows)
        turned = (grid.turn + round(placement.angle / 90.0)) % 2 == 1
        on_axes = zip(sides[::-1] if turned else sides, self._mode.dpi)
        dots = [round(side * dpi / MM_PER_INCH) for side, dpi in on_axes]
        if not SYMBOLOGIES[field.symbology].matrix:  # its rows are bars
            dots = [dots[turned]]
        box = _box(on_bed(self._layout, placement, self._lying(grid_box(grid))))
        listed = ",".join(map(str, dots))
        return f',"box_mm":{box},"module_dots":[{listed}]}}'
