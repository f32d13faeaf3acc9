"""Outlines, contours and shadows of texts: areas by Steiner's formula for a square (a convex shape
of area A and perimeter P spread by r has A + P r + pi r^2), plates by Ghostscript's separations,
the ink in its box by PDFium."""

from __future__ import annotations

import math
import random
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
from faker import Faker
from shapely import affinity, contains_xy
from shapely.geometry import Polygon
from shapely.geometry import box as rectangle
from squarefont import square_font
from stylejob import PX, area, box, built, called, made, seen, separations, slots

from vardata.dress.decoration import spread
from vardata.job.textstyle import Outline

SIZE = 20 * 25.4 / 72  # mm: a square of 1 em at 20 pt
SQUARE = 'text = "a"\nfont = "Squares.ttf"\nsize = "20pt"\ncolour = "black"\n'
EDGE = 4 * SIZE / PX  # mm2: Ghostscript paints every dot that an edge touches


@pytest.fixture
def squares(tmp_path: Path) -> Path:
    """A folder with a font whose letter a is a square of 1 em."""
    square_font(tmp_path)
    return tmp_path


def steiner(side: float, by: float) -> float:
    return side * side + 4 * side * by + math.pi * by * by


# ---------------------------------------------------------------- geometry


@pytest.mark.parametrize(
    ("join", "corners"), [("round", math.pi), ("mitre", 4.0), ("bevel", 2.0)]
)
def test_a_square_is_spread_as_the_formula_says(join: Any, corners: float) -> None:
    by = 0.7
    joined = Outline(width=1, colour="black", join=join)
    grown = spread(rectangle(0, 0, 10, 10), by, joined)
    assert grown.area == pytest.approx(100 + 40 * by + corners * by * by, abs=0.01)
    drawn_in = spread(rectangle(0, 0, 10, 10), -by, joined)
    assert drawn_in.area == pytest.approx((10 - 2 * by) ** 2, abs=1e-9)


@pytest.mark.parametrize("limit", [1.0, 2.0, 3.5])
def test_no_tip_sticks_out_farther_than_the_mitre_limit(limit: float) -> None:
    joined = Outline(width=1, colour="black", join="mitre", mitre_limit=limit)
    chance = random.Random(4)
    for _ in range(300):
        wide = chance.uniform(0.5, 12)
        spike = affinity.rotate(Polygon([(0, 0), (wide, 0), (wide / 2, 10)]),
                                chance.uniform(0, 360))  # fmt: skip
        grown = spread(spike, 0.5, joined)
        # Cut across there, a tip is as wide as both edges beside it.
        assert spike.hausdorff_distance(grown) <= 0.5 * math.hypot(limit, 1) + 1e-6


# ---------------------------------------------------------------- plates


@pytest.mark.parametrize(
    ("place", "black", "yellow", "outer"),
    [
        ("outside", SIZE**2, steiner(SIZE, 0.6) - SIZE**2, 0.6),
        ("centred", (SIZE - 0.6) ** 2, steiner(SIZE, 0.3) - (SIZE - 0.6) ** 2, 0.3),
        ("inside", (SIZE - 1.2) ** 2, SIZE**2 - (SIZE - 1.2) ** 2, 0.0),
    ],
)
def test_an_outline_lies_outside_centred_or_inside(
    squares: Path, place: str, black: float, yellow: float, outer: float
) -> None:
    outline = f'outline = {{ width = 0.6, colour = [0, 0, 100, 0], place = "{place}" }}'
    plates = separations(built(squares, SQUARE + outline))
    assert area(plates["Black"]) == pytest.approx(black, abs=EDGE)
    assert area(plates["Yellow"]) == pytest.approx(yellow, abs=2 * EDGE)
    # White lies under both as one: choked by 0.1 mm along the outer edge alone.
    grown = outer - 0.1
    white = steiner(SIZE, grown) if grown > 0 else (SIZE + 2 * grown) ** 2
    assert area(plates["White"]) == pytest.approx(white, abs=EDGE)
    x0, y0, x1, y1 = box(plates["Yellow"])
    assert (x1 - x0, y1 - y0) == pytest.approx([SIZE + 2 * outer] * 2, abs=2.1 / PX)


