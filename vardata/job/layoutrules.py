"""Rules over several keys of a layout: its outline, its art and its fields."""

from __future__ import annotations

import math
from collections.abc import Iterator

from vardata.job.applications import SIZES
from vardata.job.claims import Claim, twice
from vardata.job.colourrules import colour_claims
from vardata.job.found import clipped
from vardata.job.lines import KeyPath
from vardata.job.model import (
    CodeField,
    Framed,
    Layout,
    PictureField,
    Placed,
    ShapeField,
    TextField,
)
from vardata.job.pathdata import is_path, path_bounds
from vardata.job.platerules import plate_claims
from vardata.job.symbologies import GUARDED, ROUNDED, SYMBOLOGIES
from vardata.job.textrules import text_claims
from vardata.job.toml import Source

_TOUCH = 1e-3  # mm: what rounding in a file may add to a box


def layout_claims(layout: Layout, source: Source) -> Iterator[Claim]:
    """Everything that can be told from the layout file alone."""
    yield from _outline(layout, source)
    if not source.doubts("plates"):
        yield from plate_claims(layout, source)
    names = ((("fields", i, "name"), field.name) for i, field in enumerate(layout.fields))
    yield from twice(source, names, "field")
    glossy = source.doubts("plates") or any(plate.role == "gloss" for plate in layout.plates)
    for index, art in enumerate(layout.art):
        yield from _art_box(layout, source, ("art", index), art)
        yield from soft_claims(source, ("art", index), art)
    for index, field in enumerate(layout.fields):
        path: KeyPath = ("fields", index)
        yield from _field_box(layout, source, path, field)
        if field.gloss and not glossy:
            what = "gloss is asked for, but the layout has no gloss plate"
            remedy = 'add a plate with role = "gloss", or take gloss away'
            yield Claim(source, (*path, "gloss"), "no-plate", what, remedy)
        if isinstance(field, TextField):
            yield from text_claims(layout, source, path, field)
            if field.colours and any(plate.colours for plate in layout.plates):
                what = "a plate follows things of certain colours, and this one's is not fixed"
                remedy = "take colours away here or in the plate"
                yield Claim(source, (*path, "colours"), "bad-value", what, remedy)
        elif isinstance(field, CodeField):
            yield from _code(source, path, field)
        elif isinstance(field, ShapeField):
            yield from _shape(source, path, field)
        elif isinstance(field, PictureField):
            yield from soft_claims(source, path, field)
        if not source.doubts("plates"):
            yield from colour_claims(layout, source, path)


# ---------------------------------------------------------------- outlines and boxes


def _outline(layout: Layout, source: Source) -> Iterator[Claim]:
    yield from _form(source, (), "outline", layout.outline, layout.path, layout.corner)
    if layout.outline == "circle" and abs(layout.width - layout.height) > _TOUCH:
        what = f"a circle cannot be {layout.width:g} x {layout.height:g} mm"
        remedy = 'make width and height equal, or write outline = "ellipse"'
        yield Claim(source, ("outline",), "outline", what, remedy, layout.outline)
    bounds = path_bounds(layout.path) if layout.outline == "path" else None
    if bounds and not _within(bounds, layout.width, layout.height, 0.0):
        what = f"the path reaches from {_corner(bounds[:2])} to {_corner(bounds[2:])} mm"
        remedy = f"keep it inside the item, 0, 0 to {_corner((layout.width, layout.height))} mm"
        yield Claim(source, ("path",), "outline", what, remedy)


def _form(
    source: Source, table: KeyPath, key: str, form: str, path: str, corner: float
) -> Iterator[Claim]:
    """A named form and the keys that only one of the forms has."""
    if form == "path" and not path.strip():
        what = f'{key} = "path" needs the key path'
        remedy = 'write SVG path data in item mm, y up, such as "M 0 0 L 40 0 L 20 30 Z"'
        yield Claim(source, (*table, key), "path-data", what, remedy)
    elif form == "path" and not is_path(path):
        what = f"{clipped(path)} is not SVG path data"
        remedy = 'write it in item mm, y up, such as "M 0 0 L 40 0 L 20 30 Z"'
        yield Claim(source, (*table, "path"), "path-data", what, remedy)
    elif form != "path" and path:
        what = f"there is a path, but the {key} is {form!r}"
        yield Claim(source, (*table, "path"), key, what, f'write {key} = "path", or take it away')
    if form == "rounded" and corner == 0:
        what = f'{key} = "rounded" needs a corner radius'
        yield Claim(source, (*table, key), key, what, "write corner = 2, for example")
    elif form != "rounded" and corner > 0:
        what = f"there is a corner radius, but the {key} is {form!r}"
        remedy = f'write {key} = "rounded", or take it away'
        yield Claim(source, (*table, "corner"), key, what, remedy)


