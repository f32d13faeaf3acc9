"""A sheet to scan: one code in rising module sizes, reductions and both polarities.

In: a job, a code field of its layout. Out: a PDF for one bed load on the job's machine. A person
prints it on the real material, scans it, and writes the keys that stand beside the best code
into the layout. It uses the stages of a run, so each code is drawn as a run would draw it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from vardata.fit.codes import dots, modules
from vardata.fit.codes.encode import encode
from vardata.fit.codes.quiet import quiet_zone
from vardata.fit.codes.symbol import CodeError, Symbol
from vardata.intake.record import Record
from vardata.job.layout import CodeField, Layout, TextField
from vardata.job.model import Jig, Setup, Slot
from vardata.job.near import choose
from vardata.job.reduction import dots_off
from vardata.job.shipped import fonts_dir
from vardata.job.symbologies import SYMBOLOGIES
from vardata.output.folder import as_output_error
from vardata.output.pdf.bed import DocInfo, write_bed_file
from vardata.problems import CallError, fail
from vardata.work.fitted import HeldRecord
from vardata.work.stages import Stages

FONT = "NotoSans-Regular"
SIZES = 6  # module sizes
REDUCTIONS = 4  # none, and one to three dots
_FIRST, _STEP = 0.2, 0.06  # mm: the smallest module, and how far apart sizes are
_BARS = 8.0  # mm, the height of bars
_GAP, _LABEL, _HEAD = 2.0, 6.5, 12.0  # mm: between codes, of the keys below, of the heading
_NARROWEST = 15.0  # mm that the keys below a code need


class Cell(NamedTuple):
    """One code: its keys, and the size of its box in mm. ``light`` is in white ink. A module is
    whole dots: ``module`` is its larger side rounded up, ``min_module`` its smaller one rounded
    down, so that the two keys together allow it."""

    module: float
    min_module: float
    reduction: float
    light: bool
    w: float
    h: float


class Charted(NamedTuple):
    """What stands on the sheet."""

    cells: tuple[Cell, ...]
    width: float
    height: float


def chart(
    setup: Setup, name: str | None, text: str, out: Path, *, at: datetime,
    blank: str | None = None,
) -> Charted:
    """Writes the PDF ``out`` for the code field called ``name`` (by default the only one).

    ``text`` is what all codes say. Raises ``CallError`` for a field, blank or text that will not
    do or a bed that is too small, ``OutputError`` where the file cannot be written.
    """
    field = _field(setup, name)
    key = _blank(setup, blank)
    grid = _grid(setup, field, text, key)
    layout = _layout(setup, field, text, grid, key)
    slot = Slot(name="chart", x=setup.bed.width / 2, y=setup.bed.height / 2)
    fonts = {**setup.fonts, FONT: fonts_dir() / f"{FONT}.ttf"}
    made = setup.model_copy(
        update={
            "layout": layout, "jig": Jig(name="chart", slots=(slot,)), "fonts": fonts,
            "layout_file": Path("chart"), "files": {}, "products": (),
        }
    )
    stages = Stages(made, ())
    (fitted,) = stages.prepare([Record("chart!1#1", 1, 1, "", key, ())])
    if isinstance(fitted, HeldRecord):
        raise CallError(fitted.problems)
    try:
        write_bed_file(
            out, bed=made.bed, layout=layout, output=made.job.output.model_copy(
                update={"pages": "together", "page_order": (), "standard": "plain"}
            ),
            pages=[stages.content([fitted], "chart")], statics=stages.statics, book=stages.book,
            pictures=stages.pictures.by_key, mode=made.mode,
            info=DocInfo(f"code chart, {setup.bed.name}", "chart", at, (1,)),
        )
    except OSError as error:
        raise as_output_error(error, out) from None
    cells = tuple(cell for row in grid for cell in row if cell is not None)
    return Charted(cells, layout.width, layout.height)


# ---------------------------------------------------------------- what is asked for


def _field(setup: Setup, name: str | None) -> CodeField:
    fields = {f.name: f for f in setup.layout.fields if isinstance(f, CodeField)}
    if not fields:
        raise fail(
            CallError, "no-code", f"the layout {setup.layout.name!r} has no code",
            "name a job whose layout has a field of type code",
        )  # fmt: skip
    if name is None and len(fields) == 1:
        return next(iter(fields.values()))
    if name is None:
        what = f"the layout {setup.layout.name!r} has more than one code"
        raise fail(CallError, "which-field", what, f"say which with --field: {', '.join(fields)}")
    if name not in fields:
        what = f"the layout {setup.layout.name!r} has no code {name!r}"
        raise fail(CallError, "no-field", what, choose(name, fields))
    return fields[name]


def _blank(setup: Setup, key: str | None) -> str:
    blanks = setup.job.blanks
    if key is None:
        return setup.job.blank or next(iter(blanks), "")
    if key not in blanks:
        what = f"the job has no blank {key!r}"
        raise fail(CallError, "no-blank", what, choose(key, blanks, "leave --blank out"))
    return key


def _grid(
    setup: Setup, field: CodeField, text: str, blank: str
) -> tuple[tuple[Cell | None, ...], ...]:
    """A row a module size, a column a polarity and reduction; as many as the bed holds."""
    try:
        symbol = encode(text, field)
    except CodeError as error:
        raise fail(CallError, "chart-text", error.what, error.remedy) from None
    light = _can_be_light(setup, field, blank)
    for sizes in range(SIZES, 0, -1):
        for reductions in range(REDUCTIONS, 0, -1):
            grid = tuple(_rows(setup, field, symbol, sizes, reductions, light))
            w, h = _extent(grid)
            if w <= setup.bed.width and h <= setup.bed.height:
                return grid
    raise fail(
        CallError, "chart-room", f"the bed of {setup.bed.width:g} x {setup.bed.height:g} mm is too "
        f"small for a chart of this code, which needs {w:.0f} x {h:.0f} mm",
        "shorten the text with --text",
    )  # fmt: skip


def _can_be_light(setup: Setup, field: CodeField, blank: str) -> bool:
    """Whether light codes make sense: the blank is dark, white is printed, readers take them."""
    kind = setup.job.blanks.get(blank)
    white = any(plate.role == "white" for plate in setup.layout.plates)
    dark = kind is None or (kind.surface == "dark" and kind.white != "none")
    return dark and white and SYMBOLOGIES[field.symbology].reversible


def _rows(
    setup: Setup, field: CodeField, symbol: Symbol, sizes: int, reductions: int, light: bool
) -> Iterator[tuple[Cell | None, ...]]:
    mode, matrix = setup.mode, SYMBOLOGIES[field.symbology].matrix
    turns = frozenset({0})
    steps = (dots.step(mode.dpi, turns, upright=False), dots.step(mode.dpi, turns, upright=True))
    grid = steps if matrix else (steps[0], steps[0])
    zone = quiet_zone(field.symbology, field.quiet)
    assert zone is not None  # checked with the layout
    least = dots.exact(_FIRST)
    for _ in range(sizes):
        sides = modules.smallest(grid, least)
        least = max(sides) + max(dots.exact(_STEP), max(grid))
        w = float((symbol.columns + zone.left + zone.right) * sides[0] + 2 * steps[0])
        rows = (symbol.rows + zone.bottom + zone.top) * sides[1] if matrix else Fraction(_BARS)
        h = float(rows + 2 * steps[1])
        cells: list[Cell | None] = []
        for is_light in (False, True)[: 1 + light]:
            for count in range(reductions):
                mm = math.ceil(count * max(steps) * 1000) / 1000
                off = dots_off(mm, mode, 0, matrix)
                fits = all(2 * o * step <= side for o, step, side in zip(off, steps, sides))
                module = math.ceil(max(sides) * 1000) / 1000
                smallest = math.floor(min(sides) * 1000) / 1000
                cells.append(Cell(module, smallest, mm, is_light, w, h) if fits else None)
        yield tuple(cells)


# ---------------------------------------------------------------- how it lies


def _column(grid: tuple[tuple[Cell | None, ...], ...]) -> float:
    widest = max(cell.w for row in grid for cell in row if cell is not None)
    return max(widest, _NARROWEST) + _GAP


def _extent(grid: tuple[tuple[Cell | None, ...], ...]) -> tuple[float, float]:
    high = sum(max(c.h for c in row if c is not None) + _LABEL + _GAP for row in grid)
    return _GAP + len(grid[0]) * _column(grid), _GAP + _HEAD + high


def _layout(
    setup: Setup, field: CodeField, text: str, grid: tuple[tuple[Cell | None, ...], ...],
    blank: str,
) -> Layout:
    """The sheet as the layout of one large item, on the plates of the job's own layout."""
    width, height = _extent(grid)
    kind = setup.job.blanks.get(blank)
    on_white = (kind is None or kind.surface != "light") and any(
        plate.role == "white" for plate in setup.layout.plates
    )
    ink = "white" if on_white else "black"
    fields: list[CodeField | TextField] = [_heading(setup, field, width, height, ink)]
    y = height - _HEAD
    for number, row in enumerate(grid):
        high = max(cell.h for cell in row if cell is not None)
        y -= high + _LABEL + _GAP
        for at, cell in enumerate(row):
            if cell is not None:
                x = _GAP + at * _column(grid)
                name = f"{number + 1}-{at + 1}"
                fields.append(_code(field, text, cell, name, x, y + _LABEL + high - cell.h))
                fields.append(_keys(cell, name, x, y + high - cell.h, _column(grid), ink))
    plates = tuple(plate.model_copy(update={"cover": "none"}) for plate in setup.layout.plates)
    return setup.layout.model_copy(
        update={
            "name": "chart", "width": width, "height": height, "outline": "rectangle",
            "corner": 0.0, "path": "", "bleed": 0.0, "art": (), "fields": tuple(fields),
            "plates": plates, "fonts": {}, "fallback": None,
        }
    )