def test_a_contour_on_the_white_plate_lies_under_the_letters(squares: Path) -> None:
    plates = separations(built(squares, SQUARE + 'contour = { spread = 1, colour = "White" }'))
    assert area(plates["White"]) == pytest.approx(steiner(SIZE, 1), abs=EDGE)
    assert area(plates["Black"]) == pytest.approx(SIZE**2, abs=EDGE)
    assert (plates["White"] | ~plates["Black"]).all()


def test_a_coloured_contour_is_a_ground_with_white_under_all_of_it(squares: Path) -> None:
    field = SQUARE + 'contour = { spread = 1, colour = [0, 0, 100, 0], join = "mitre" }'
    plates = separations(built(squares, field))
    assert area(plates["Yellow"]) == pytest.approx((SIZE + 2) ** 2 - SIZE**2, abs=2 * EDGE)
    assert area(plates["White"]) == pytest.approx((SIZE + 1.8) ** 2, abs=EDGE)


def test_white_letters_take_their_coloured_ground_out(squares: Path) -> None:
    field = SQUARE.replace('"black"', '"White"')
    field += 'contour = { spread = 1, colour = [0, 0, 100, 0], join = "mitre" }'
    plates = separations(built(squares, field))
    assert area(plates["Yellow"]) == pytest.approx((SIZE + 2) ** 2 - SIZE**2, abs=2 * EDGE)
    # White ink under the letters is never choked; that under the ground is, along its outer edge.
    assert area(plates["White"]) == pytest.approx((SIZE + 1.8) ** 2, abs=EDGE)


def test_a_white_outline_inside_coloured_letters_reaches_their_edge(squares: Path) -> None:
    field = SQUARE + 'outline = { width = 0.6, colour = "White", place = "inside" }'
    plates = separations(built(squares, field))
    assert area(plates["White"]) == pytest.approx(SIZE**2, abs=EDGE)  # white ink is not choked
    assert area(plates["Black"]) == pytest.approx((SIZE - 1.2) ** 2, abs=EDGE)


def test_a_shadow_is_what_shows_beside_the_letters(squares: Path) -> None:
    field = SQUARE + "shadow = { dx = 1, dy = -0.5, colour = [0, 0, 100, 0] }"
    plates = separations(built(squares, field))
    seen = SIZE**2 - (SIZE - 1) * (SIZE - 0.5)
    assert area(plates["Yellow"]) == pytest.approx(seen, abs=2 * EDGE)
    (bx0, by0, bx1, by1), (yx0, yy0, yx1, yy1) = box(plates["Black"]), box(plates["Yellow"])
    assert (yx1 - bx1, by0 - yy0) == pytest.approx((1, 0.5), abs=1.5 / PX)
    assert yx0 >= bx0 and yy1 <= by1
    # The white of both together, choked: each side of both squares by 0.1 mm, overlap once.
    inner = SIZE - 0.2
    assert area(plates["White"]) == pytest.approx(
        2 * inner**2 - (inner - 1) * (inner - 0.5), abs=2 * EDGE
    )


def test_a_shadow_turns_with_its_text(squares: Path) -> None:
    field = SQUARE + "rotation = 90\nshadow = { dx = 1, dy = 0, colour = [0, 0, 100, 0] }"
    plates = separations(built(squares, field, box="[22, 2, 16, 16]"))
    (_, _, _, top), (_, _, _, shadow) = box(plates["Black"]), box(plates["Yellow"])
    assert shadow - top == pytest.approx(1, abs=1.5 / PX)


def test_a_shadow_is_mirrored_with_its_text(squares: Path) -> None:
    field = SQUARE + "mirror = true\nshadow = { dx = 1, dy = 0, colour = [0, 0, 100, 0] }"
    plates = separations(built(squares, field))
    black, yellow = box(plates["Black"]), box(plates["Yellow"])
    assert black[0] - yellow[0] == pytest.approx(1, abs=1.5 / PX)
    assert yellow[2] <= black[2]


