"""Text set downwards: advances and places by uharfbuzz and by the font's own tables (fontTools),
ink by outlines in the box, which letters need another form by Unicode's VerticalOrientation.txt."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import uharfbuzz as hb
from faker import Faker
from fit_judges import chain
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st
from test_text_property import LATIN, NAMES, OTHER, check_inside, fields

from vardata.fit.columns import ColumnFitter
from vardata.fit.downward import _TURNED
from vardata.fit.fontbook import FontBook
from vardata.fit.fonts import Face
from vardata.fit.groupsize import GroupSize
from vardata.fit.result import TextFit
from vardata.job.model import TextField
from vardata.problems import Problem

FONTS = Path(__file__).resolve().parents[2] / "fonts"
ORIENTATION = Path("/usr/share/unicode/VerticalOrientation.txt")  # Debian's unicode-data
MM = 25.4 / 72
SUN, BOOK, BRACKET = "\u65e5", "\u672c", "\u300c"


def field(**keys: Any) -> TextField:
    given: dict[str, Any] = {"box": (0, 0, 20, 60), "size": "10pt", "font": "any", **keys}
    return TextField(type="text", name="side", text="", direction="down", **given)


def box_glyph(x0: int, y0: int, x1: int, y1: int) -> Any:
    pen = TTGlyphPen(None)
    pen.moveTo((x0, y0))
    for point in ((x0, y1), (x1, y1), (x1, y0)):
        pen.lineTo(point)
    pen.closePath()
    return pen.glyph()


def columnar(path: Path, vertical: bool = True) -> tuple[Face, ...]:
    """A font of boxes; with vertical metrics that differ, and a form of the bracket for columns."""
    builder = FontBuilder(1000, isTTF=True)
    names = [".notdef", "sun", "book", "bracket", "bracket.down", "space"]
    builder.setupGlyphOrder(names)
    cmap = {ord(SUN): "sun", ord(BOOK): "book", ord(BRACKET): "bracket", 32: "space"}
    builder.setupCharacterMap(cmap)
    builder.setupGlyf({
        ".notdef": TTGlyphPen(None).glyph(), "space": TTGlyphPen(None).glyph(),
        "sun": box_glyph(100, -50, 900, 850), "book": box_glyph(60, 0, 700, 700),
        "bracket": box_glyph(500, 300, 900, 850), "bracket.down": box_glyph(50, -100, 650, 300),
    })  # fmt: skip
    builder.setupHorizontalMetrics(dict.fromkeys(names, (1000, 0)))
    builder.setupHorizontalHeader(ascent=880, descent=-120)
    if vertical:
        heights = {"sun": (1000, 30), "book": (900, 80), "bracket": (1000, 30),
                   "bracket.down": (500, 60), "space": (400, 0), ".notdef": (1000, 0)}  # fmt: skip
        builder.setupVerticalMetrics(heights)
        builder.setupVerticalHeader(ascent=500, descent=-500)
        builder.addOpenTypeFeatures("feature vert { sub bracket by bracket.down; } vert;")
    builder.setupNameTable({"familyName": "Columns", "psName": "Columns"})
    builder.setupOS2()
    builder.setupPost()
    builder.save(path)
    return FontBook({"columns": path}).chain(["columns"])


def fitted(text: str, one: TextField, faces: tuple[Face, ...]) -> TextFit:
    found = ColumnFitter(one, faces).fit(text)
    assert isinstance(found, TextFit), found
    return found


def shaped(path: Path, text: str) -> list[tuple[int, float, float, int]]:
    """Glyph, its origin in font units from the head of the column's axis, its way down: asked of
    uharfbuzz alone."""
    font = hb.Font(hb.Face(hb.Blob.from_file_path(str(path))))
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    buffer.direction = "ttb"
    hb.shape(font, buffer)
    found, pen = [], 0
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions):
        found.append((info.codepoint, place.x_offset, pen + place.y_offset, -place.y_advance))
        pen += place.y_advance
    return found


def test_letters_stand_where_uharfbuzz_puts_them(tmp_path: Path) -> None:
    faces = columnar(tmp_path / "Columns.ttf")
    text = f"{SUN}{BRACKET}{BOOK}{SUN}"
    fit = fitted(text, field(align_by="metrics", valign="top"), faces)
    assert (fit.size_pt, fit.squeeze, fit.lines, fit.turns) == (10, 1, 1, ())
    want = shaped(tmp_path / "Columns.ttf", text)
    unit = 10 * MM / 1000
    assert [int.from_bytes(run.glyphs, "big") for run in fit.runs] == [one[0] for one in want]
    assert TTFont(tmp_path / "Columns.ttf").getGlyphName(want[1][0]) == "bracket.down"
    for run, (_, x, y, _) in zip(fit.runs, want):
        # The axis lies in the middle of the box, its head at the top.
        assert run.x == pytest.approx(10 + x * unit, abs=2e-3)
        assert run.y == pytest.approx(60 + y * unit, abs=2e-3)


def test_advances_are_those_of_the_fonts_own_table(tmp_path: Path) -> None:
    faces = columnar(tmp_path / "Columns.ttf")
    fit = fitted(f"{SUN}{BOOK} {BOOK}{SUN}", field(), faces)
    heights = TTFont(tmp_path / "Columns.ttf")["vmtx"].metrics
    unit = 10 * MM / 1000
    tops = []  # where each letter's own stretch of the column begins
    for run, name in zip(fit.runs, ("sun", "book", "book", "sun")):
        outline = {"sun": 850, "book": 700}[name]
        tops.append(run.y + (outline + heights[name][1]) * unit)
    steps = [(one - other) / unit for one, other in pairwise(tops)]
    assert steps == pytest.approx([1000, 900 + 400, 900], abs=0.1)


def test_a_letter_of_a_font_without_vertical_metrics_gets_an_em() -> None:
    path = FONTS / "NotoSans-Bold.ttf"
    faces = FontBook({"sans": path}).chain(["sans"])
    fit = fitted("WIM", field(), faces)
    unit = 10 * MM / 1000
    glyphs = TTFont(path).getGlyphSet()
    middles = []
    for run, name in zip(fit.runs, "WIM"):
        pen = BoundsPen(glyphs)
        glyphs[name].draw(pen)
        assert pen.bounds
        middles.append(run.y + (pen.bounds[1] + pen.bounds[3]) / 2 * unit)
        # The middle of the advance stands on the axis.
        assert run.x + glyphs[name].width / 2 * unit == pytest.approx(middle_of(fit), abs=0.02)
    assert [one - other for one, other in pairwise(middles)] == pytest.approx(
        [1000 * unit] * 2, abs=1e-3
    )


def middle_of(fit: TextFit) -> float:
    return (fit.ink[0] + fit.ink[2]) / 2


def test_marks_stand_on_their_letters() -> None:
    """As in a line: q with a dot below and an acute above, which has no letter of its own."""
    path = FONTS / "NotoSans-Regular.ttf"
    faces = FontBook({"sans": path}).chain(["sans"])
    fit = fitted("q\u0323\u0301i", field(), faces)
    font = hb.Font(hb.Face(hb.Blob.from_file_path(str(path))))
    buffer = hb.Buffer()
    buffer.add_str("q\u0323\u0301")
    buffer.guess_segment_properties()
    hb.shape(font, buffer)
    unit = 10 * MM / 1000
    pen, places = 0, []
    for place in buffer.glyph_positions:
        places.append(((pen + place.x_offset) * unit, place.y_offset * unit))
        pen += place.x_advance
    (x0, y0), *_ = places
    for run, (x, y) in zip(fit.runs, places):
        assert run.x - fit.runs[0].x == pytest.approx(x - x0, abs=1e-3)
        assert run.y - fit.runs[0].y == pytest.approx(y - y0, abs=1e-3)


def ink_of(fit: TextFit, book: FontBook) -> tuple[float, float, float, float]:
    """The box of all outlines, placed by fontTools."""
    boxes = []
    for run in fit.runs:
        font = TTFont(book.face(run.font).path, lazy=True)
        glyphs = font.getGlyphSet()
        em = fit.size_pt * MM / font["head"].unitsPerEm
        pen = BoundsPen(glyphs)
        name = font.getGlyphName(int.from_bytes(run.glyphs, "big"))
        glyphs[name].draw(TransformPen(pen, (em, 0, 0, em, run.x, run.y)))
        if pen.bounds:
            boxes.append(pen.bounds)
    x0, y0, x1, y1 = zip(*boxes)
    return min(x0), min(y0), max(x1), max(y1)


@pytest.mark.parametrize("locale", ["en_GB", "vi_VN", "el_GR", "uk_UA", "he_IL"])
def test_ink_lies_in_the_box(locale: str) -> None:
    names = ["NotoSerif-Regular", "NotoSansHebrew-Regular"]
    book = FontBook({name: FONTS / f"{name}.ttf" for name in names})
    fake = Faker(locale)
    fake.seed_instance(11)
    shapes: list[dict[str, Any]] = [
        {"align": "left", "valign": "top"}, {"align": "right", "valign": "bottom", "lines": 3},
        {"align_by": "metrics", "lines": 2}, {"tracking": -80}, {"tracking": 200, "lines": 2},
    ]  # fmt: skip
    one = [field(box=(0, 0, 14, 40), min_size="4pt", **shape) for shape in shapes]
    count = 0
    for number in range(60):
        fit = ColumnFitter(one[number % 5], book.chain(names)).fit(fake.name())
        if isinstance(fit, Problem):
            assert fit.kind == "text-too-long", fit
            continue
        x0, y0, x1, y1 = ink_of(fit, book)
        assert x0 >= 0 and y0 >= 0 and x1 <= 14 and y1 <= 40
        assert fit.ink == pytest.approx((x0, y0, x1, y1), abs=1e-3)
        shape = shapes[number % 5]
        if shape.get("align") == "left":
            assert x0 == pytest.approx(0, abs=0.01) and y1 == pytest.approx(40, abs=0.01)
        if shape.get("align") == "right":
            assert x1 == pytest.approx(14, abs=0.01)
        count += 1
    assert count > 40


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(LATIN + OTHER), fields(),
    st.lists(st.sampled_from(NAMES), min_size=1, max_size=3, unique=True),
)  # fmt: skip
def test_any_text_lies_in_any_box_or_is_held(text: str, one: TextField, names: list[str]) -> None:
    found = ColumnFitter(one.model_copy(update={"direction": "down"}), chain(*names)).fit(text)
    if isinstance(found, TextFit):
        check_inside(found, one)
    else:
        assert found.kind in ("missing-glyph", "text-too-long", "no-ink")


def test_forms_of_vrt2_are_used_where_they_are_asked_for(tmp_path: Path) -> None:
    """The feature of ``columnar`` under the other tag, which no shaper asks for by itself."""
    path = tmp_path / "Columns.ttf"
    columnar(path)
    font = TTFont(path)
    for record in font["GSUB"].table.FeatureList.FeatureRecord:
        record.FeatureTag = "vrt2"
    font.save(tmp_path / "Turned.ttf")
    faces = FontBook({"turned": tmp_path / "Turned.ttf"}).chain(["turned"])
    assert isinstance(ColumnFitter(field(), faces).fit(BRACKET), Problem)
    fit = fitted(BRACKET, field(features=["vrt2"]), faces)
    number = int.from_bytes(fit.runs[0].glyphs, "big")
    assert font.getGlyphName(number) == "bracket.down"


def test_columns_run_from_right_to_left_and_get_as_small_as_need_be(tmp_path: Path) -> None:
    faces = columnar(tmp_path / "Columns.ttf")
    one = field(box=(0, 0, 12, 22), lines=2, valign="top", min_size="6pt")
    text = f"{SUN * 5} {BOOK * 5}"  # 4.9 and 4.3 em high: 17.3 mm at 10 pt
    fit = fitted(text, one, faces)
    assert (fit.size_pt, fit.lines) == (10, 2)
    suns, books = fit.runs[:5], fit.runs[5:]
    assert min(run.x for run in suns) > max(run.x for run in books)
    axis = 1.2 * 10 * MM  # from axis to axis; both glyphs stand by the middle of their advance
    assert suns[0].x - books[0].x == pytest.approx(axis, abs=1e-3)
    small = fitted(text, one.model_copy(update={"lines": 1}), faces)
    # 5 x 1 em, a blank of 0.4, 5 x 0.9, less 0.15 of white at the ends: 9.75 em in 22 mm.
    assert (small.size_pt, small.lines) == (6.25, 1)


def test_room_between_letters_and_the_step_that_takes_it(tmp_path: Path) -> None:
    faces = columnar(tmp_path / "Columns.ttf")
    unit = 10 * MM / 1000
    spread = fitted(SUN * 3, field(tracking=100), faces)
    assert [a.y - b.y for a, b in pairwise(spread.runs)] == pytest.approx(
        [1100 * unit] * 2, abs=1e-3
    )
    one = field(box=(0, 0, 20, 3.7 * 10 * MM), fit=["tracking"], tightest=-150)
    closer = fitted(SUN * 4, one, faces)
    assert (closer.size_pt, closer.tracking) == (10, -70)  # 3,900 less 3 x 70 is 3,690
    problem = ColumnFitter(one, faces).fit(SUN * 6)
    assert isinstance(problem, Problem) and problem.kind == "text-too-long"


def test_a_group_has_one_size(tmp_path: Path) -> None:
    faces = columnar(tmp_path / "Columns.ttf")
    fitter = ColumnFitter(field(lines=2), faces)
    found = fitter.fit_as(SUN, GroupSize(7.5, 1.0, 2, -20.0))
    assert isinstance(found, TextFit)
    assert (found.size_pt, found.tracking, found.lines) == (7.5, -20, 1)


HELD = [
    ("\u0645\u062d\u0645\u062f", "NotoNaskhArabic-Regular",
     "'\u0645\u062d\u0645\u062f' holds '\u0645' (U+0645 ARABIC LETTER MEEM): letters of Arabic "
     "cannot stand one under the other"),
    ("A \u0930\u093e\u0927\u093e", "NotoSansDevanagari-Regular",
     "'A \u0930\u093e\u0927\u093e' holds '\u0930' (U+0930 DEVANAGARI LETTER RA): letters of "
     "Devanagari cannot stand one under the other"),
    ("\u0e40\u0e01", "NotoSansThai-Regular",
     "'\u0e40\u0e01' holds '\u0e40' (U+0E40 THAI CHARACTER SARA E): letters of Thai cannot stand "
     "one under the other"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "font", "what"), HELD)
def test_scripts_that_join_are_held(text: str, font: str, what: str) -> None:
    book = FontBook({font: FONTS / f"{font}.ttf", "sans": FONTS / "NotoSans-Regular.ttf"})
    problem = ColumnFitter(field(), book.chain(["sans", font])).fit(text)
    assert isinstance(problem, Problem)
    assert (problem.kind, str(problem)) == (
        "not-stacked",
        f'{what}; take direction = "down" out of the layout, or change the text',
    )


def test_a_bracket_without_a_form_for_columns_is_held(tmp_path: Path) -> None:
    faces = columnar(tmp_path / "Plain.ttf", vertical=False)
    problem = ColumnFitter(field(), faces).fit(f"{BRACKET}{SUN}")
    assert isinstance(problem, Problem)
    assert str(problem) == (
        "no form of '\u300c' (U+300C LEFT CORNER BRACKET) for columns; asked: Plain; "
        "put a font that has one (its feature vert) first, or change the text"
    )
    assert isinstance(ColumnFitter(field(), faces).fit(f"{BOOK}{SUN}"), TextFit)


def test_a_text_that_is_too_long_is_told_as_it_stands(tmp_path: Path) -> None:
    faces = columnar(tmp_path / "Columns.ttf")
    problem = ColumnFitter(field(box=(0, 0, 9, 20), lines=2), faces).fit(f"{SUN * 14} {SUN * 13}")
    assert isinstance(problem, Problem)
    # At 5 pt a letter is 1.764 mm: 13.9 of them and 2.2 columns' width less their sides.
    assert str(problem) == (
        f"'{SUN * 14} {SUN * 13}' needs 3.53 x 24.52 mm at 5 pt in 2 columns, the box is "
        "9 x 20 mm; shorten the text, enlarge the box, or loosen min_size or lines in the layout"
    )


def test_letters_that_need_another_form_are_those_that_unicode_lists() -> None:
    listed: set[str] = set()
    for line in ORIENTATION.read_text(encoding="utf-8").splitlines():
        found = re.match(r"([0-9A-F]+)(?:\.\.([0-9A-F]+))?\s*;\s*Tr\b", line)
        if found:
            first, last = found.group(1), found.group(2) or found.group(1)
            listed |= {chr(code) for code in range(int(first, 16), int(last, 16) + 1)}
    assert listed == _TURNED
