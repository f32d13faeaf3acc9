"""Gloss: where it goes, and that it stays off codes and their quiet zones."""

from __future__ import annotations

import pytest
from plateprint import of_plate, rendered
from platework import BOLD, code_field, dressed, dresser, plates, qr, shape_field, text, text_field
from scipy import ndimage

from vardata.dress.drawing import Drawing, Shape
from vardata.dress.dresser import Dresser
from vardata.job import model
from vardata.marks import Cmyk, GlyphRun, Item, Path, Placement, Ref

DPI = 600
PX = DPI / 25.4
LOGO = (
    model.Art(file="logo.svg", box=(0, 0, 40, 20), gloss=True),
    Drawing((Shape((("re", 1, 1, 6, 4),), Cmyk(0, 1, 0, 0)), Shape((("re", 9, 1, 2, 2),), None))),
)
FIELDS = [text_field("a", (1, 10, 20, 9), gloss=True), text_field("b", (1, 5, 20, 5))]
FITS = (text(BOLD, "Ab", 18, 1, 2), text(BOLD, "xy", 9, 1, 1.5))


def gloss(made: Dresser, item: Item) -> list[object]:
    return [m for m in item.spread() if m.plate == 2]


def area(made: Dresser, item: Item) -> float:
    return float(rendered(of_plate(made, item, 2), dpi=DPI).sum() / PX**2)


def test_none_is_no_gloss() -> None:
    made = dresser(FIELDS, [LOGO], plates=plates(gloss="none"))
    assert gloss(made, dressed(made, *FITS)) == []


def test_fields_is_what_asks_for_it() -> None:
    made = dresser(FIELDS, [LOGO], plates=plates(gloss="fields"))
    item = dressed(made, *FITS)
    ref, run = gloss(made, item)
    assert isinstance(ref, Ref) and len(made.statics().refs[ref.key]) == 2
    assert isinstance(run, GlyphRun) and run.paint == 1.0 and run.glyphs == FITS[0].runs[0].glyphs


def test_art_is_all_ink_but_codes() -> None:
    made = dresser([*FIELDS, code_field("c", (22, 2, 16, 16))], [LOGO], plates=plates(gloss="art"))
    marks = gloss(made, dressed(made, *FITS, qr("A", 0.254, 4, 4)))
    assert [type(m).__name__ for m in marks] == ["Ref", "GlyphRun", "GlyphRun"]


def test_a_flood_is_the_outline_and_its_bleed() -> None:
    made = dresser(plates=plates(gloss="flood", gloss_bleed=-0.5))
    assert area(made, dressed(made)) == pytest.approx(39 * 19, rel=0.005)


def test_a_field_may_be_printed_in_gloss_alone() -> None:
    made = dresser([text_field("a", (1, 10, 20, 9), colour="Gloss")], plates=plates(gloss="none"))
    (run,) = dressed(made, FITS[0]).spread()
    assert run.plate == 2


@pytest.mark.parametrize("outline", ["rectangle", "rounded", "ellipse"])
@pytest.mark.parametrize("angle", [0.0, 90.0])
def test_a_flood_keeps_off_the_code_and_its_quiet_zone(outline: str, angle: float) -> None:
    made = dresser([code_field("c", (12, 2, 16, 16))], outline=outline, corner=3,
                   plates=plates(gloss="flood"))  # fmt: skip
    item = dressed(made, qr("A", 0.254, 4, 4), placement=Placement(50.013, 60.007, angle))
    (mark,) = gloss(made, item)
    assert isinstance(mark, Path) and mark.even_odd
    whole = area(made, dressed(made, None))
    shown = rendered(of_plate(made, item, 2), dpi=DPI)
    ground = rendered([m for m in item.spread() if m.plate == 1], dpi=DPI)
    assert not (shown & ndimage.binary_erosion(ground)).any()  # they share edges
    assert shown.sum() / PX**2 == pytest.approx(whole - ground.sum() / PX**2, rel=0.01)


def test_on_a_light_blank_the_zone_is_kept_free_as_well() -> None:
    made = dresser([code_field("c", (12, 2, 16, 16), white=False)], plates=plates(gloss="flood"),
                   blanks={"l": model.Blank(surface="light")})  # fmt: skip
    item = dressed(made, qr("A", 0.254, 4, 4), blank="l")
    side = (21 + 8) * 0.254
    assert area(made, item) == pytest.approx(800 - side**2, rel=0.01)


def test_gloss_on_text_and_art_is_cut_out_only_where_a_code_is() -> None:
    panel = shape_field("p", (0, 0, 40, 8), shape="rectangle", fill="red", gloss=True)
    fields = [panel, text_field("t", (1, 9, 38, 9), gloss=True), code_field("c", (22, 2, 16, 16))]
    made = dresser(fields)
    near = dressed(made, None, text(BOLD, "Matthew W", 22, 1, 1.5), qr("A", 0.254, 4, 4))
    cut, around = gloss(made, near)
    assert isinstance(cut, Path) and isinstance(around, Path)
    shown = rendered(of_plate(made, near, 2), dpi=DPI)
    areas = [m for m in near.spread() if m.plate == 1 and isinstance(m, Path)]
    zone = rendered(areas[-1:], dpi=DPI)
    assert zone.any() and not (shown & ndimage.binary_erosion(zone)).any()
    far = dressed(made, None, text(BOLD, "Mat", 22, 1, 1.5), qr("A", 0.254, 4, 4))
    assert isinstance(gloss(made, far)[1], GlyphRun)
    none = dressed(made, None, text(BOLD, "Matthew W", 22, 1, 1.5), None)
    assert [type(m).__name__ for m in gloss(made, none)] == ["Ref", "GlyphRun"]


def test_gloss_wholly_over_a_code_is_left_out() -> None:
    fields = [text_field("t", (22, 2, 16, 16), gloss=True), code_field("c", (22, 2, 16, 16))]
    made = dresser(fields)
    item = dressed(made, text(BOLD, "i", 9, 8, 7), qr("A", 0.254, 4, 4))
    assert gloss(made, item) == []
