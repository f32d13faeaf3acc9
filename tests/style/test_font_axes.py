"""Variable fonts: an instance is the font that uharfbuzz sees at the same place of the design."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
import uharfbuzz as hb
from fontTools.cffLib.CFFToCFF2 import convertCFFToCFF2
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from stylejob import area, box, built, separations, slots
from variable_fonts import SHIPPED, variable_font

from vardata.fit.fontbook import FontBook
from vardata.fit.placing import ShapedLine
from vardata.fit.shaping import shaper
from vardata.job.fontaxes import Axes, instanced
from vardata.output.pdf.embedding import subset

PLACES: list[Axes] = [
    (("wght", 400.0), ("wdth", 100.0)), (("wght", 650.0), ("wdth", 80.0)),
    (("wght", 700.0), ("wdth", 100.0)), (("wght", 512.5), ("wdth", 75.0)),
]  # fmt: skip
TEXTS = ("Hamburgefonts", "Ålvaró Søndergård", "AVATAR & Co. 1/2")


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return variable_font(tmp_path_factory.mktemp("fonts") / "Own.ttf")


def seen_by_harfbuzz(path: Path, axes: Axes, text: str) -> list[tuple[int, int]]:
    """(glyph, advance) in a variable font that harfbuzz itself sets at a place."""
    font = hb.Font(hb.Face(path.read_bytes()))
    font.set_variations(dict(axes))
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb.shape(font, buffer)
    places = zip(buffer.glyph_infos, buffer.glyph_positions)
    return [(info.codepoint, place.x_advance) for info, place in places]


@pytest.mark.parametrize("axes", PLACES)
@pytest.mark.parametrize("text", TEXTS)
def test_advances_are_those_of_harfbuzz_at_the_same_place(
    path: Path, axes: Axes, text: str
) -> None:
    chain = FontBook({"own": path}, None, {"own": axes}).chain(["own"])
    line = shaper(chain).shape(text)
    assert isinstance(line, ShapedLine)
    judged = seen_by_harfbuzz(path, axes, text)
    glyphs = b"".join(run.glyphs for run in line.runs)
    assert glyphs == b"".join(glyph.to_bytes(2, "big") for glyph, _ in judged)
    # Either rounds an advance to a whole unit; the font has 1000 an em.
    assert line.advance == pytest.approx(sum(advance for _, advance in judged), abs=len(judged) / 2)


@pytest.mark.parametrize("axes", PLACES)
def test_outlines_are_those_that_fonttools_interpolates(path: Path, axes: Axes) -> None:
    face = FontBook({"own": path}, None, {"own": axes}).chain(["own"])[0]
    font = TTFont(path)
    glyphs = font.getGlyphSet(location=dict(axes))
    for letter in "HamburgefonsÅ&":
        name = font.getBestCmap()[ord(letter)]
        pen = BoundsPen(glyphs)
        glyphs[name].draw(pen)
        assert face.extents(font.getGlyphID(name)) == pytest.approx(pen.bounds, abs=1.0)


def test_an_instance_is_embedded_as_a_font_without_axes(path: Path) -> None:
    axes = (("wght", 650.0), ("wdth", 80.0))
    face = FontBook({"own": path}, None, {"own": axes}).chain(["own"])[0]
    number = face.font.get_nominal_glyph(ord("H"))
    cut = TTFont(BytesIO(subset(face, (number,))))
    assert not {"fvar", "gvar", "avar"} & set(cut.keys())
    made = TTFont(BytesIO(instanced(path, None, axes)))
    one, other = cut["glyf"][cut.getGlyphName(number)], made["glyf"][made.getGlyphName(number)]
    assert one.coordinates == other.coordinates
    assert face.postscript_name.endswith("_650wght_80wdth")


def test_the_same_place_gives_the_same_bytes(path: Path) -> None:
    axes = (("wght", 650.0), ("wdth", 80.0))
    first = instanced(path, None, axes)
    instanced.cache_clear()
    assert instanced(path, None, axes) == first


def test_two_places_are_two_faces_and_one_place_is_one(path: Path) -> None:
    bold, light = (("wght", 700.0), ("wdth", 100.0)), (("wght", 400.0), ("wdth", 100.0))
    book = FontBook(dict.fromkeys("abc", path), None, {"a": bold, "b": light, "c": bold})
    assert len(book) == 2
    assert book.chain(["a"]) == book.chain(["c"]) != book.chain(["b"])


def test_a_bed_shows_a_heavier_and_a_narrower_text(tmp_path: Path) -> None:
    variable_font(tmp_path / "Own.ttf")
    runs = {}
    for axes in ("", "#Bold", "#wdth=75"):
        field = f'text = "{{{{ first }}}}"\nfont = "Own.ttf{axes}"\nsize = "24pt"\ncolour = "black"'
        runs[axes] = built(tmp_path, field)
        (slot,) = slots(runs[axes])
        assert slot["texts"][0]["text"] == "Ottilie"
        plates = separations(runs[axes])
        ink, white = plates["Black"], plates["White"]
        assert not (white & ~ink).any()
        runs[axes] = area(ink), box(ink)
    assert runs["#Bold"][0] > 1.3 * runs[""][0]  # stems of Noto Sans: 92 and 156 units
    wide, narrow = (b[2] - b[0] for _, b in (runs[""], runs["#wdth=75"]))
    assert narrow == pytest.approx(0.75 * wide, rel=0.01)


def test_outlines_of_a_variable_font_may_be_cff2(tmp_path: Path) -> None:
    script = SHIPPED / "DancingScript-Regular.otf"
    font = TTFont(script)
    font["post"].formatType, font["post"].extraNames, font["post"].mapping = 2.0, [], {}
    order = font.getGlyphOrder()
    convertCFFToCFF2(font)
    font.setGlyphOrder(order)
    FontBuilder(font=font).setupFvar([("wght", 400, 400, 700, "Weight")], [])
    font.save(tmp_path / "Own.otf")
    axes = (("wght", 400.0),)
    one = FontBook({"own": tmp_path / "Own.otf"}, None, {"own": axes}).chain(["own"])[0]
    other = FontBook({"own": script}).chain(["own"])[0]
    assert one.is_cff
    glyph = one.font.get_nominal_glyph(ord("Q"))
    assert one.extents(glyph) == pytest.approx(other.extents(glyph), abs=1e-6)
    assert subset(one, (glyph,))
