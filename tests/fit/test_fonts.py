"""Faces and the font book, against fontTools' reading of the same files."""

from __future__ import annotations

import pickle
import random
import unicodedata
from pathlib import Path

import pytest
from fit_judges import BOOK, FILES, SHIPPED, box_font, chain, tables, true_ink
from fontTools.agl import toUnicode
from fontTools.misc.bezierTools import calcCubicBounds, splitQuadraticAtT
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.basePen import AbstractPen, BasePen
from fontTools.ttLib import TTFont

from vardata.fit.fontbook import FontBook
from vardata.fit.fonts import Face
from vardata.fit.outlines import bounds
from vardata.marks import Commands

NAMES = [path.stem for path in FILES]


def _face(name: str) -> Face:
    return chain(name)[0]


def replay(commands: Commands, pen: AbstractPen) -> None:
    """Commands to a fontTools pen."""
    for kind, *numbers in commands:
        points = list(zip(numbers[::2], numbers[1::2]))
        if kind == "h":
            pen.closePath()
        else:
            {"m": pen.moveTo, "l": pen.lineTo, "c": pen.curveTo}[str(kind)](*points)


# ---------------------------------------------------------------- numbers


@pytest.mark.parametrize("name", NAMES)
def test_metrics_are_those_of_the_tables(name: str) -> None:
    face, font = _face(name), tables(SHIPPED / FILES[NAMES.index(name)].name)
    scale = 1000 / font["head"].unitsPerEm
    os2, hhea = font["OS/2"], font["hhea"]
    assert face.units_per_em == font["head"].unitsPerEm
    assert face.glyph_count == font["maxp"].numGlyphs
    assert face.is_cff == ("CFF " in font)
    assert face.postscript_name == font["name"].getDebugName(6)
    assert face.charset == frozenset(font.getBestCmap())
    # OpenType 1.9, OS/2: bit 7 of fsSelection asks for the typographic heights.
    typographic = os2.fsSelection & 1 << 7
    ascent = os2.sTypoAscender if typographic else hhea.ascent
    descent = os2.sTypoDescender if typographic else hhea.descent
    assert (face.ascent, face.descent) == (ascent * scale, descent * scale)
    assert (face.cap_height, face.x_height) == (os2.sCapHeight * scale, os2.sxHeight * scale)
    for glyph in range(0, face.glyph_count, 7):
        assert face.advance(glyph) == font["hmtx"][font.getGlyphName(glyph)][0] * scale
    assert face.data == face.path.read_bytes()


@pytest.mark.parametrize("name", NAMES)
def test_characters_are_those_of_the_cmap(name: str) -> None:
    face = _face(name)
    assert face.has(ord("A"))
    assert not face.has(ord("日"))
    assert all(ord(char) in face.charset for char in face.characters)


def test_heights_are_measured_where_the_font_does_not_say(tmp_path: Path) -> None:
    glyphs = {"H": (700, (50, 0, 650, 720)), "x": (500, (50, -10, 450, 490))}
    face = Face(box_font(tmp_path / "Old.ttf", glyphs, 500), 0)
    assert (face.cap_height, face.x_height) == (1440.0, 980.0)  # twice, for 500 units an em


# ---------------------------------------------------------------- outlines


