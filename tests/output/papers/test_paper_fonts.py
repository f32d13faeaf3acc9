"""Characters that the papers' fonts lack, and scripts that have to be shaped."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from paperkit import EIGHT, FONTS, SIXTY_FOUR, check_pdf, layout_text, make_bed, words

from vardata.output.picklist_pages import build_part
from vardata.output.picklist_values import PaperFont, PaperFonts, RunPaper
from vardata.problems import OutputError

ALEF, BET, GIMEL = "\u05d0\u05d1\u05d2"  # Hebrew, right to left
BEH = "\u0628"  # Arabic, joins
CJK = "\u65e5"
FACE = "\U0001f600"


def box(left: int, bottom: int, right: int, top: int) -> object:
    pen = TTGlyphPen(None)
    pen.moveTo((left, bottom))
    for point in ((left, top), (right, top), (right, bottom)):
        pen.lineTo(point)
    pen.closePath()
    return pen.glyph()


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> RunPaper:
    """A run whose fallback has boxes for letters: their width tells which one is where."""
    glyphs = {
        ".notdef": (500, box(50, 0, 450, 700)),
        "space": (300, TTGlyphPen(None).glyph()),
        "alef": (300, box(0, 0, 300, 700)),  # wide bar, tall
        "bet": (600, box(0, 0, 600, 350)),  # half as tall
        "gimel": (900, box(0, 0, 900, 100)),  # a line
        "beh": (500, box(0, 0, 500, 700)),
        "beh.init": (500, box(0, 0, 500, 200)),
        "beh.fina": (500, box(0, 500, 500, 700)),
        "cjk": (1000, box(0, 0, 1000, 800)),
        "face": (1000, box(0, -200, 1000, 600)),
    }
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(list(glyphs))
    codes = {
        " ": "space",
        ALEF: "alef",
        BET: "bet",
        GIMEL: "gimel",
        BEH: "beh",
        CJK: "cjk",
        FACE: "face",
    }
    builder.setupCharacterMap({ord(char): name for char, name in codes.items()})
    builder.setupGlyf({name: glyph for name, (_, glyph) in glyphs.items()})
    builder.setupHorizontalMetrics({name: (width, 0) for name, (width, _) in glyphs.items()})
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable(
        {"familyName": "Boxes", "styleName": "Regular", "psName": "Boxes-Regular"}
    )
    builder.setupOS2()
    builder.setupPost()
    addOpenTypeFeaturesFromString(
        builder.font,
        "languagesystem DFLT dflt; languagesystem arab dflt;"
        "feature init { sub beh by beh.init; } init; feature fina { sub beh by beh.fina; } fina;",
    )
    path = tmp_path_factory.mktemp("fonts") / "Boxes.ttf"
    builder.save(path)
    return EIGHT._replace(fonts=PaperFonts(FONTS.regular, FONTS.bold, (PaperFont(path),)))


def sheet(run: RunPaper, folder: Path, *names: str) -> Path:
    path = folder / "sheet.pdf"
    path.write_bytes(build_part([make_bed(run, len(names), names=names)], run))
    check_pdf(path)
    return path


def ink(path: Path, record: str) -> np.ndarray:
    """How tall the ink stands in each pixel column of a row's text, 8 pixels a point."""
    page = words(path)[0]
    row = next(word for word in page if word.text == record)
    left = next(word for word in page if word.text == "name").x0
    pixels = np.asarray(pypdfium2.PdfDocument(path)[0].render(scale=8).to_pil().convert("L"))
    middle = (row.y0 + row.y1) / 2
    cut = pixels[
        int((middle - 10) * 8) : int((middle + 9) * 8), int((left - 2) * 8) : int(row.x0 * 8) - 8
    ]
    return (cut < 90).sum(axis=0)


def heights(columns: np.ndarray) -> list[tuple[int, int]]:
    """Runs of equal ink as (rounded height in tenths of the 13 pt size, width in the same)."""
    size = 13 * 8
    runs: list[list[float]] = []
    for height in columns:
        step = round(10 * height / size)
        if runs and runs[-1][0] == step:
            runs[-1][1] += 1
        else:
            runs.append([step, 1])
    return [(int(step), round(10 * wide / size)) for step, wide in runs if wide > 6 and step]


