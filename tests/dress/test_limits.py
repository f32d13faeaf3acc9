"""Ink against the item's outline and its bleed. Distances are worked out by hand."""

from __future__ import annotations

import math

import pytest
from platework import BOLD, code_field, dresser, plates, qr, shape_field, text, text_field

from vardata.dress.drawing import Drawing, Picture, Shape
from vardata.fit.result import PictureFit
from vardata.job import model
from vardata.marks import Cmyk

ROUND = {"width": 20, "height": 20, "outline": "circle"}


def test_a_field_within_the_outline_is_let_through() -> None:
    made = dresser([text_field("t", (1, 1, 38, 18))])
    assert made.check("dark", [text(BOLD, "Inside", 20, 1, 2)]) is None


@pytest.mark.parametrize(("bleed", "held"), [(0.0, True), (1.9, True), (2.1, False)])
def test_text_that_passes_the_outline_holds_the_record(bleed: float, held: bool) -> None:
    made = dresser([text_field("t", (-5, 1, 38, 18))], bleed=bleed)
    fit = text(BOLD, "I", 20)
    x0 = fit.ink[0]
    run = fit.runs[0]._replace(x=fit.runs[0].x + 3 - x0)  # its ink begins 2 mm outside
    moved = fit._replace(runs=(run,), ink=(3.0, fit.ink[1], fit.ink[2] + 3 - x0, fit.ink[3]))
    problem = made.check("dark", [moved])
    assert (problem is not None) == held
    if problem is not None:
        assert problem.kind == "ink-outside" and problem.where.field == "t"
        assert problem.severity == "hold" and "\n" not in str(problem)


def test_the_true_outline_counts_not_the_box() -> None:
    # The corners of this text's box lie outside the circle, its letters do not.
    made = dresser([text_field("t", (0, 0, 20, 20))], **ROUND)
    fit = text(BOLD, "AVV", 22, 3.8, 11.5)
    corner = math.hypot(max(10 - fit.ink[0], fit.ink[2] - 10), fit.ink[3] - 10)
    assert corner > 10.3
    up = fit._replace(ink=fit.ink)
    assert made.check("dark", [up]) is not None  # V's arms do reach out
    low = text(BOLD, "VAV", 22, 3.8, 3.4)
    assert math.hypot(10 - low.ink[0], 10 - low.ink[1]) > 8.5
    assert made.check("dark", [low]) is None


def test_a_turned_text_is_turned_before_it_is_judged() -> None:
    made = dresser([text_field("t", (10, 0, 20, 20), rotation=90)])
    assert made.check("dark", [text(BOLD, "Mat", 20, 1, 6)]) is None
    made = dresser([text_field("t", (10, 0, 20, 20), rotation=90)], height=12)
    assert made.check("dark", [text(BOLD, "Mat", 20, 1, 6)]) is not None


def test_the_ground_counts_and_the_symbol_alone_does_not() -> None:
    fit = qr("A", 0.508, 4, 4)  # 10.7 mm and 2 mm of quiet zone on each side
    made = dresser([code_field("c", (-1, 2, 16, 16))],
                   blanks={"d": model.Blank(), "l": model.Blank(surface="light")})  # fmt: skip
    assert made.check("d", [fit._replace(x=2.5)]) is not None
    assert made.check("l", [fit._replace(x=2.5)]) is None
    assert made.check("d", [fit]) is None
    assert made.check("l", [fit._replace(x=0.5)]) is not None


def test_what_is_told_at_once_is_what_looking_at_everything_tells() -> None:
    fields = [text_field("t", (2, 2, 20, 10)), code_field("c", (24, 2, 15, 15))]
    blanks = {"d": model.Blank(), "l": model.Blank(surface="light")}
    made, slow = (dresser(fields, blanks=blanks) for _ in range(2))
    for judges in slow._at_once.values():
        judges[:] = [(index, lambda fit: False) for index, _ in judges]
    word, symbol = text(BOLD, "Ij", 20, 1, 2), qr("A", 0.508, 2, 2)
    held = 0
    for shift in (-9.0, -4.0, -1.0, 0.0, 0.3, 1.0, 3.0, 9.0, 20.0):
        x0, y0, x1, y1 = word.ink
        runs = (word.runs[0]._replace(x=word.runs[0].x + shift),)
        moved = word._replace(runs=runs, ink=(x0 + shift, y0, x1 + shift, y1))
        for fits in ([moved, symbol], [word, symbol._replace(x=2 + shift)], [None, symbol]):
            for blank in blanks:
                told = made.check(blank, fits)
                assert told == slow.check(blank, fits), (shift, blank)
                held += told is not None
    assert 0 < held < 40


def test_pictures_are_judged_by_what_they_paint() -> None:
    field = model.PictureField(type="picture", name="p", file="x", box=(0, 0, 20, 20))
    made = dresser([field], **ROUND)
    square = Picture("a", 9, 9, "DeviceGray", "FlateDecode", b"", (), b"", (("re", 0, 0, 1, 1),))
    rhombus = square._replace(
        key="b", coverage=(("m", 0.5, 0), ("l", 1, 0.5), ("l", 0.5, 1), ("l", 0, 0.5), ("h",))
    )
    fit = [PictureFit("/p.png")]
    assert made.check("dark", fit, lambda *_: square) is not None
    assert made.check("dark", fit, lambda *_: rhombus) is None
    assert made.check("dark", fit) is not None  # not seen: taken to fill its box


def test_static_ink_outside_is_named() -> None:
    art = (
        model.Art(file="wide.svg", box=(0, 0, 40, 20)),
        Drawing((Shape((("re", -2, 0, 5, 5),), Cmyk(0, 0, 0, 1)),)),
    )
    fields = [shape_field("band", (0, 18, 40, 3), shape="rectangle", fill="black")]
    made = dresser(fields, [art], bleed=1, plates=plates("flood", bleed=2))
    problems = made.problems()
    assert [p.severity for p in problems] == ["error"] * 2
    assert "'wide.svg'" in problems[0].what and "'White'" in problems[1].what
    assert made.static_bounds() == pytest.approx((-2, -2, 42, 22))
    assert dresser(fields, [art], bleed=2, plates=plates("flood", bleed=2)).problems() == []


def test_bounds_of_nothing() -> None:
    assert dresser().static_bounds() is None
    assert dresser(plates=plates("none", "flood", gloss_bleed=-1)).static_bounds() == pytest.approx(
        (1, 1, 39, 19)
    )
    blank = {"k": model.Blank(white="flood")}
    assert dresser(blanks=blank).static_bounds() == pytest.approx((0, 0, 40, 20))
