"""Letters that a font draws in colours of its own, as layers (OpenType 1.9, COLR version 0 and
CPAL): plates by Ghostscript's separations against the squares that the layers are, the ink in its
box by PDFium."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from fontTools.colorLib.builder import buildCOLR, buildCPAL
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from shapely.geometry import box as rectangle
from stylejob import PX, area, box, built, called, made, seen, separations, slots

EM = 20 * 25.4 / 72  # mm: 1 em at 20 pt
EDGE = 4 * EM / PX  # mm2: Ghostscript paints every dot that an edge touches
FIELD = 'font = "Bright.ttf"\nsize = "20pt"\ncolour = [0, 0, 0, 100]\ntext = '
RED, CLEAR, WHITE = (1.0, 0.0, 0.0, 1.0), (0.0, 1.0, 0.0, 0.5), (1.0, 1.0, 1.0, 1.0)
FOREGROUND = 0xFFFF

# Squares in 1/1000 em. B's outline of its own is a dot: it is not what is drawn.
SQUARES = {
    "a": (100, 0, 500, 400), "B": (0, 0, 50, 50), "C": (0, 0, 50, 50), "W": (0, 0, 50, 50),
    "wide": (0, -200, 900, 700), "low": (600, -200, 900, 100), "core": (200, 100, 400, 300),
}  # fmt: skip


def square(edges: tuple[int, int, int, int]) -> object:
    x0, y0, x1, y1 = edges
    pen = TTGlyphPen(None)
    pen.moveTo((x0, y0))
    for point in ((x0, y1), (x1, y1), (x1, y0)):
        pen.lineTo(point)
    pen.closePath()
    return pen.glyph()


@pytest.fixture
def bright(tmp_path: Path) -> Path:
    """B is red with a foreground square at its corner, W red with a white heart, C see-through."""
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder([".notdef", *SQUARES])
    builder.setupCharacterMap({ord(name): name for name in "aBCW"})
    drawn = {name: square(edges) for name, edges in SQUARES.items()}
    builder.setupGlyf({".notdef": TTGlyphPen(None).glyph(), **drawn})
    metrics = {name: (1000, edges[0]) for name, edges in SQUARES.items()}
    builder.setupHorizontalMetrics({".notdef": (1000, 0), **metrics})
    builder.setupHorizontalHeader(ascent=1000, descent=-200)
    builder.setupNameTable({"familyName": "Bright", "psName": "Bright"})
    builder.setupOS2()
    builder.setupPost()
    builder.setupCPAL([[RED, CLEAR, WHITE]])
    builder.setupCOLR(
        {
            "B": [("wide", 0), ("low", FOREGROUND)],
            "C": [("wide", 1)],
            "W": [("wide", 0), ("core", 2)],
        },
        version=0,
    )
    builder.save(tmp_path / "Bright.ttf")
    return tmp_path


def em2(name: str) -> float:
    x0, y0, x1, y1 = SQUARES[name]
    return (x1 - x0) * (y1 - y0) * EM * EM / 1e6


def test_each_layer_is_painted_in_its_own_ink(bright: Path) -> None:
    plates = separations(built(bright, FIELD + '"B"'))
    # #ff0000 is magenta and yellow in full; the text's own colour is black alone.
    for name in ("Magenta", "Yellow"):
        assert area(plates[name]) == pytest.approx(em2("wide") - em2("low"), abs=EDGE)
    assert area(plates["Black"]) == pytest.approx(em2("low"), abs=EDGE)
    assert not plates["Cyan"].any()
    assert area(plates["Black"] & plates["Magenta"]) < EDGE  # knocked out, but for edge dots
    x0, y0, x1, y1 = box(plates["Magenta"])
    assert (x1 - x0, y1 - y0) == pytest.approx((0.9 * EM, 0.9 * EM), abs=2.1 / PX)
    bx0, by0, bx1, _ = box(plates["Black"])
    assert (bx0 - x0, by0 - y0, bx1 - x1) == pytest.approx((0.6 * EM, 0, 0), abs=2.1 / PX)


def test_white_lies_under_all_layers_as_one(bright: Path) -> None:
    plates = separations(built(bright, FIELD + '"W"'))
    side = 0.9 * EM - 0.2  # choked by 0.1 mm along the outer edge alone
    assert area(plates["White"]) == pytest.approx(side**2, abs=EDGE)
    # A white layer takes the red out, and the white below it is seen.
    assert area(plates["Magenta"]) == pytest.approx(em2("wide") - em2("core"), abs=EDGE)


def test_white_is_one_with_that_of_art_below_and_beside(bright: Path) -> None:
    bar = (
        '[[fields]]\ntype = "shape"\nname = "bar"\nshape = "rectangle"\nbox = [5, 8, 25, 4]\n'
        "fill = [100, 0, 0, 0]\n"
    )
    plates = separations(built(bright, FIELD + '"B"', box="[20, 2, 20, 16]", art=bar))
    letter = rectangle(*box(plates["Magenta"]))
    both = rectangle(5, 8, 30, 12).union(letter)
    white = both.buffer(-0.1, join_style="mitre")
    assert area(plates["White"]) == pytest.approx(white.area, abs=both.length / PX)
    assert letter.bounds[0] < 30 < letter.bounds[2]
    assert not (plates["Cyan"] & plates["Magenta"]).sum() > 4 * EM * PX  # the letter knocks out


def test_gloss_lies_over_all_layers_as_one(bright: Path) -> None:
    plates = separations(built(bright, FIELD + '"B"\ngloss = true'))
    assert area(plates["Gloss"]) == pytest.approx(em2("wide"), abs=EDGE)


@pytest.mark.parametrize(
    ("more", "text"), [("", "aBa"), ("rotation = 90\n", "B"), ("mirror = true\n", "aB")],
)
def test_letters_beside_them_keep_their_own_ink(bright: Path, more: str, text: str) -> None:
    place = "[22, 2, 16, 16]" if text == "B" else "[2, 2, 56, 16]"
    plates = separations(built(bright, f'{more}{FIELD}"{text}"', box=place))
    plain = text.count("a") * em2("a")
    assert area(plates["Black"]) == pytest.approx(em2("low") + plain, abs=3 * EDGE)
    assert area(plates["Magenta"]) == pytest.approx(em2("wide") - em2("low"), abs=EDGE)
    x0, y0, x1, y1 = box(plates["Black"] | plates["Magenta"])
    # From the left edge of the first square to the right one of the last.
    wide = {"aBa": 2 + 0.5 - 0.1, "aB": 1 + 0.9 - 0.1, "B": 0.9}[text] * EM
    assert x1 - x0 == pytest.approx(wide, abs=2.1 / PX)
    assert y1 - y0 == pytest.approx(0.9 * EM, abs=2.1 / PX)


def test_the_ink_of_the_layers_keeps_to_the_box(bright: Path) -> None:
    field = FIELD.replace("20pt", "60pt") + '"aB"\nmin_size = "4pt"\nvalign = "bottom"'
    run = built(bright, field, box="[10, 4, 20, 12]")
    pixels = seen(run, dpi=600)
    rows, columns = np.nonzero((pixels < 200).any(axis=2))
    x0, x1 = columns.min() / PX, (columns.max() + 1) / PX
    y0, y1 = 20 - (rows.max() + 1) / PX, 20 - rows.min() / PX
    dots = 1.5 / PX
    assert x0 >= 10 - dots
    assert y0 >= 4 - dots
    assert x1 <= 30 + dots
    assert y1 <= 16 + dots
    assert max((x1 - x0) / 20, (y1 - y0) / 12) > 0.98  # as large as the box allows


def test_a_table_of_colours_gives_the_foreground_its_colour(bright: Path) -> None:
    field = FIELD + '"B"\ncolour_by = "{{ first }}"\ncolours.Ottilie = [100, 0, 0, 0]'
    plates = separations(built(bright, field))
    assert area(plates["Cyan"]) == pytest.approx(em2("low"), abs=EDGE)
    assert not plates["Black"].any()


def test_a_picture_for_eyes_shows_the_layers(bright: Path) -> None:
    from PIL import Image

    job = made(bright, FIELD + '"W"')
    out = bright / "bed.png"
    done = called(job, "preview", "--out", str(out))
    assert done.returncode == 0, done.stderr
    with Image.open(out) as image:
        pixels = np.asarray(image.convert("RGB")).astype(int)
    red = (pixels[..., 0] > 150) & (pixels[..., 1] < 110) & (pixels[..., 2] < 110)
    assert red.any()
    rows, columns = np.nonzero(red)
    x, y = columns.min(), rows.max()
    side = columns.max() + 1 - x
    # The white heart is from 2/9 to 4/9 across, from 3/9 to 5/9 up.
    middle = pixels[int(y - side * 4 / 9), int(x + side * 3 / 9)]
    assert (middle > 200).all()


# ---------------------------------------------------------------- held

LINE = (
    "is drawn in colours of its own, asked: Bright, NotoSans-Regular and 6 more; put a font that "
    "draws it in outlines alone first, or take it out of the text"
)
B, C = "'B' (U+0042 LATIN CAPITAL LETTER B)", "'C' (U+0043 LATIN CAPITAL LETTER C)"


def check(folder: Path, field: str) -> str:
    done = called(made(folder, field), "check")
    return done.stdout + done.stderr


def test_see_through_colours_are_held(bright: Path) -> None:
    assert f"{C} {LINE}" in " ".join(check(bright, FIELD + '"C"').split())


def test_layers_of_version_1_are_held(bright: Path) -> None:
    from fontTools.ttLib.tables import otTables

    font = TTFont(bright / "Bright.ttf")
    paint = {"Format": otTables.PaintFormat.PaintSolid, "PaletteIndex": 0, "Alpha": 1.0}
    glyph = {"Format": otTables.PaintFormat.PaintGlyph, "Glyph": "wide", "Paint": paint}
    font["COLR"] = buildCOLR({"B": glyph}, version=1)
    font["CPAL"] = buildCPAL([[RED]])
    font.save(bright / "Bright.ttf")
    assert f"{B} {LINE}" in " ".join(check(bright, FIELD + '"B"').split())


@pytest.mark.parametrize(
    "more",
    [
        'outline = { width = 0.6, colour = "black" }',
        "arc = { radius = 20 }",
        'direction = "down"',
        "styles.loud.scale = 120",
    ],
)
def test_what_is_not_a_plain_straight_text_holds_them(bright: Path, more: str) -> None:
    field = FIELD + f'"{"[loud]B[/]" if "loud" in more else "B"}"\n{more}'
    line = LINE.replace("6 more", "14 more") if "loud" in more else LINE  # each font has two sizes
    assert f"{B} {line}" in " ".join(check(bright, field).split())


@pytest.mark.parametrize("colour", ['"White"', '"white"', '"Gloss"', '"#FFFFFF"', "[0, 0, 0, 0]"])
def test_a_text_in_white_or_gloss_holds_them(bright: Path, colour: str) -> None:
    field = FIELD.replace("[0, 0, 0, 100]", colour)
    assert f"{B} {LINE}" in " ".join(check(bright, field + '"B"').split())


def test_layers_with_more_ink_than_the_machine_takes_are_held(bright: Path) -> None:
    job = made(bright, FIELD + '"aB"')
    bed = bright / "bed.toml"
    bed.write_text(bed.read_text("utf-8") + "modes.fine.ink_limit = 150\n", "utf-8")
    done = called(job, "build", "-q", "--out", str(bright / "run"))
    assert done.returncode == 3
    assert (
        '"a letter in colours of its own has 200 % of ink, and the print mode takes at most 150 %",'
        '"take it out of the text, or choose a font that draws it in lighter colours"'
    ) in (bright / "run" / "held.csv").read_text("utf-8")


def test_a_held_record_takes_no_slot(bright: Path) -> None:
    rows = "first,last\nB,x\nC,y\na,z\n"
    run = built(bright, FIELD + '"{{ first }}"', code=3, rows=rows)
    kept = [slot for slot in slots(run) if slot.get("slot")]
    assert len(kept) == 2
