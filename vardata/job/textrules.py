"""Rules over several keys of a text field.

In: a layout and one of its text fields. Out: claims.
"""

from __future__ import annotations

from collections.abc import Iterator

from vardata.job.claims import Claim
from vardata.job.found import clipped
from vardata.job.lines import KeyPath
from vardata.job.model import Layout, TextField
from vardata.job.pathdata import is_path, path_bounds
from vardata.job.textmarks import mark_faults
from vardata.job.textstyle import is_decorated, margins
from vardata.job.toml import Source


def text_claims(
    layout: Layout, source: Source, path: KeyPath, field: TextField
) -> Iterator[Claim]:
    if field.min_size is not None and field.min_size > field.size:
        what = f"the smallest size, {field.min_size:g}pt, is larger than the size, {field.size:g}pt"
        yield Claim(source, (*path, "min_size"), "bad-value", what, "make it smaller")
    if field.arc is not None or field.along:
        yield from _bent(source, path, field)
    if field.direction == "down":
        yield from _down(source, path, field)
    if field.styles:
        yield from _styled(layout, source, path, field)
    if is_decorated(field):
        yield from _decorated(layout, source, path, field)
    if bool(field.colours) != bool(field.colour_by):
        key, other = ("colours", "colour_by") if field.colours else ("colour_by", "colours")
        what = f"{key} is of no use without {other}"
        yield Claim(source, (*path, key), "bad-value", what, f"write {other} too, or take it away")
    for index, step in enumerate(field.fit):
        if step in field.fit[:index]:
            what = f"the step {step!r} comes twice"
            yield Claim(source, (*path, "fit", index), "bad-value", what, "keep one of them")
        elif step == "tracking" and field.tightest >= field.tracking:
            what = f"tightest, {field.tightest:g}, is no closer than tracking, {field.tracking:g}"
            yield Claim(source, (*path, "fit", index), "bad-value", what, "make it smaller")


def _down(source: Source, path: KeyPath, field: TextField) -> Iterator[Claim]:
    """Text in columns."""
    for key, bent in (("arc", field.arc is not None), ("along", bool(field.along))):
        if bent:
            what = 'text on a line that bends takes no direction = "down"'
            yield Claim(source, (*path, key), "bad-value", what, "take one of the two away")
    stated = "squeeze" in field.fit and "fit" in field.model_fields_set
    if stated or "squeeze" in field.model_fields_set:
        key = "fit" if stated else "squeeze"
        what = 'letters that stand one under the other (direction = "down") are never squeezed'
        yield Claim(source, (*path, key), "bad-value", what, "take squeeze away")


def _styled(
    layout: Layout, source: Source, path: KeyPath, field: TextField
) -> Iterator[Claim]:
    """Text in several styles."""
    for fault in mark_faults(field.text, field.styles):
        yield Claim(source, (*path, "text"), "bad-value", *fault)
    for key, bad in (
        ("arc", field.arc is not None), ("along", bool(field.along)),
        ("direction", field.direction == "down"), ("case", field.case != "as-is"),
        ("tracking", field.tracking != 0), ("fit", "tracking" in field.fit),
    ):  # fmt: skip
        if bad:
            what = f"a text with styles takes no {'step tracking' if key == 'fit' else key}"
            yield Claim(source, (*path, key), "bad-value", what, "take one of the two away")
    for name, style in field.styles.items():
        if style.synthetic and style.form is None:
            what = "synthetic is of no use without form"
            yield Claim(source, (*path, "styles", name, "synthetic"), "bad-value", what,
                        "write form too, or take it away")  # fmt: skip
        if style.colour is not None and any(plate.colours for plate in layout.plates):
            what = "a plate follows things of certain colours, and this is one of several"
            yield Claim(source, (*path, "styles", name, "colour"), "bad-value", what,
                        "take it away, or colours in the plate")  # fmt: skip


def _decorated(
    layout: Layout, source: Source, path: KeyPath, field: TextField
) -> Iterator[Claim]:
    """What is drawn round and behind the letters."""
    left, bottom, right, top = margins(field)
    _, _, w, h = field.box
    if left + right >= w or bottom + top >= h:
        takes = f"{round(left + right, 3):g} x {round(bottom + top, 3):g} mm"
        what = f"what is drawn round the letters takes {takes} of a box of {w:g} x {h:g} mm"
        yield Claim(source, (*path, "box"), "bad-value", what, "enlarge the box, or draw less")
    if field.shadow is not None and field.shadow.dx == field.shadow.dy == 0:
        what = "a shadow that is not moved lies unseen behind the letters"
        yield Claim(source, (*path, "shadow"), "bad-value", what, "make dx or dy other than 0")
    least = layout.craft.min_stroke if layout.craft is not None else 0.0
    if field.outline is not None and field.outline.width < least:
        what = f"the outline is {field.outline.width:g} mm wide, "
        what += f"the thinnest stroke that prints is {least:g} mm"
        remedy = "make it wider, or craft.min_stroke smaller"
        yield Claim(source, (*path, "outline", "width"), "bad-value", what, remedy)


def _bent(source: Source, path: KeyPath, field: TextField) -> Iterator[Claim]:
    """Text on an arc or along a line."""
    key = "arc" if field.arc is not None else "along"
    if field.arc is not None and field.along:
        what = "there is an arc too"
        yield Claim(source, (*path, "along"), "bad-value", what, "keep one of them")
    bounds = path_bounds(field.along) if field.along and is_path(field.along) else None
    if field.along and (bounds is None or bounds[:2] == bounds[2:]):
        what = f"{clipped(field.along)} is no line in SVG path data"
        remedy = 'write it in item mm, y up, such as "M 5 10 C 20 20 40 20 55 10"'
        yield Claim(source, (*path, "along"), "path-data", what, remedy)
    for other, bad in (
        ("lines", field.lines > 1),
        ("rotation", field.rotation % 360 != 0 and bool(field.along)),
    ):  # fmt: skip
        if bad:
            what = f"text on a line that bends ({key}) takes no {other}"
            yield Claim(source, (*path, other), "bad-value", what, "take one of the two away")
