"""Embedded fonts: fontTools reads what was cut, four renderers show what was meant."""

from __future__ import annotations

import io
import re
import struct
import unicodedata

import numpy as np
import pikepdf
import pypdfium2
import pytest
from bedkit import (
    BOLD,
    BOOK,
    FONTS,
    SANS,
    SCRIPT,
    judge,
    make_bed,
    make_layout,
    page,
    run,
    separations,
    write,
)  # fmt: skip
from fontTools.cffLib import FDArrayIndex, FDSelect, FontDict
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image as Pillow

from vardata.fit.fontbook import FontBook
from vardata.marks import BLACK, GlyphRun, Placement
from vardata.output.pdf import cff
from vardata.output.pdf.embedding import subset
from vardata.output.pdf.unicode_map import unicode_map

SIZE = (50.8, 25.4)
HERE = Placement(25.4, 12.7, 0.0)


@pytest.mark.parametrize("font", [SANS, SCRIPT])
def test_a_subset_keeps_ids_outlines_and_widths(font):
    face = BOOK.face(font)
    ids = tuple(sorted(face.font.get_nominal_glyph(ord(c)) for c in "AÄßgjé&"))
    cut, whole = TTFont(io.BytesIO(subset(face, ids))), TTFont(face.path)
    assert {"GSUB", "GPOS", "GDEF", "cmap", "name", "fpgm", "prep"}.isdisjoint(cut.keys())
    assert cut["maxp"].numGlyphs == max(ids) + 1
    for glyph in ids:
        drawings = []
        for tables in (cut, whole):
            glyphs, pen = tables.getGlyphSet(), RecordingPen()
            glyphs[tables.getGlyphName(glyph)].draw(pen)
            pen.value = [
                (verb, tuple(p if not isinstance(p, str) else "part" for p in points))
                for verb, points in pen.value
            ]
            drawings.append((pen.value, glyphs[tables.getGlyphName(glyph)].width))
        assert drawings[0] == drawings[1]


def test_parts_of_composed_glyphs_come_along(tmp_path):
    """Noto Sans composes letters with accents; their parts are not among the glyphs shown."""
    whole = TTFont(BOOK.face(SANS).path)
    name = whole.getBestCmap()[ord("Å")]
    assert whole["glyf"][name].isComposite()
    write(tmp_path / "c.pdf", page(run("Å", size=40.0), at=HERE), bed=make_bed(*SIZE),
          layout=make_layout(*SIZE))  # fmt: skip
    ink = separations(tmp_path / "c.pdf", "300")["Black"]
    letter = page(run("A", size=40.0), at=HERE)
    write(tmp_path / "a.pdf", letter, bed=make_bed(*SIZE), layout=make_layout(*SIZE))
    plain = separations(tmp_path / "a.pdf", "300")["Black"]
    assert ink.sum() > 1.05 * plain.sum()
    lost = np.count_nonzero((plain > 0) & (ink == 0))
    assert lost < 0.05 * np.count_nonzero(plain)  # single dots of the edge


def test_a_subset_name_has_its_tag(tmp_path):
    """ISO 32000-1, 9.6.4: six capitals and a plus sign, other subsets having other tags."""
    names = set()
    for text in ("one", "two"):
        write(tmp_path / text, page(run(text)))
        with pikepdf.open(tmp_path / text) as pdf:
            (font,) = pdf.pages[0].Resources.Font.values()
            descriptor = font.DescendantFonts[0].FontDescriptor
            assert font.BaseFont == font.DescendantFonts[0].BaseFont == descriptor.FontName
            assert re.fullmatch(r"/[A-Z]{6}\+NotoSans-Regular", str(font.BaseFont))
            names.add(str(font.BaseFont))
    assert len(names) == 2


# ------------------------------------------------------------ fonts keyed by CIDs