@pytest.mark.parametrize(
    "decoration",
    [
        'outline = { width = 0.6, colour = [0, 0, 100, 0] }',
        'contour = { spread = 0.6, colour = "White" }',
        'colour = "White"\ncontour = { spread = 0.6, colour = [0, 0, 100, 0] }',
    ],
)
def test_white_is_one_with_that_of_art_beside_it(squares: Path, decoration: str) -> None:
    text = SQUARE.replace('colour = "black"\n', "") if "colour = " in decoration[:9] else SQUARE
    shape = (
        '[[fields]]\ntype = "shape"\nname = "bar"\nshape = "rectangle"\nbox = [5, 5, 25, 10]\n'
        "fill = [100, 0, 0, 0]\n"
    )
    run = built(squares, text + decoration, box="[20, 2, 20, 16]", art=shape)
    plates = separations(run)
    half = SIZE / 2
    square = rectangle(30 - half, 10 - half, 30 + half, 10 + half)
    bar, grown = rectangle(5, 5, 30, 15), square.buffer(0.6, quad_segs=64)
    white_ink = grown if "White\" }" in decoration else square if "White" in decoration else None
    every = bar.union(grown)
    wanted = every.buffer(-0.1, quad_segs=64)
    if white_ink is not None:
        wanted = wanted.union(white_ink)
    assert area(plates["White"]) == pytest.approx(wanted.area, abs=wanted.length / PX)
    # ... and nothing in a dot or two of where it ought to be is missing or too much.
    drawn = plates["White"]
    rows, columns = np.mgrid[0 : drawn.shape[0], 0 : drawn.shape[1]]
    xs, ys = (columns + 0.5) / PX, 20 - (rows + 0.5) / PX
    inner, outer = wanted.buffer(-2 / PX), wanted.buffer(2 / PX)
    assert drawn[contains_xy(inner, xs, ys)].all()
    assert not drawn[~contains_xy(outer, xs, ys)].any()


def test_gloss_lies_over_all_that_is_drawn(squares: Path) -> None:
    field = SQUARE + 'gloss = true\ncontour = { spread = 1, colour = [0, 0, 100, 0] }'
    plates = separations(built(squares, field))
    assert area(plates["Gloss"]) == pytest.approx(steiner(SIZE, 1), abs=EDGE)


def test_an_outline_may_be_gloss_alone(squares: Path) -> None:
    field = SQUARE + 'outline = { width = 0.6, colour = "Gloss" }'
    plates = separations(built(squares, field))
    assert area(plates["Gloss"]) == pytest.approx(steiner(SIZE, 0.6), abs=EDGE)
    assert area(plates["White"]) == pytest.approx((SIZE - 0.2) ** 2, abs=EDGE)


ALL = (
    'text = "{{ first }} {{ last }}"\nfont = "DancingScript-Regular"\nsize = "30pt"\n'
    'colour = "#e0a526"\ngloss = true\noutline = { width = 0.2, colour = "#203080" }\n'
    'shadow = { dx = 0.5, dy = -0.5, colour = "#777777" }\n'
    'contour = { spread = 0.8, colour = "White" }\n'
)


def test_each_plate_is_the_same_without_the_others(tmp_path: Path) -> None:
    (tmp_path / "one").mkdir()
    (tmp_path / "two").mkdir()
    together = separations(built(tmp_path / "one", ALL))
    run = built(tmp_path / "two", ALL, job='[output]\npages = "apart"\n')
    file = next((run / "beds").iterdir())
    pages = slots(run)[0]["pages"]
    assert len(pypdfium2.PdfDocument(file)) == 3
    for plate in ("White", "Gloss"):
        alone = separations(run, page=pages[plate])[plate]
        assert np.array_equal(alone, together[plate])
    colour = separations(run, page=pages["Colour"])
    for name in ("Cyan", "Magenta", "Yellow", "Black"):
        assert np.array_equal(colour[name], together[name])


def test_the_text_of_the_bed_is_there_once(tmp_path: Path) -> None:
    run = built(tmp_path, ALL)
    pdf = pypdfium2.PdfDocument(next((run / "beds").iterdir()))
    assert pdf[0].get_textpage().get_text_range().split() == ["Ottilie", "Brandvold"]
    assert slots(run)[0]["texts"][0]["text"] == "Ottilie Brandvold"


