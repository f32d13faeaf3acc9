"""The human-readable line: in the box, below the bars, centred under them, what the code says."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageFont

from vardata.fit.codes.place import fit_code
from vardata.fit.fonts import Face
from vardata.fit.result import CodeFit, TextFit
from vardata.job.model import CodeField, PrintMode
from vardata.problems import Problem, Severity

FONT = Path(__file__).resolve().parents[3] / "fonts" / "NotoSansMono-Regular.ttf"
CHAIN = (Face(FONT, 0),)
MODE = PrintMode(dpi=(600, 600))
TURNS = frozenset({0, 1, 2, 3})
MM_PER_PT = 25.4 / 72


def code(symbology: str, text: str, box: tuple[float, float] = (60, 15), **more: object) -> object:
    a_field = CodeField(
        type="code",
        name="c",
        text="",
        symbology=symbology,
        box=(3, 4, *box),
        text_line=True,
        **more,
    )  # type: ignore[arg-type]
    return fit_code(text, a_field, MODE, TURNS, CHAIN)


def fits(symbology: str, text: str, **more: object) -> tuple[CodeFit, TextFit]:
    fit = code(symbology, text, **more)  # type: ignore[arg-type]
    assert isinstance(fit, CodeFit), fit
    assert fit.line is not None
    return fit, fit.line


@settings(max_examples=80, deadline=None)
@given(st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=12))
def test_the_line_stands_below_the_bars_in_the_box(text: str) -> None:
    fit, line = fits("code128", text)
    x0, y0, x1, y1 = line.ink
    assert line.text == text
    assert 0 <= x0 < x1 <= 60
    assert 0 <= y0 < y1 < fit.y - 0.04  # a dot at the least stays between line and bars
    assert fit.y + fit.h <= 15


@pytest.mark.parametrize(
    ("symbology", "text", "shown"),
    [
        ("itf", "123456", "123456"),
        ("code39", "SN42", "SN42"),
        ("code128", "A\tB", "A B"),
    ],
)
def test_the_line_says_what_the_code_says_and_is_centred(
    symbology: str, text: str, shown: str
) -> None:
    fit, line = fits(symbology, text)
    assert line.text == shown
    assert line.size_pt == 6
    # Its place by another reader of the font: FreeType's advance of the whole line.
    font = ImageFont.truetype(FONT, 1000, layout_engine=ImageFont.Layout.BASIC)
    advance = font.getlength(shown) / 1000 * 6 * MM_PER_PT
    assert line.runs[0].x + advance / 2 == pytest.approx(fit.x + fit.w / 2, abs=0.01)


def test_the_baseline_is_the_same_for_all_records() -> None:
    lines = [fits("code128", text)[1] for text in ("AAA", "ggg", "123", "|()")]
    assert len({line.runs[0].y for line in lines}) == 1


def test_the_bars_make_room_for_the_line() -> None:
    bare = fit_code(
        "A1",
        CodeField(type="code", name="c", text="", symbology="code128", box=(0, 0, 60, 15)),
        MODE,
        TURNS,
        CHAIN,
    )
    assert isinstance(bare, CodeFit)
    assert bare.line is None
    small, _ = fits("code128", "A1")
    large, line = fits("code128", "A1", text_size="12pt")
    assert bare.h > small.h > large.h
    assert line.size_pt == 12
    # 12 pt x 1.2 are 5.08 mm; 15 mm less that and one dot leave 233 dots of 0.042333 mm.
    assert large.h == pytest.approx(233 * 25.4 / 600)


def test_a_qr_code_has_no_line() -> None:
    fit = code("qr", "SN-1", box=(20, 20))
    assert isinstance(fit, CodeFit)
    assert fit.line is None


def test_a_line_that_does_not_fit_holds_the_record() -> None:
    problem = code("code128", "SN-0042-0815", text_size="60pt", box=(60, 60))
    assert isinstance(problem, Problem)
    assert (problem.kind, problem.severity) == ("text-too-long", Severity.HOLD)
    assert problem.what.startswith("the line under the code: 'SN-0042-0815' ")
    assert problem.value == "SN-0042-0815"


def test_a_box_too_low_for_bars_and_line() -> None:
    problem = code("code128", "A", box=(60, 4))
    assert isinstance(problem, Problem)
    # 6 pt x 1.2 are 2.54 mm; 48 dots are 2.032 mm, one more is play: 4.6144 mm.
    assert problem.remedy == "make the box at least 60 x 4.62 mm"
    assert isinstance(code("code128", "A", box=(60, 4.62)), CodeFit)