def keyed_by_cids(path, number) -> None:
    """Dancing Script as a font keyed by CIDs; glyph n has the CID ``number(n)``.

    Large fonts for Chinese, Japanese and Korean are of this kind, and their regional cuts keep
    the numbers of the whole.
    """
    font = TTFont(FONTS / "DancingScript-Regular.otf")
    widths = font["hmtx"].metrics
    codes = [(table, dict(table.cmap)) for table in font["cmap"].tables]
    top = font["CFF "].cff.topDictIndex[0]
    strings, old = top.CharStrings, list(top.charset)
    data = [strings[name] for name in old]
    for charstring in data:
        charstring.decompile()
    new = [".notdef", *(f"cid{number(n):05d}" for n in range(1, len(old)))]
    private = top.Private
    one = FontDict()
    one.Private = private
    one.FontName = "Part"
    array = FDArrayIndex()
    array.append(one)
    choice = FDSelect()
    choice.format, choice.gidArray = 3, [0] * len(new)
    top.ROS, top.CIDCount = ("Adobe", "Identity", 0), 65535
    top.FDArray, top.FDSelect = array, choice
    del top.Private
    top.rawDict.pop("Private", None)
    top.charset = new
    strings.fdArray, strings.fdSelect = array, choice
    strings.charStrings = {name: n for n, name in enumerate(new)}
    for n, charstring in enumerate(data):
        charstring.private, charstring.fdSelectIndex = private, 0
        strings.charStringsIndex[n] = charstring
    font.setGlyphOrder(new)
    for tag in set(font.keys()) - {"GlyphOrder", "head", "hhea", "hmtx", "maxp", "OS/2", "name",
                                   "cmap", "post", "CFF "}:  # fmt: skip
        del font[tag]
    font["post"].formatType = 3.0
    names = dict(zip(old, new))
    font["hmtx"].metrics = {names[name]: value for name, value in widths.items()}
    for table, named in codes:
        table.cmap = {code: names[name] for code, name in named.items()}
    font.save(path)


NUMBERINGS = {"shifted": lambda n: n + 700, "spread": lambda n: 1000 + 3 * n,
              "the same": lambda n: n, "backwards": lambda n: 9000 - n}  # fmt: skip


@pytest.mark.parametrize("numbering", list(NUMBERINGS))
def test_a_font_keyed_by_cids_shows_the_glyphs_that_were_meant(tmp_path, numbering):
    """The same picture as the font that has no CIDs, in every renderer."""
    source = tmp_path / "cid.otf"
    keyed_by_cids(source, NUMBERINGS[numbering])
    book = FontBook({"cid": source})
    assert cff._ROS in cff._top_dict(cff.table(source.read_bytes()))
    mark = run("Quartz & Jug", font=SCRIPT, size=24.0, at=(2, 8))
    sheets = {"cid": (mark._replace(font=0), book), "plain": (mark, BOOK)}
    pictures: dict[str, list[np.ndarray]] = {}
    for name, (shown, fonts) in sheets.items():
        path = tmp_path / f"{name}.pdf"
        write(path, page(shown, at=HERE), bed=make_bed(*SIZE), layout=make_layout(*SIZE),
              book=fonts)  # fmt: skip
        judge("qpdf", "--check", path)
        judge("pdftoppm", "-r", "200", "-gray", "-png", "-singlefile", path, tmp_path / "poppler")
        judge("mutool", "draw", "-q", "-r", "200", "-c", "gray", "-o", tmp_path / "mupdf.png", path)
        pypdfium2.PdfDocument(path)[0].render(scale=2).to_pil().save(tmp_path / "pdfium.png")
        pictures[name] = [separations(path, "200")["Black"]] + [
            255 - np.asarray(Pillow.open(tmp_path / f"{tool}.png").convert("L"))
            for tool in ("poppler", "mupdf", "pdfium")
        ]
    for one, other in zip(pictures["cid"], pictures["plain"]):
        assert other.sum() > 0
        assert np.array_equal(one, other)


