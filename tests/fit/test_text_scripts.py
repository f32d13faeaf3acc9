"""Scripts beside the Latin ones: names by faker, shaped as uharfbuzz shapes them when called
plainly, their ink in the box by fontTools; fallback fonts as large as the first one looks."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from faker import Faker
from fit_judges import BOOK, SCRIPTS, chain, clustered, field, ink_of, plainly, tables
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

from vardata.fit.fontbook import FontBook
from vardata.fit.result import TextFit
from vardata.fit.shaping import ShapedLine, shaper
from vardata.fit.text import fit_text
from vardata.job.layout import SCRIPT_FONTS
from vardata.problems import Problem


def names(locale: str, count: int = 60) -> list[str]:
    fake = Faker(locale)
    fake.seed_instance(11)
    return [fake.name() for _ in range(count)]


def one_script(text: str, font: str) -> bool:
    """Whether plain shaping needs no more than one font and one direction."""
    return all(char in BOOK.chain([font])[0].characters for char in text) and not any(
        char.isdigit() or ("a" <= char.lower() <= "z") for char in text
    )


@pytest.mark.parametrize(("font", "locale"), SCRIPTS.items())
def test_names_are_shaped_as_uharfbuzz_shapes_them(font: str, locale: str) -> None:
    faces = chain(font)
    scale, compared = faces[0].scale, 0
    for name in names(locale):
        if not one_script(name, font):
            continue
        line = shaper(faces).shape(name)
        assert isinstance(line, ShapedLine)
        plain = plainly(faces[0].path, name)
        assert line.advance == pytest.approx(sum(glyph[3] for glyph in plain) * scale)
        glyphs = b"".join(run.glyphs for run in line.runs)
        assert glyphs == b"".join(glyph[0].to_bytes(2, "big") for glyph in plain)
        compared += 1
    assert compared > 20


LEFT_TO_RIGHT = [
    ("NotoSansBengali-Regular", "bn_BD"), ("NotoSansDevanagari-Regular", "hi_IN"),
    ("NotoSansTamil-Regular", "ta_IN"), ("NotoSans-Regular", "vi_VN"),
    ("NotoSerif-Regular", "el_GR"), ("NotoSans-Regular", "uk_UA"), ("NotoSerif-Regular", "cs_CZ"),
]  # fmt: skip


@pytest.mark.parametrize(("font", "locale"), LEFT_TO_RIGHT)
def test_a_words_glyphs_are_those_that_uharfbuzz_maps_to_its_letters(
    font: str, locale: str
) -> None:
    """Lines are cut by the cluster map: glyphs and advances of each word, by uharfbuzz's own."""
    faces, compared = chain(font), 0
    for name in names(locale):
        edges = {at + 1 for at, char in enumerate(name) if char == " "}
        strip = shaper(faces).strip(name, edges)
        if strip is None:  # a cut would show, or another font is needed
            continue
        mapped = clustered(faces[0].path, name)
        starts = [0, *sorted(edges), len(name)]
        for start, end in pairwise(starts):
            word = [one for one in mapped if start <= one[0] < end]
            line = strip.line(start, end)
            glyphs = b"".join(run.glyphs for run in line.runs)
            assert glyphs == b"".join(glyph.to_bytes(2, "big") for _, glyph, _ in word)
            advance = sum(one[2] for one in word) * faces[0].scale
            assert line.advance == pytest.approx(advance)
            compared += 1
    assert compared > 40


@pytest.mark.parametrize("locale", [*SCRIPTS.values(), "vi_VN", "el_GR", "uk_UA", "fa_IR", "hy_AM"])
@pytest.mark.parametrize("first", ["NotoSerif-Regular", "DancingScript-Regular"])
def test_names_of_any_shipped_script_are_set_in_the_box(first: str, locale: str) -> None:
    faces = BOOK.chain([first, *SCRIPT_FONTS])
    one = field(box=(0, 0, 40, 12), size="18pt", min_size="6pt", lines=2)
    fitted = 0
    for name in names(locale):
        found = fit_text(name, one, faces)
        if isinstance(found, Problem):
            assert found.kind == ("text-too-long" if locale != "hy_AM" else "missing-glyph")
            continue
        x0, y0, x1, y1 = ink_of(found)
        assert x0 >= 0 and y0 >= 0
        assert x1 <= 40 and y1 <= 12
        fitted += 1
    assert fitted == (0 if locale == "hy_AM" else pytest.approx(60, abs=3))