def test_the_same_input_gives_the_same_bytes(tmp_path: Path) -> None:
    beds = []
    for name, workers in (("one", "1"), ("two", "2")):
        (tmp_path / name).mkdir()
        job = made(tmp_path / name, ALL, rows="first,last\n" + "Ada,Brandvold\nJory,Vold\n" * 4)
        run = tmp_path / name / "run"
        done = called(job, "build", "-q", "--workers", workers, "--at", "2026-03-01T10:00:00Z",
                      "--out", str(run))  # fmt: skip
        assert done.returncode == 0, done.stderr
        beds.append([path.read_bytes() for path in sorted((run / "beds").iterdir())])
    assert beds[0] == beds[1]


# ---------------------------------------------------------------- the box


DECORATIONS = (
    'outline = { width = 0.4, colour = "black" }',
    'outline = { width = 0.5, colour = "black", join = "mitre", mitre_limit = 3 }',
    'outline = { width = 0.6, colour = "black", place = "centred", join = "bevel" }',
    'shadow = { dx = -0.9, dy = 0.4, colour = "black" }\n'
    'contour = { spread = 0.3, colour = "black" }',
    'outline = { width = 0.3, colour = "black", join = "mitre" }\n'
    'shadow = { dx = 0.5, dy = -0.5, colour = "black" }\n'
    'contour = { spread = 0.8, colour = "black", join = "mitre" }',
)

FONTS = ("NotoSerif-Regular", "DancingScript-Regular", "NotoSans-Bold") * 2


@pytest.mark.parametrize(("decoration", "font"), list(zip(DECORATIONS, FONTS)))
def test_all_ink_lies_in_the_box_or_the_record_is_held(
    tmp_path: Path, decoration: str, font: str
) -> None:
    fake = Faker(["en_GB", "vi_VN", "pl_PL", "de_DE"])
    fake.seed_instance(len(decoration))
    names = [fake.name().replace(",", " ") for _ in range(15)] + ["WAVY Ñ¿j", "A", "Ä" * 60]
    field = f'text = "{{{{ first }}}}"\nfont = "{font}"\nsize = "60pt"\nmin_size = "8pt"\n'
    field += f"lines = 2\n{decoration}"
    run = built(tmp_path, field, rows="first\n" + "\n".join(names) + "\n", code=3)
    kept = slots(run)
    assert 14 <= len(kept) < len(names)  # the longest is held
    filled = 0.0
    for bed in range(len(kept)):
        pixels = seen(run, bed, 600)
        ink = (pixels < 250).any(axis=2)
        x0, y0, x1, y1 = box(ink)
        one = 1.0 / PX
        assert x0 >= 2 - one and y0 >= 2 - one and x1 <= 58 + one and y1 <= 18 + one
        filled = max(filled, x1 - x0)
    assert filled > 52  # of 56: room is not wasted


# ---------------------------------------------------------------- messages


@pytest.mark.parametrize(
    ("field", "line"),
    [
        ('outline = { width = 8, colour = "black" }',
         "fields[0].box, field 'guest': what is drawn round the letters takes 16 x 16 mm of a box "
         "of 56 x 16 mm; enlarge the box, or draw less"),
        ('shadow = { dx = 0, dy = 0, colour = "black" }',
         "fields[0].shadow, field 'guest': a shadow that is not moved lies unseen behind the "
         "letters; make dx or dy other than 0"),
        ('outline = { width = 0.1, colour = "black" }',
         "fields[0].outline.width, field 'guest': the outline is 0.1 mm wide, the thinnest stroke "
         "that prints is 0.15 mm; make it wider, or craft.min_stroke smaller"),
        ('contour = { spread = 1, colour = "Whte" }',
         "fields[0].contour.colour, field 'guest': unknown colour 'Whte'; "),
        ('outline = { width = 1, colour = "black", place = "around" }',
         "fields[0].outline.place, field 'guest': "),
        ('outline = { width = 1, colour = "black", join = "miter" }',
         "fields[0].outline.join, field 'guest': "),
    ],
)  # fmt: skip
def test_decoration_that_cannot_be(tmp_path: Path, field: str, line: str) -> None:
    base = 'text = "{{ first }}"\nfont = "NotoSans-Bold"\nsize = "20pt"\n'
    job = made(tmp_path, base + field, top="craft.min_stroke = 0.15")
    done = called(job, "check", "-q")
    assert done.returncode == 4
    assert line in done.stderr