def _turned(item: Placed) -> tuple[float, float, float, float]:
    """x0, y0, x1, y1 of a box after turning about its centre."""
    x, y, w, h = item.box
    turn = math.radians(item.rotation)
    half_w = (w * abs(math.cos(turn)) + h * abs(math.sin(turn))) / 2
    half_h = (w * abs(math.sin(turn)) + h * abs(math.cos(turn))) / 2
    cx, cy = x + w / 2, y + h / 2
    return cx - half_w, cy - half_h, cx + half_w, cy + half_h


def _within(
    bounds: tuple[float, float, float, float], width: float, height: float, more: float
) -> bool:
    x0, y0, x1, y1 = bounds
    reach = more + _TOUCH
    return x0 >= -reach and y0 >= -reach and x1 <= width + reach and y1 <= height + reach


def _corner(point: tuple[float, ...]) -> str:
    return ", ".join(f"{round(part, 2):g}" for part in point)


def _field_box(layout: Layout, source: Source, path: KeyPath, item: Placed) -> Iterator[Claim]:
    x0, y0, x1, y1 = _turned(item)
    if _within((x0, y0, x1, y1), layout.width, layout.height, layout.bleed):
        return
    over = {
        "left": -x0, "lower": -y0, "right": x1 - layout.width, "upper": y1 - layout.height,
    }  # fmt: skip
    parts = [
        f"{round(over[edge] - layout.bleed, 2):g} mm over the {edge} edge"
        for edge in over if over[edge] > layout.bleed + _TOUCH
    ]  # fmt: skip
    turned = f", turned by {item.rotation:g} degrees," if item.rotation else ""
    size = f"{layout.width:g} x {layout.height:g} mm"
    size += f" and its bleed of {layout.bleed:g} mm" if layout.bleed else ""
    what = f"the box{turned} reaches {' and '.join(parts)} of the item ({size})"
    yield Claim(source, (*path, "box"), "box-outside", what, "move it or make it smaller")


def soft_claims(source: Source, path: KeyPath, item: Framed) -> Iterator[Claim]:
    """Soft edges are those of what is see-through."""
    if item.soft_edges != "threshold" and item.white_by == "ink":
        keeps = f'soft_edges = "{item.soft_edges}" keeps what is see-through'
        what = f'{keeps}, and white_by = "ink" asks for ink'
        yield Claim(source, (*path, "soft_edges"), "soft-edges", what, "take one of the two away")


def _art_box(layout: Layout, source: Source, path: KeyPath, item: Placed) -> Iterator[Claim]:
    """Art may pass the item's edges, where it is cut; some of it must be seen."""
    x0, y0, x1, y1 = _turned(item)
    if x1 <= 0 or y1 <= 0 or x0 >= layout.width or y0 >= layout.height:
        what = f"the box lies beside the item ({layout.width:g} x {layout.height:g} mm)"
        yield Claim(source, (*path, "box"), "box-outside", what, "move it onto the item")


# ---------------------------------------------------------------- fields


def _code(source: Source, path: KeyPath, field: CodeField) -> Iterator[Claim]:
    yield from _symbology(source, path, field)
    if field.module is not None and field.module < field.min_module:
        what = (
            f"the largest module, {field.module:g} mm, is smaller than the smallest, "
            f"{field.min_module:g} mm"
        )
        yield Claim(source, (*path, "module"), "bad-value", what, "make it larger")
    if abs(field.rotation / 90 - round(field.rotation / 90)) > 1e-9:
        what = f"a code cannot be turned by {field.rotation:g} degrees, off the machine's dots"
        yield Claim(source, (*path, "rotation"), "bad-value", what, "allowed: 0, 90, 180, 270")


