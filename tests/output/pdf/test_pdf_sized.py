"""Fonts set larger or smaller than their files say: four renderers show the size meant."""

from __future__ import annotations

import numpy as np
import pypdfium2
import pytest
from bedkit import FONTS, ink_box, judge, make_bed, make_layout, page, separations, write
from PIL import Image as Pillow

from vardata.fit.fontbook import FontBook
from vardata.marks import BLACK, GlyphRun
from vardata.output.pdf.embedding import subset, widths

DPI = 300


@pytest.fixture
def book():
    names = ("NotoSans-Regular", "NotoSerif-Regular")
    return FontBook({name: FONTS / f"{name}.ttf" for name in names})


def test_renderers_agree_on_the_size(book, tmp_path, monkeypatch):
    # Noto Sans and Noto Serif are alike in height: the difference is made here.
    monkeypatch.setattr("vardata.fit.fontbook.units_beside", lambda own, first, other: own * 4 // 3)
    serif = book.sized_chain(["NotoSans-Regular", "NotoSerif-Regular"], "cap-height")[1]
    glyph = serif.font.get_nominal_glyph(ord("H"))
    mark = GlyphRun(0, BLACK, serif.index, 40.0, 10.0, 10.0, 0.0, 1.0,
                    glyph.to_bytes(2, "big") * 2, ())  # fmt: skip
    path = tmp_path / "bed.pdf"
    write(path, page(mark), book=book, bed=make_bed(), layout=make_layout())
    x0, y0, x1, y1 = serif.extents(glyph)
    mm = 40 * 25.4 / 72 / 1000
    # Three quarters of 714: the cap height of the file's own OS/2 table.
    assert y1 == pytest.approx(714 * 3 / 4, abs=0.2)
    want = (10 + x0 * mm, 10 + y0 * mm, 10 + (serif.advance(glyph) + x1) * mm, 10 + y1 * mm)

    plates = separations(path, str(DPI))
    assert ink_box(plates["Black"] > 127, DPI) == pytest.approx(want, abs=0.1)

    image = pypdfium2.PdfDocument(path)[0].render(scale=DPI / 72).to_pil().convert("L")
    assert ink_box(np.asarray(image) < 128, DPI) == pytest.approx(want, abs=0.1)

    judge("pdftoppm", "-r", str(DPI), "-gray", "-singlefile", path, tmp_path / "poppler")
    with Pillow.open(tmp_path / "poppler.pgm") as picture:
        assert ink_box(np.asarray(picture) < 128, DPI) == pytest.approx(want, abs=0.1)

    judge("mutool", "draw", "-q", "-r", str(DPI), "-o", tmp_path / "mu.pgm", path)
    with Pillow.open(tmp_path / "mu.pgm") as picture:
        assert ink_box(np.asarray(picture) < 128, DPI) == pytest.approx(want, abs=0.1)


def test_widths_and_units_say_the_same(book):
    _, serif = book.sized_chain(["NotoSans-Regular", "NotoSerif-Regular"], "none")
    glyph = serif.font.get_nominal_glyph(ord("H"))
    assert widths(serif, (glyph,)) == b"%d[%g]" % (glyph, serif.advance(glyph))
    assert len(subset(serif, (glyph,))) > 500