@pytest.mark.parametrize("name", NAMES)
def test_extents_are_the_true_bounds(name: str) -> None:
    face = _face(name)
    for glyph in range(0, face.glyph_count, 11):
        ink, found = true_ink(face.path, glyph), face.extents(glyph)
        if ink is None:
            assert found is None
        else:
            scale = 1000 / face.units_per_em
            assert found == pytest.approx([edge * scale for edge in ink], abs=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_outlines_enclose_the_same_area(name: str) -> None:
    face = _face(name)
    font = tables(face.path)
    glyphs, scale = font.getGlyphSet(), 1000 / face.units_per_em
    for glyph in range(0, face.glyph_count, 17):
        theirs, ours = AreaPen(glyphs), AreaPen(None)
        glyphs[font.getGlyphName(glyph)].draw(theirs)
        replay(face.outline(glyph), ours)
        # uharfbuzz draws in single precision.
        assert ours.value == pytest.approx(theirs.value * scale * scale, rel=1e-6, abs=1e-3)


class _Middles(BasePen):  # type: ignore[misc]
    """The point at the middle of each curve."""

    def __init__(self, glyphs: object) -> None:
        super().__init__(glyphs)
        self.points: list[tuple[float, float]] = []

    def _moveTo(self, point: object) -> None:
        return

    def _lineTo(self, point: object) -> None:
        return

    def _qCurveToOne(self, control: tuple[float, float], end: tuple[float, float]) -> None:
        self.points.append(splitQuadraticAtT(self._getCurrentPoint(), control, end, 0.5)[0][2])

    def _curveToOne(self, *points: tuple[float, float]) -> None:
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = (self._getCurrentPoint(), *points)
        self.points.append(((ax + 3 * bx + 3 * cx + dx) / 8, (ay + 3 * by + 3 * cy + dy) / 8))


@pytest.mark.parametrize("name", NAMES)
def test_curves_run_through_the_same_points(name: str) -> None:
    face = _face(name)
    font = tables(face.path)
    glyphs = font.getGlyphSet()
    for char in "aÖ8&gß":
        theirs, ours = _Middles(glyphs), _Middles(None)
        glyphs[font.getBestCmap()[ord(char)]].draw(theirs)
        outline = face.outline(font.getGlyphID(font.getBestCmap()[ord(char)]))
        replay(outline, ours)
        assert len(theirs.points) > 3
        for point in theirs.points:
            assert min(abs(x - point[0]) + abs(y - point[1]) for x, y in ours.points) < 1e-6
        assert {command[0] for command in outline} <= set("mlch")


def test_a_box_bounds_curves_and_not_their_controls() -> None:
    # By hand: x(t) = 3 t (1 - t) of this curve is at most 3/4, at t = 1/2.
    arch: Commands = (("m", 0, 0), ("c", 1, 0, 1, 1, 0, 1), ("h",))
    assert bounds(arch) == pytest.approx((0, 0, 0.75, 1))
    assert bounds((("m", 5, 5), ("h",))) is None
    assert bounds(()) is None


def test_the_box_of_any_curve_is_that_of_fonttools() -> None:
    """Loops, cusps, and parabolas written as cubics among them."""
    seeded = random.Random(5)
    for number in range(2_000):
        points = [(seeded.randint(-9, 9), seeded.randint(-9, 9)) for _ in range(4)]
        if number % 4 == 0:  # a quadratic curve, raised: its cube is nothing, or nearly so
            (x0, y0), (x1, y1), _, (x3, y3) = points
            points[1] = ((x0 + 2 * x1) / 3, (y0 + 2 * y1) / 3)
            points[2] = ((x3 + 2 * x1) / 3, (y3 + 2 * y1) / 3)
        start, one, two, end = points
        found = bounds((("m", *start), ("c", *one, *two, *end), ("h",)))
        assert found == pytest.approx(calcCubicBounds(*points), abs=1e-9)


# ---------------------------------------------------------------- text of glyphs


@pytest.mark.parametrize("name", NAMES)
def test_each_glyph_stands_for_its_character(name: str) -> None:
    face = _face(name)
    for codepoint in sorted(face.charset):
        char = chr(codepoint)
        text = face.text_of(face.font.get_nominal_glyph(codepoint))
        assert unicodedata.normalize("NFKC", text) == unicodedata.normalize("NFKC", char) or (
            # One glyph for several characters that Unicode keeps apart.
            face.font.get_nominal_glyph(ord(text)) == face.font.get_nominal_glyph(codepoint)
        )


def test_a_ligature_stands_for_its_letters() -> None:
    face = _face("NotoSans-Regular")
    assert face.text_of(face.font.get_nominal_glyph(ord("ﬃ"))) == "ffi"


def test_a_glyph_of_many_characters_stands_for_the_plain_one(tmp_path: Path) -> None:
    box = (500, (0, 0, 400, 500))
    glyphs = {"\u00b5": box, " ": (250, None), "-": box, "\u00c5": box, "\ue001": box}
    font = TTFont(box_font(tmp_path / "Shared.ttf", glyphs))
    # micro, mu; space, no-break space; hyphens; ring A, angstrom: Unicode calls the first plain.
    pairs = {0x3BC: 0xB5, 0xA0: 0x20, 0x212B: 0xC5, 0x2011: 0x2D}
    for table in font["cmap"].tables:
        table.cmap.update({twin: table.cmap[code] for twin, code in pairs.items()})
    font.save(tmp_path / "Shared.ttf")
    face = Face(tmp_path / "Shared.ttf", 0)
    texts = {face.text_of(glyph) for glyph in range(face.glyph_count)}
    assert texts == {"", "\u03bc", " ", "-", "\u00c5"}  # private use says nothing


def test_a_glyph_outside_the_cmap_is_read_by_its_name() -> None:
    face = _face("NotoSans-Regular")
    font = tables(face.path)
    mapped = set(font.getBestCmap().values())
    named = [
        name for name in font.getGlyphOrder()
        if name not in mapped and len(toUnicode(name)) == 1
    ]  # fmt: skip
    assert named
    for name in named:
        assert face.text_of(font.getGlyphID(name)) == toUnicode(name)
    assert face.text_of(0) == ""


# ---------------------------------------------------------------- the book


def test_numbers_do_not_depend_on_order_or_place(tmp_path: Path) -> None:
    (tmp_path / "zz").mkdir()
    here = {name: tmp_path / f"{name}.ttf" for name in ("a", "b", "c")}
    there = {name: tmp_path / "zz" / f"{name}.ttf" for name in ("c", "a", "b")}
    mixed = {"b": tmp_path / "b.ttf", "c": tmp_path / "zz" / "c.ttf", "a": tmp_path / "x.ttf"}
    for names in (here, there, mixed):
        book = FontBook(names)
        assert [book.chain([name])[0].index for name in "abc"] == [0, 1, 2]
        assert [book.face(index).path for index in range(3)] == [names[name] for name in "abc"]


def test_one_file_has_one_number() -> None:
    path = SHIPPED / "NotoSans-Regular.ttf"
    book = FontBook({"sans": path, "NotoSans-Regular": path, "mono": FILES[0]})
    assert len(book) == 2
    assert len(book.chain(["sans", "NotoSans-Regular", "mono", "sans"])) == 2
    assert book.chain(["sans"]) == book.chain(["NotoSans-Regular"])


def test_a_name_that_is_not_in_the_book_is_an_error() -> None:
    with pytest.raises(KeyError):
        BOOK.chain(["Nowhere"])


def test_a_book_opens_no_file_before_it_must(tmp_path: Path) -> None:
    book = FontBook({"gone": tmp_path / "gone.ttf"})
    assert book.chain(["gone"])[0].index == 0


def test_a_book_goes_to_another_process() -> None:
    BOOK.face(0).extents(5)  # something open and cached
    book = pickle.loads(pickle.dumps(BOOK))
    assert len(book) == len(BOOK)
    for index in range(len(BOOK)):
        assert book.face(index).path == BOOK.face(index).path
        assert book.face(index).advance(40) == BOOK.face(index).advance(40)
    assert book.chain(NAMES)[0] is book.face(book.chain(NAMES)[0].index)