def test_what_no_font_has_is_written_out(tmp_path: Path) -> None:
    path = sheet(
        EIGHT,
        tmp_path,
        f"a{FACE}b{CJK}",
        "tab\there\0",
        "zero\u200bwidth \u00ad",
        "\ue000\U000f0000",
    )
    text = " ".join(layout_text(path)[0].split())
    assert "a[U+1F600]b[U+65E5]" in text
    assert "tab[U+0009]here[U+0000]" in text
    assert "zerowidth" in text  # what is never seen is not written out
    assert "[U+E000][U+F0000]" in text


def test_many_scripts_of_the_first_font(tmp_path: Path) -> None:
    names = ("Zoë Łukasz", "Αλέξανδρος", "Екатерина", "Nguyễn Thị Đào", "Þórður Ærið", "ŐŰşğİı")
    text = layout_text(sheet(EIGHT, tmp_path, *names))[0]
    assert all(name in text for name in names)


def test_more_letters_than_one_subset_takes(tmp_path: Path) -> None:
    # A simple font has 256 codes; these are 600 letters, all in Noto Sans.
    letters = [chr(c) for c in (*range(0x100, 0x240), *range(0x400, 0x500), *range(0x391, 0x3A2))]
    chunks = ["".join(letters[i : i + 30]) for i in range(0, len(letters), 30)]
    told = " ".join(layout_text(sheet(SIXTY_FOUR, tmp_path, *chunks)))
    assert all(chunk in told for chunk in chunks)


def test_a_fallback_shows_what_the_first_font_lacks(run: RunPaper, tmp_path: Path) -> None:
    path = sheet(run, tmp_path, CJK, FACE)
    assert CJK in layout_text(path)[0] and FACE in layout_text(path)[0]
    assert heights(ink(path, "Orders!2#1")) == [(8, 10)]


def test_right_to_left_letters_stand_from_the_right(run: RunPaper, tmp_path: Path) -> None:
    path = sheet(run, tmp_path, ALEF + BET + GIMEL)
    columns = ink(path, "Orders!2#1")
    assert heights(columns) == [(1, 9), (4, 6), (7, 3)]
    places = np.flatnonzero(columns)
    # 300 + 600 + 900 of 1000 units, at 13 pt and 8 pixels a point, without a gap
    assert abs(places[-1] - places[0] - 1.8 * 13 * 8) < 4
    page = pypdfium2.PdfDocument(path)[0].get_textpage().get_text_range()
    assert ALEF + BET + GIMEL in page  # as it was written, for whoever searches or copies


def test_words_of_one_direction_stay_together(run: RunPaper, tmp_path: Path) -> None:
    path = sheet(run, tmp_path, f"{ALEF} {BET}")
    assert heights(ink(path, "Orders!2#1")) == [(4, 6), (7, 3)]


def test_joined_letters_take_their_joined_shapes(run: RunPaper, tmp_path: Path) -> None:
    path = sheet(run, tmp_path, BEH * 2)
    # Both bars are 200 high: the final one on the left, raised; the initial one on the right.
    assert heights(ink(path, "Orders!2#1")) in ([(2, 10)], [(2, 5), (2, 5)])
    assert heights(ink(sheet(run, tmp_path, BEH), "Orders!2#1")) == [(7, 5)]


def test_what_was_shaped_before_does_not_show_in_the_bytes(run: RunPaper) -> None:
    bed = make_bed(run, 2, names=(BET + ALEF, "\ue002"))
    once = build_part([bed], run)
    build_part([make_bed(run, 1, names=(GIMEL + BEH * 3 + CJK,))], run)
    assert build_part([bed], run) == once


def test_a_first_font_without_ascii_is_refused(run: RunPaper) -> None:
    boxes = run.fonts.fallbacks[0].path
    with pytest.raises(OutputError) as caught:
        build_part([make_bed(EIGHT, 1)], EIGHT._replace(fonts=PaperFonts(boxes, FONTS.bold)))
    assert "it lacks '!'" in str(caught.value)