def test_a_cut_font_numbers_its_cids_like_its_glyphs(tmp_path):
    source = tmp_path / "cid.otf"
    keyed_by_cids(source, NUMBERINGS["spread"])
    face = FontBook({"cid": source}).face(0)
    ids = tuple(sorted(face.font.get_nominal_glyph(ord(c)) for c in "Zebra"))
    raw = subset(face, ids)
    mended = cff.identity_charset(cff.table(raw))
    assert len(mended) == len(cff.table(raw))
    font = TTFont(io.BytesIO(raw.replace(cff.table(raw), mended)))
    charset = font["CFF "].cff.topDictIndex[0].charset
    assert charset == [".notdef", *(f"cid{n:05d}" for n in range(1, max(ids) + 1))]


# ------------------------------------------------------------ back to Unicode


def decoded(data: bytes) -> dict[int, str]:
    """A reader of ToUnicode maps as ISO 32000-1, 9.10.3 describes them."""
    found: dict[int, str] = {}
    for block in re.findall(rb"beginbfchar\n(.*?)endbfchar", data, re.S):
        for code, text in re.findall(rb"<(\w+)><(\w+)>", block):
            found[int(code, 16)] = bytes.fromhex(text.decode()).decode("utf-16-be")
    for block in re.findall(rb"beginbfrange\n(.*?)endbfrange", data, re.S):
        for first, last, text in re.findall(rb"<(\w+)><(\w+)><(\w+)>", block):
            start = int(text, 16)
            assert int(first, 16) >> 8 == int(last, 16) >> 8
            for n in range(int(first, 16), int(last, 16) + 1):
                found[n] = chr(start + n - int(first, 16))
    return found


CHARACTER = st.characters(exclude_categories=["Cs"], max_codepoint=0x1FFFF)


@given(st.dictionaries(st.integers(0, 0xFFFF), st.text(CHARACTER, max_size=3), max_size=40))
@settings(max_examples=60)
def test_every_glyphs_text_is_in_the_map(texts):
    assert decoded(unicode_map(texts)) == {glyph: text for glyph, text in texts.items() if text}


def test_runs_of_letters_become_ranges():
    """The last byte alone may count up within a range."""
    texts = {0x0FC + i: chr(0x2FC + i) for i in range(8)}
    data = unicode_map(texts)
    assert decoded(data) == texts
    assert data.count(b"\n<0100><") == 1  # one range on each side of the byte's edge


def test_a_large_map_stays_within_the_blocks_limit():
    data = unicode_map({2 * i: "ab" for i in range(250)})
    assert [int(n) for n in re.findall(rb"(\d+) beginbfchar", data)] == [100, 100, 50]


def test_ligatures_and_capitals_are_copied_as_their_letters(tmp_path):
    """What poppler extracts is what was shaped, ligatures written out."""
    texts = ("Åse Œuvre", "Ďuriš 42", "naïve façade")
    marks = [run(text, font=BOLD, at=(3.0, 4.0 + 7 * i)) for i, text in enumerate(texts)]
    write(tmp_path / "t.pdf", page(*marks))
    found = judge("pdftotext", "-raw", tmp_path / "t.pdf", "-")
    assert sorted(unicodedata.normalize("NFC", found).split("\n")[:3]) == sorted(texts)


def test_more_texts_than_are_kept_still_embed_every_glyph(tmp_path, monkeypatch):
    from vardata.output.pdf import fonts

    monkeypatch.setattr(fonts, "_KEPT_TEXTS", 3)
    marks = [
        GlyphRun(0, BLACK, SANS, 5.0, 1.0 + 2 * i, 2.0, 0.0, 1.0, struct.pack(">H", 36 + i), ())
        for i in range(26)
    ]
    write(tmp_path / "t.pdf", page(*marks))
    assert "".join(judge("pdftotext", "-raw", tmp_path / "t.pdf", "-").split()) == (
        "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    )