def test_a_cluster_is_never_split_between_fonts() -> None:
    faces = BOOK.chain(["NotoSerif-Regular", *SCRIPT_FONTS])
    line = shaper(faces).shape("Ada कि e\u0301")
    assert isinstance(line, ShapedLine)
    assert [BOOK.face(run.font).path.stem for run in line.runs] == [
        "NotoSerif-Regular", "NotoSansDevanagari-Regular", "NotoSerif-Regular",
    ]  # fmt: skip


# ---------------------------------------------------------------- sizes of fallback fonts


def tall_font(path: Path, height: int, letters: str) -> Path:
    """A font of bars that are so high, and a tenth of that high for small letters."""
    builder = FontBuilder(1000, isTTF=True)
    names = {char: f"u{ord(char):04X}" for char in letters}
    builder.setupGlyphOrder([".notdef", *names.values()])
    builder.setupCharacterMap({ord(char): name for char, name in names.items()})
    glyphs = {".notdef": TTGlyphPen(None).glyph()}
    for char, name in names.items():
        pen = TTGlyphPen(None)
        top = height // 10 if char == "x" else height
        pen.moveTo((100, 0))
        for point in ((100, top), (300, top), (300, 0)):
            pen.lineTo(point)
        pen.closePath()
        glyphs[name] = pen.glyph()
    builder.setupGlyf(glyphs)
    builder.setupHorizontalMetrics(dict.fromkeys(glyphs, (400, 100)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": path.stem, "psName": path.stem})
    builder.setupOS2(sCapHeight=height, sxHeight=height // 10)
    builder.setupPost()
    builder.save(path)
    return path


@pytest.fixture
def book(tmp_path: Path) -> FontBook:
    return FontBook({
        "low": tall_font(tmp_path / "Low.ttf", 500, "HxA"),
        "tall": tall_font(tmp_path / "Tall.ttf", 700, "HxB"),
        "bare": tall_font(tmp_path / "Bare.ttf", 700, "C"),
    })  # fmt: skip


def test_a_fallback_font_is_as_large_as_the_first_one_looks(book: FontBook) -> None:
    faces = book.sized_chain(["low", "tall", "bare"], "cap-height")
    line = shaper(faces).shape("AB")
    assert isinstance(line, ShapedLine)
    assert line.ink is not None
    # 700 at 1400 units an em is as high as 500 at 1000; its advance of 400 shrinks likewise.
    assert line.ink[3] == pytest.approx(500, abs=0.2)
    assert line.advance == pytest.approx(400 + 400 * 5 / 7, abs=0.2)
    # A font without Latin letters counts as drawn beside letters of 714.
    assert faces[2].scale == pytest.approx(500 / 714, abs=1e-3)


def test_sizes_can_go_by_small_letters_or_stay(book: FontBook) -> None:
    low, tall, _ = book.sized_chain(["low", "tall", "bare"], "x-height")
    assert tall.scale == pytest.approx(5 / 7, abs=1e-3)
    assert book.sized_chain(["low", "tall"], "none") == book.chain(["low", "tall"])
    assert low == book.chain(["low"])[0]


def test_faces_of_another_size_have_numbers_of_their_own(book: FontBook) -> None:
    one = book.sized_chain(["low", "tall"], "cap-height")
    again = book.sized_chain(["low", "tall"], "cap-height")
    assert one == again
    assert one[1].index == 3
    assert book.face(3) is one[1]
    assert tables(one[1].path)["head"].unitsPerEm == 1000


def test_what_is_drawn_in_colours_is_held(tmp_path: Path) -> None:
    path = tall_font(tmp_path / "Bright.ttf", 700, "HxBl")
    from fontTools.colorLib.builder import buildCOLR, buildCPAL
    from fontTools.ttLib import TTFont

    font = TTFont(path)
    font["COLR"] = buildCOLR({"u0042": [("u006C", 0)]})
    font["CPAL"] = buildCPAL([[(1, 0, 0, 1)]])
    font.save(path)
    faces = FontBook({"own": path}).chain(["own"])
    assert isinstance(fit_text("Hx", field(), faces), TextFit)
    problem = fit_text("HB", field(), faces)
    assert str(problem) == (
        "'B' (U+0042 LATIN CAPITAL LETTER B) is drawn in colours of its own, asked: Bright; "
        "put a font that draws it in outlines alone first, or take it out of the text"
    )
