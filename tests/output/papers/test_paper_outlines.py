"""Texts of the papers in fonts that reportlab cannot take: CFF outlines, members of collections.

Judged by poppler (text and list of fonts), by qpdf, and by where pdfium and MuPDF put the ink.
"""

from __future__ import annotations

import subprocess
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.misc.psCharStrings import T2CharString
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.ttLib import TTCollection, TTFont
from paperkit import EIGHT, FONTS, check_pdf, layout_text, make_bed, words

from vardata.output.picklist_pages import build_part
from vardata.output.picklist_values import PaperFont, PaperFonts, RunPaper

NAME = "\u5c71\u7530 \u82b1\u5b50"  # Yamada Hanako
SCALE = 8  # pixels a point


def block(width: int, height: int) -> T2CharString:
    pen = T2CharStringPen(1000, None)
    pen.moveTo((100, 0))
    for point in ((width - 100, 0), (width - 100, height), (100, height)):
        pen.lineTo(point)
    pen.closePath()
    return pen.getCharString()


def blocks(path: Path, family: str, height: int) -> TTFont:
    """A font with CFF outlines: each sign of the name is a block 800 wide and so high."""
    signs = [char for char in NAME if char != " "]
    glyphs = [".notdef", *(f"uni{ord(char):04X}" for char in signs)]
    builder = FontBuilder(1000, isTTF=False)
    builder.setupGlyphOrder(glyphs)
    builder.setupCharacterMap({ord(char): f"uni{ord(char):04X}" for char in signs})
    builder.setupCFF(family, {"FullName": family}, {name: block(1000, height) for name in glyphs},
                     {})  # fmt: skip
    builder.setupHorizontalMetrics(dict.fromkeys(glyphs, (1000, 100)))
    builder.setupHorizontalHeader(ascent=880, descent=-120)
    builder.setupNameTable({"familyName": family, "styleName": "Regular", "psName": family})
    builder.setupOS2()
    builder.setupPost()
    builder.save(path)
    return TTFont(path)


def sheet(run: RunPaper, folder: Path, *names: str) -> Path:
    path = folder / "sheet.pdf"
    path.write_bytes(build_part([make_bed(run, len(names), names=names)], run))
    check_pdf(path)
    return path


def with_fallback(*fonts: PaperFont) -> RunPaper:
    return EIGHT._replace(fonts=PaperFonts(FONTS.regular, FONTS.bold, fonts))


def test_signs_of_a_font_with_cff_outlines_are_shown(tmp_path: Path) -> None:
    blocks(tmp_path / "Blocks.otf", "Blocks", 700)
    path = sheet(with_fallback(PaperFont(tmp_path / "Blocks.otf")), tmp_path, NAME, "Ada " + NAME)
    said = layout_text(path)[0]
    assert NAME in said and f"Ada {NAME}" in said and "[U+" not in said
    listed = subprocess.run(["pdffonts", str(path)], capture_output=True, text=True, check=True)
    (own,) = [line for line in listed.stdout.splitlines() if "+Blocks" in line]
    # name, type "CID Type 0C", encoding, embedded, subset, with a way to Unicode
    assert "CID Type 0C" in own and own.split()[-5:-2] == ["yes", "yes", "yes"]


@pytest.mark.parametrize("renderer", ["pdfium", "mutool"])
def test_each_sign_stands_where_its_width_puts_it(tmp_path: Path, renderer: str) -> None:
    blocks(tmp_path / "Blocks.otf", "Blocks", 700)
    path = sheet(with_fallback(PaperFont(tmp_path / "Blocks.otf")), tmp_path, NAME)
    word = next(word for word in words(path)[0] if word.text == NAME.split()[0])
    if renderer == "pdfium":
        image = pypdfium2.PdfDocument(path)[0].render(scale=SCALE).to_numpy()[..., 0]
    else:
        out = tmp_path / "page.pgm"
        subprocess.run(["mutool", "draw", "-q", "-r", str(72 * SCALE), "-c", "gray", "-o",
                        str(out), str(path), "1"], check=True)  # fmt: skip
        from PIL import Image

        image = np.asarray(Image.open(out))
    top, bottom = int(word.y0 * SCALE) - 8, int(word.y1 * SCALE) + 8
    left, right = int(word.x0 * SCALE), int(word.x1 * SCALE)
    dark = (image[top:bottom, left:right] < 128).sum(axis=0) > 20
    edges = np.flatnonzero(np.diff(np.concatenate(([0], dark.astype(int), [0]))))
    size = (word.x1 - word.x0) / 2  # two signs, each an em wide
    # The first block from 0.1 to 0.9 em, the second an em further.
    wanted = [size * at * SCALE for at in (0.1, 0.9, 1.1, 1.9)]
    assert edges == pytest.approx(wanted, abs=2)


def test_a_member_of_a_collection_is_the_one_that_is_meant(tmp_path: Path) -> None:
    fonts = TTCollection()
    fonts.fonts = [blocks(tmp_path / f"{name}.otf", name, high) for name, high in
                   (("Low", 300), ("High", 800))]  # fmt: skip
    fonts.save(tmp_path / "Two.ttc")
    shown = {}
    for member, name in enumerate(("Low", "High")):
        folder = tmp_path / name
        folder.mkdir()
        path = sheet(with_fallback(PaperFont(tmp_path / "Two.ttc", member)), folder, NAME)
        listed = subprocess.run(["pdffonts", str(path)], capture_output=True, text=True, check=True)
        assert f"+{name}" in listed.stdout
        image = pypdfium2.PdfDocument(path)[0].render(scale=SCALE).to_numpy()[..., 0]
        word = next(word for word in words(path)[0] if word.text == NAME.split()[0])
        area = image[:, int(word.x0 * SCALE) : int(word.x1 * SCALE)]
        rows = slice(int(word.y0 * SCALE) - 8, int(word.y1 * SCALE) + 8)
        shown[name] = int((area[rows] < 128).sum())
    assert shown["High"] / shown["Low"] == pytest.approx(800 / 300, rel=0.05)


def test_the_same_sheet_has_the_same_bytes(tmp_path: Path) -> None:
    blocks(tmp_path / "Blocks.otf", "Blocks", 700)
    run = with_fallback(PaperFont(tmp_path / "Blocks.otf"))
    bed = [make_bed(run, 2, names=(NAME, "Ada"))]
    assert build_part(bed, run) == build_part(bed, run)