def held(folder: Path, field: str, top: str = "") -> str:
    """Why the one record of a job is held."""
    job = made(folder, field, top=top)
    done = called(job, "build", "-q", "--out", str(folder / "run"))
    assert done.returncode == 3, done.stderr
    return (folder / "run" / "held.csv").read_text("utf-8")


def test_a_text_that_does_not_fit_with_its_outline_is_held(tmp_path: Path) -> None:
    field = (
        'text = "{{ first }} {{ last }}"\nfont = "NotoSans-Bold"\nsize = "30pt"\n'
        'min_size = "24pt"\noutline = { width = 1, colour = "black" }\n'
    )
    assert (
        "at 24 pt squeezed to 90 %, the box is 54 x 14 mm, less what is drawn round the letters"
    ) in held(tmp_path, field)


def test_an_outline_that_covers_thin_letters_is_held(tmp_path: Path) -> None:
    # Noto Sans Regular: stems of about 0.09 em, 0.32 mm at 10 pt, less 0.1 mm on either side.
    field = (
        'text = "{{ first }}"\nfont = "NotoSans-Regular"\nsize = "10pt"\n'
        'outline = { width = 0.2, colour = "#c00000", place = "centred" }\n'
    )
    why = held(tmp_path, field, top="craft.min_stroke = 0.2")
    assert "the thinnest stroke is 0." in why and "at 10 pt, the least that prints is 0.2 mm" in why


def test_an_outline_that_closes_counters_is_held(tmp_path: Path) -> None:
    field = (
        'text = "{{ first }}"\nfont = "NotoSans-Bold"\nsize = "10pt"\n'
        'outline = { width = 0.4, colour = "#c00000" }\n'
    )
    assert "the smallest counter is 0." in held(tmp_path, field, top="craft.min_counter = 0.2")


def test_a_white_contour_on_a_blank_that_takes_no_white_is_held(tmp_path: Path) -> None:
    field = (
        'text = "{{ first }}"\nfont = "NotoSans-Bold"\nsize = "20pt"\n'
        'contour = { spread = 1, colour = "White" }\n'
    )
    job = made(tmp_path, field, job='[blanks.steel]\nsurface = "light"\nwhite = "none"\n')
    text = job.read_text("utf-8").replace("print_mode", 'blank = "steel"\nprint_mode', 1)
    job.write_text(text, encoding="utf-8")
    done = called(job, "build", "-q", "--out", str(tmp_path / "run"))
    assert done.returncode == 3, done.stderr
    assert "its contour is printed in white ink, and this blank (light surface) takes none" in (
        (tmp_path / "run" / "held.csv").read_text("utf-8")
    )


@pytest.mark.parametrize(
    "way", ["", "arc = { radius = 5, sweep = 300 }\n", 'direction = "down"\n']
)
def test_outlined_texts_of_a_group_share_one_size_in_their_box(tmp_path: Path, way: str) -> None:
    field = (
        'text = "{{ first }}"\nfont = "NotoSans-Bold"\nsize = "30pt"\nmin_size = "4pt"\n'
        f'one_size = "batch"\n{way}outline = {{ width = 0.4, colour = "black" }}\n'
    )
    run = built(tmp_path, field, rows="first\nAda\nBrandvold\n")
    sizes = {slot["texts"][0]["size_pt"] for slot in slots(run)}
    assert len(sizes) == 1
    for bed in (0, 1):
        x0, y0, x1, y1 = box((seen(run, bed, 600) < 250).any(axis=2))
        one = 1.0 / PX
        assert x0 >= 2 - one and y0 >= 2 - one and x1 <= 58 + one and y1 <= 18 + one
