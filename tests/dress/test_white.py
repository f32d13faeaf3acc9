"""White under art and where things meet: what static and variable things share."""

from __future__ import annotations

import math

import pytest
from plateprint import of_plate, rendered
from platework import (
    BOLD,
    SCRIPT,
    code_field,
    dressed,
    dresser,
    plates,
    qr,
    shape_field,
    text,
    text_field,
)
from scipy import ndimage
from whitework import DPI, PANEL, PX, RED, C, agrees, art, both, plate, rect

from vardata.dress.drawing import Shape
from vardata.marks import GlyphRun, Path, Ref
from vardata.problems import JobError

# ------------------------------------------------------------ static art


def test_static_art_is_choked_once_and_shared() -> None:
    made = dresser(art=[art(rect(5, 5, 10, 10), rect(14, 3, 3, 3))])
    item = dressed(made)
    assert [m for m in item.spread() if m.plate == 1] == [Ref(1, "p1-art")]
    ink, white = both(made)
    agrees(white, ink)


def test_shapes_of_art_are_one_thing_and_fields_of_shapes_too() -> None:
    frame = shape_field("frame", (2, 2, 36, 16), shape="rounded", corner=3, stroke="blue",
                        stroke_width=0.8)  # fmt: skip
    made = dresser([frame], [art(rect(1, 8, 10, 4))])
    ink, white = both(made)
    agrees(white, ink)


def test_art_in_white_ink_stands_alone() -> None:
    made = dresser(art=[art(rect(5, 5, 10, 10, None), rect(15, 5, 10, 10))])
    ink, white = both(made)
    alone = rendered([Path(1, 1.0, (("re", 5.0, 5.0, 10.0, 10.0),))], dpi=DPI)
    assert ink.sum() / PX**2 == pytest.approx(100, rel=0.01)
    agrees(white, ink, alone)


def test_white_ink_over_colour_takes_the_colour_out() -> None:
    made = dresser(art=[art(rect(5, 5, 20, 10), rect(10, 8, 5, 4, None))])
    ink, white = both(made)
    assert ink.sum() / PX**2 == pytest.approx(200 - 20, rel=0.01)
    assert white.sum() / PX**2 == pytest.approx(19.8 * 9.8, rel=0.01)


def test_art_may_do_without_white() -> None:
    made = dresser(art=[art(rect(5, 5, 10, 10), white=False)])
    assert of_plate(made, dressed(made), 1) == []


def test_thin_art_is_named_in_the_report() -> None:
    line = Shape((("m", 2.0, 2.0), ("l", 38.0, 2.0)), RED, stroke=0.1)
    made = dresser(art=[art(rect(5, 5, 10, 10)), art(line, file="line.svg")])
    ((note, count),) = made.reports.items()
    assert (note.where.file, count) == ("line.svg", 1)
    assert "0.025 mm" in note.what
    _, white = both(made)
    assert white[round(2 * PX), round(20 * PX)]


def test_strokes_with_caps_and_joins_of_their_own_are_printed_as_areas() -> None:
    line = Shape((("m", 5.0, 5.0), ("l", 25.0, 5.0)), RED, stroke=2, cap=0, join=0)
    made = dresser(art=[art(line)])
    ink, white = both(made)
    assert ink.sum() / PX**2 == pytest.approx(40, rel=0.01)
    assert white.sum() / PX**2 == pytest.approx(19.8 * 1.8, rel=0.02)


def test_an_outline_that_crosses_itself_without_end_is_refused() -> None:
    turns = [(20 + 9 * math.cos(2.4 * i) * i / 4000, 10 + 9 * math.sin(2.4 * i) * i / 4000)
             for i in range(4000)]  # fmt: skip
    knot = Shape((("m", 20.0, 10.0), *(("l", *p) for p in turns), ("h",)), RED, even_odd=True)
    with pytest.raises(JobError) as error:
        dresser(art=[art(knot, file="knot.svg")])
    (problem,) = error.value.problems
    assert problem.kind == "art-tangled" and problem.where.file == "knot.svg"


# ------------------------------------------------------------ islands


@pytest.mark.parametrize("words", ["Matthew", "Mil", "HOHOH"])
def test_text_across_an_edge_of_art_is_choked_with_it(words: str) -> None:
    made = dresser([PANEL, text_field("t", (1, 5, 38, 10))])
    ink, white = both(made, None, text(BOLD, words, 22, 1, 2))
    agrees(white, ink)


def test_script_across_art() -> None:
    made = dresser([PANEL, text_field("t", (1, 5, 38, 10))], plates=plates(choke=0.03))
    ink, white = both(made, None, text(SCRIPT, "Ofelia Zi", 28, 1, 2))
    agrees(white, ink, choke=0.03)


def test_text_within_art_has_no_white_of_its_own() -> None:
    made = dresser([shape_field("p", (0, 0, 40, 20), shape="rectangle", fill="red"),
                    text_field("t", (1, 5, 38, 10))])  # fmt: skip
    item = dressed(made, None, text(BOLD, "Within", 20, 1, 2))
    assert [m for m in item.spread() if m.plate == 1] == [Ref(1, "p1-art")]
    assert not made.reports


def test_text_that_happens_to_lie_within_art_has_none_either() -> None:
    made = dresser([PANEL, text_field("t", (1, 5, 38, 10))])
    item = dressed(made, None, text(BOLD, "I", 20, 14, 2))
    assert [m for m in item.spread() if m.plate == 1] == [Ref(1, "p1-art")]


def test_text_apart_from_art_stays_a_plain_run() -> None:
    made = dresser([PANEL, text_field("t", (1, 5, 38, 10))])
    item = dressed(made, None, text(BOLD, "I", 20, 4, 2))
    run, ref = [m for m in item.spread() if m.plate == 1]
    assert isinstance(run, GlyphRun) and run.choke == C and isinstance(ref, Ref)


def test_fields_that_overlap_are_choked_together() -> None:
    made = dresser([text_field("a", (1, 2, 38, 12)), text_field("b", (1, 6, 38, 12))])
    ink, white = both(made, text(BOLD, "gypsy", 24, 1, 4), text(BOLD, "HTLH", 24, 1, 3))
    agrees(white, ink)


def test_ink_out_of_its_box_is_noticed() -> None:
    # Boxes are apart; the ink of one is not within its box.
    made = dresser([text_field("a", (1, 10, 38, 9)), text_field("b", (1, 1, 38, 8))])
    ink, white = both(made, text(BOLD, "gypsy", 24, 1, -1), text(BOLD, "HTLH", 24, 1, 2))
    agrees(white, ink)


def test_white_text_across_an_edge_of_colour() -> None:
    made = dresser([PANEL, text_field("t", (1, 5, 38, 10), colour="white")])
    item = dressed(made, None, text(BOLD, "HOHO", 22, 1, 2))
    ink, white = plate(made, item, 0), plate(made, item, 1)
    alone = rendered([m for m in of_plate(made, item, 1) if isinstance(m, GlyphRun)], dpi=DPI)
    assert not (ink & ndimage.binary_erosion(alone)).any()
    agrees(white, ink, alone)


def test_colour_across_the_edge_of_a_ground() -> None:
    made = dresser([text_field("t", (1, 5, 38, 10)), code_field("c", (20, 2, 16, 16))])
    item = dressed(made, text(BOLD, "HOHOHO", 22, 1, 2), qr("A", 0.254, 4, 4))
    white = of_plate(made, item, 1)
    ground = rendered([white[-1]], dpi=DPI)
    ink = plate(made, item, 0)
    agrees(rendered(white, dpi=DPI), ink, ground)
