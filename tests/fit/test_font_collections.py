"""Fonts of collections: each is the font that was put in, as fontTools and uharfbuzz read it."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
import uharfbuzz as hb
from fit_judges import SHIPPED
from fontTools.ttLib import TTCollection, TTFont

from vardata.fit.fontbook import FontBook
from vardata.fit.fontcollection import taken_out
from vardata.fit.placing import ShapedLine
from vardata.fit.shaping import shaper
from vardata.output.pdf.embedding import subset

NAMES = ("NotoSans-Regular.ttf", "NotoSerif-Regular.ttf", "NotoSansHebrew-Regular.ttf")


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    fonts = TTCollection()
    fonts.fonts = [TTFont(SHIPPED / name) for name in NAMES]
    path = tmp_path_factory.mktemp("fonts") / "Three.ttc"
    fonts.save(path)
    return path


@pytest.mark.parametrize("member", range(3))
def test_a_member_is_a_font_of_its_own(path: Path, member: int) -> None:
    taken = TTFont(BytesIO(taken_out(path.read_bytes(), member)))
    whole = TTFont(SHIPPED / NAMES[member])
    assert taken["name"].getDebugName(6) == whole["name"].getDebugName(6)
    assert taken.getBestCmap() == whole.getBestCmap()
    assert taken["hmtx"].metrics == whole["hmtx"].metrics
    assert hb.Face(taken_out(path.read_bytes(), member)).glyph_count == len(whole.getGlyphOrder())


def test_a_member_is_shaped_and_embedded_as_the_font_alone(path: Path) -> None:
    alone = FontBook({"serif": SHIPPED / NAMES[1]}).chain(["serif"])
    member = FontBook({"two": path}, {"two": 1}).chain(["two"])
    one, other = shaper(alone).shape("Ada"), shaper(member).shape("Ada")
    assert isinstance(one, ShapedLine)
    assert one == other
    glyphs = one.runs[0].glyphs
    ids = tuple(sorted({int.from_bytes(glyphs[at : at + 2], "big") for at in (0, 2, 4)}))
    assert TTFont(BytesIO(subset(member[0], ids)))["glyf"] == TTFont(
        BytesIO(subset(alone[0], ids)))["glyf"]  # fmt: skip
    assert member[0].postscript_name == alone[0].postscript_name


def test_two_members_of_a_file_are_two_faces(path: Path) -> None:
    book = FontBook({"a": path, "b": path}, {"a": 0, "b": 1})
    assert len(book) == 2
    assert [face.postscript_name for face in book.chain(["a", "b"])] == [
        "NotoSans-Regular", "NotoSerif-Regular",
    ]  # fmt: skip