def _symbology(source: Source, path: KeyPath, field: CodeField) -> Iterator[Claim]:
    """Keys that only some kinds of code have."""
    kind = SYMBOLOGIES[field.symbology]
    if "level" in field.model_fields_set and field.level not in kind.levels:
        what = f"the {kind.name} has no level {field.level!r} that can be chosen"
        remedy = f"allowed: {', '.join(kind.levels)}" if kind.levels else "take it away"
        yield Claim(source, (*path, "level"), "bad-value", what, remedy)
    if field.check_digit and not kind.check_digit:
        what = f"{field.symbology!r} has no check digit that can be chosen"
        remedy = f"take it away; allowed for: {_those('check_digit')}"
        yield Claim(source, (*path, "check_digit"), "bad-value", what, remedy)
    if field.text_line and not kind.lettered:
        what = f"a {kind.name} has no text line"
        yield Claim(source, (*path, "text_line"), "bad-value", what, "add a field of type text")
    if "guard_bars" in field.model_fields_set and field.symbology not in GUARDED:
        what = f"{field.symbology!r} has no guard bars that could be longer"
        remedy = f"take it away; allowed for: {', '.join(GUARDED)}"
        yield Claim(source, (*path, "guard_bars"), "bad-value", what, remedy)
    elif "guard_bars" in field.model_fields_set and not field.text_line:
        what = "guard bars go with the digits, and the code shows none"
        remedy = "write text_line = true, or take it away"
        yield Claim(source, (*path, "guard_bars"), "bad-value", what, remedy)
    if field.columns is not None and not kind.columns:
        what = f"{field.symbology!r} has no columns that can be chosen"
        remedy = f"take it away; allowed for: {_those('columns')}"
        yield Claim(source, (*path, "columns"), "bad-value", what, remedy)
    if field.modules == "round" and field.symbology not in ROUNDED:
        what = f"the modules of {field.symbology!r} cannot be round"
        remedy = f"take it away; allowed for: {', '.join(ROUNDED)}"
        yield Claim(source, (*path, "modules"), "bad-value", what, remedy)
    if field.window and (field.symbology != "qr" or field.level != "H"):
        what = "a window for a logo takes modules away; only a QR code of level H makes up for it"
        remedy = 'write level = "H", or take it away'
        yield Claim(source, (*path, "window"), "bad-value", what, remedy)
    if field.application is not None and field.symbology not in SIZES[field.application]:
        what = f"GS1 states no size of {field.symbology!r} for {field.application!r}"
        remedy = f"take it away; stated for: {', '.join(SIZES[field.application])}"
        yield Claim(source, (*path, "application"), "bad-value", what, remedy)
    if field.gs1 is not None and field.gs1 not in kind.gs1:
        what = f"{field.symbology!r} does not carry GS1 data as {field.gs1!r}"
        able = ", ".join(key for key, one in SYMBOLOGIES.items() if field.gs1 in one.gs1)
        remedy = f"take it away; allowed for: {able}"
        yield Claim(source, (*path, "gs1"), "bad-value", what, remedy)
    if "link_domain" in field.model_fields_set and field.gs1 != "link":
        what = "there is a domain for links, but the code is no link"
        yield Claim(source, (*path, "link_domain"), "bad-value", what, 'write gs1 = "link"')


def _those(ability: str) -> str:
    return ", ".join(key for key, kind in SYMBOLOGIES.items() if getattr(kind, ability))


def _shape(source: Source, path: KeyPath, field: ShapeField) -> Iterator[Claim]:
    yield from _form(source, path, "shape", field.shape, field.path, field.corner)
    if field.shape == "line" and field.stroke is None:
        what = "a line needs the colour of its stroke"
        yield Claim(source, (*path, "shape"), "shape", what, 'write stroke = "black", for example')
    elif field.fill is None and field.stroke is None:
        what = "the shape has neither a fill nor a stroke"
        yield Claim(source, (*path, "shape"), "shape", what, 'write fill = "black", for example')