def _heading(setup: Setup, field: CodeField, width: float, height: float, ink: str) -> TextField:
    x, y = setup.mode.dpi
    lines = (
        f"{SYMBOLOGIES[field.symbology].name} on {setup.bed.name}, print mode "
        f"{setup.job.print_mode}, {x:g} x {y:g} dpi",
        "Print at 100 % on the material. Scan every code. Write the keys beside the smallest one",
        f"that always reads into the field {field.name!r} of the layout, all of them.",
    )
    return _text("heading", "\n".join(lines), (_GAP, height - _HEAD, width - 2 * _GAP, 10.0), ink)


def _code(field: CodeField, text: str, cell: Cell, name: str, x: float, y: float) -> CodeField:
    return field.model_copy(
        update={
            "name": f"code {name}", "text": _verbatim(text), "box": (x, y, cell.w, cell.h),
            "rotation": 0.0, "module": cell.module, "min_module": cell.min_module,
            "reduction": cell.reduction, "text_line": False, "gloss": False, "white": True,
            "optional": False, "application": None,
            "colour": "white" if cell.light else field.colour,
            "ground": "never" if cell.light else "auto",
        }
    )


def _keys(cell: Cell, name: str, x: float, y: float, column: float, ink: str) -> TextField:
    lines = [
        f"module = {cell.module:g}", f"min_module = {cell.min_module:g}",
        f"reduction = {cell.reduction:g}",
    ]
    if cell.light:
        lines.append('colour = "white"')
    box = (x, y, column - _GAP, _LABEL - 0.3)
    return _text(f"keys {name}", "\n".join(lines), box, ink)


def _text(
    name: str, text: str, box: tuple[float, float, float, float], ink: str
) -> TextField:
    return TextField.model_validate({
        "type": "text", "name": name, "text": _verbatim(text), "box": box, "font": FONT,
        "size": "8pt" if name == "heading" else "4.5pt", "min_size": "2pt", "lines": 4,
        "align": "left", "valign": "top", "colour": ink,
    })


def _verbatim(text: str) -> str:
    """Text that no template engine takes for anything else."""
    return "{% raw %}" + text + "{% endraw %}" if "{" in text else text
