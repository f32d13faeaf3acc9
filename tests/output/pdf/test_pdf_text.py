"""Text lies exactly where the glyphs' own outlines say, in every renderer; the cheap choke
takes exactly what a geometry library takes."""

from __future__ import annotations

import math
import struct

import numpy as np
import pikepdf
import pypdfium2
import pytest
import shapely
import shapely.affinity
from bedkit import (
    BOLD,
    BOOK,
    COLOUR,
    SANS,
    SCRIPT,
    WHITE,
    ink_box,
    judge,
    make_bed,
    make_layout,
    page,
    run,
    separations,
    write,
)  # fmt: skip
from PIL import Image as Pillow
from scipy.ndimage import binary_erosion

from vardata.dress import geometry
from vardata.job.model import PrintMode
from vardata.marks import BLACK, GlyphRun, Path, Placement
from vardata.units import MM_PER_PT

DPI = 600
SIZE = (76.2, 25.4)  # whole inches, so that the page is whole dots
HERE = Placement(38.1, 12.7, 0.0)


def glyph_ids(mark: GlyphRun) -> tuple[int, ...]:
    return struct.unpack(f">{len(mark.glyphs) // 2}H", mark.glyphs)


def whole_ink(mark: GlyphRun) -> shapely.geometry.base.BaseGeometry:
    """The ink of a run in item mm, from the font's outlines, by shapely."""
    face, em = BOOK.face(mark.font), mark.size_pt * MM_PER_PT / 1000
    pen, shapes = 0.0, []
    for glyph, kern in zip(glyph_ids(mark), mark.kerns or [0.0] * len(mark.glyphs)):
        shape = geometry.area(face.outline(glyph), tolerance=0.05)
        shapes.append(shapely.affinity.translate(shape, pen))
        pen += face.advance(glyph) - kern
    ink = shapely.affinity.scale(shapely.union_all(shapes), em * mark.squeeze, em, origin=(0, 0))
    ink = shapely.affinity.rotate(ink, mark.angle, origin=(0, 0))
    return shapely.affinity.translate(ink, mark.x, mark.y)


def predicted(mark: GlyphRun) -> tuple[float, float, float, float]:
    """The ink's box in item mm: from Face.extents, or if the run slants from its outlines."""
    if mark.angle % 90:
        return whole_ink(mark).bounds
    face, em = BOOK.face(mark.font), mark.size_pt * MM_PER_PT / 1000
    c, s = round(math.cos(math.radians(mark.angle))), round(math.sin(math.radians(mark.angle)))
    pen, xs, ys = 0.0, [], []
    for glyph, kern in zip(glyph_ids(mark), mark.kerns or [0.0] * len(mark.glyphs)):
        box = face.extents(glyph)
        if box:
            for x, y in ((box[0], box[1]), (box[2], box[3])):
                u, v = (pen + x) * em * mark.squeeze, y * em
                xs.append(mark.x + c * u - s * v)
                ys.append(mark.y + s * u + c * v)
        pen += face.advance(glyph) - kern
    return min(xs), min(ys), max(xs), max(ys)


CASES = {
    "ttf": run("Hxgjf Quality", font=SANS, size=18.0, at=(4, 10)),
    "ttf kerned": run("AVATo Te. LT", font=BOLD, size=21.37, at=(3.3, 8.1)),
    "ttf squeezed": run("AVATo Squeezed", font=BOLD, size=17.25, at=(2.2, 9.4), squeeze=0.8731),
    "cff": run("Wolfgang & Jody", font=SCRIPT, size=22.0, at=(4, 9)),
    "cff squeezed": run("Wolfgang & Jody", font=SCRIPT, size=24.5, at=(4, 9), squeeze=0.905),
    "ttf quarter turn": run("Tag AV", font=BOLD, size=14.0, at=(20, 3), angle=90.0),
    "ttf upside down": run("Tag AV 17", font=BOLD, size=14.0, at=(40, 15), angle=180.0),
    "cff slanted": run("Wave Type", font=SCRIPT, size=20.0, at=(8, 3), angle=23.5, squeeze=0.95),
}  # fmt: skip


def other_renderers(path, folder) -> dict[str, np.ndarray]:
    """Three more pictures of the page at 600 dpi, ink from 0 to 255."""
    judge("pdftoppm", "-r", str(DPI), "-gray", "-png", "-singlefile", "-aa", "no",
          path, folder / "poppler")  # fmt: skip
    judge("mutool", "draw", "-q", "-r", str(DPI), "-A", "0", "-o", folder / "mupdf.png", path)
    image = pypdfium2.PdfDocument(path)[0].render(scale=DPI / 72 * (1 - 1e-9)).to_pil()
    image.save(folder / "pdfium.png")
    return {
        name: 255 - np.asarray(Pillow.open(folder / f"{name}.png").convert("L"))
        for name in ("poppler", "mupdf", "pdfium")
    }


@pytest.mark.parametrize("case", list(CASES))
def test_ink_lies_where_the_font_says(tmp_path, case):
    """To a dot at 600 dpi in Ghostscript, poppler, MuPDF and PDFium."""
    mark = CASES[case]
    path = tmp_path / "t.pdf"
    write(path, page(mark, at=HERE), bed=make_bed(*SIZE), layout=make_layout(*SIZE))
    pictures = {"gs": separations(path, str(DPI))["Black"], **other_renderers(path, tmp_path)}
    wanted = np.array(predicted(mark))
    for name, ink in pictures.items():
        assert ink.shape == (600, 1800), name
        found = np.array(ink_box(ink > 127, DPI))
        off = np.abs(found - wanted) * DPI / 25.4
        # Without smoothing, every dot that an outline touches is painted: one whole dot more.
        assert off.max() <= 1.1, f"{name}: {off.round(2)} dots off"


@pytest.mark.parametrize("angle", [0.0, 90.0, 180.0, 270.0, 31.0])
def test_a_turned_slot_turns_the_text_about_the_items_centre(tmp_path, angle):
    """The whole picture, turned by the imaging library, is the picture of the turned item."""
    mark = run("Fjord", font=BOLD, size=15.0, at=(4.0, 9.0))
    square = (25.4, 25.4)
    inks = []
    for n, turned in enumerate((0.0, angle)):
        path = tmp_path / f"t{n}.pdf"
        write(path, page(mark, at=Placement(12.7, 12.7, turned)), bed=make_bed(*square),
              layout=make_layout(*square))  # fmt: skip
        inks.append(separations(path, "600")["Black"])
    flat = Pillow.fromarray(inks[0]).rotate(angle, Pillow.Resampling.BILINEAR)
    difference = (np.asarray(flat) > 127) != (inks[1] > 127)
    # What differs is a seam of single dots along the edges.
    assert not binary_erosion(difference, np.ones((3, 3))).any()
    assert inks[1].any()


def test_runs_that_follow_each_other_do_not_drift(tmp_path):
    """Two hundred runs, each placed from the last: the last is where the font says."""
    marks = [run("n", at=(1.0 + 0.2347 * i, 1.0 + 0.1003 * i), size=5.0) for i in range(200)]
    path = tmp_path / "d.pdf"
    write(path, page(*marks, at=HERE), bed=make_bed(*SIZE), layout=make_layout(*SIZE))
    found = np.array(ink_box(separations(path, str(DPI))["Black"] > 0, DPI))
    first, last = predicted(marks[0]), predicted(marks[-1])
    wanted = np.array((first[0], first[1], last[2], last[3]))
    assert np.abs(found - wanted).max() * DPI / 25.4 <= 1.0


# ------------------------------------------------------------ choke


def white_dots(path, dpi: int, judge_by: str) -> np.ndarray:
    """Where white ink lies, by Ghostscript's separation or MuPDF's picture without smoothing."""
    if judge_by == "gs":
        return separations(path, str(dpi))["White"] > 127
    out = path.with_suffix(".png")
    judge("mutool", "draw", "-q", "-r", dpi, "-A", "0", "-c", "gray", "-o", out, path)
    return np.asarray(Pillow.open(out)) < 255  # white is shown in a pale colour


# Ghostscript 10.00 widens the stroke upwards where text is squeezed, against the standard
# (ISO 32000-1, 9.3.6: a line's width is not the text matrix's affair): it judges the rest.
SQUARE = (25.4, 25.4)
MIDDLE = Placement(12.7, 12.7, 0.0)


@pytest.mark.parametrize("letter", ["I", "H", "O", "&"])
@pytest.mark.parametrize(
    ("font", "squeeze", "judge_by"),
    [(BOLD, 1.0, "gs"), (BOLD, 1.0, "mupdf"), (BOLD, 0.9, "mupdf"), (SCRIPT, 1.0, "gs"),
     (SCRIPT, 0.8, "mupdf")],
)  # fmt: skip
def test_fill_and_stroke_take_what_an_erosion_takes(tmp_path, letter, font, squeeze, judge_by):
    """Against shapely's negative buffer, at 1800 dpi."""
    choke, dpi = 0.1, 1800
    mark = run(letter, font=font, size=30.0, at=(3, 6), on=WHITE, choke=choke, squeeze=squeeze)
    write(tmp_path / "c.pdf", page(mark, at=MIDDLE), bed=make_bed(*SQUARE),
          layout=make_layout(*SQUARE))  # fmt: skip
    found = np.count_nonzero(white_dots(tmp_path / "c.pdf", dpi, judge_by)) * (25.4 / dpi) ** 2
    ink = whole_ink(mark)
    eroded = ink.buffer(-choke, quad_segs=32)
    allowed = eroded.length * 25.4 / dpi  # the stroke may be wide by a dot along every edge
    assert abs(found - eroded.area) <= allowed
    assert allowed < (ink.area - eroded.area) / 4  # the test can tell a choke from none


@pytest.mark.parametrize("dpi", [600, 1080])
def test_the_choke_keeps_its_measure_at_the_dots_of_the_machine(tmp_path, dpi):
    """Ghostscript paints every dot that a stroke touches (ISO 32000-1, 10.6.5): the line is drawn
    narrower by that, and small letters keep the white that the choke leaves them."""
    mark = run("Handle", font=SANS, size=8.0, at=(2, 6), on=WHITE, choke=0.06)
    eroded = whole_ink(mark).buffer(-0.06, quad_segs=32).area
    kept = {}
    for name, mode in (("as told", PrintMode(dpi=(dpi, dpi))), ("unknown", None)):
        path = tmp_path / f"{name}.pdf"
        write(path, page(mark, at=MIDDLE), bed=make_bed(*SQUARE), layout=make_layout(*SQUARE),
              mode=mode)  # fmt: skip
        kept[name] = np.count_nonzero(white_dots(path, dpi, "gs")) * (25.4 / dpi) ** 2 / eroded
    assert 0.85 <= kept["as told"] <= 1.15
    assert kept["unknown"] < kept["as told"] - 0.1


@pytest.mark.parametrize(
    "changes", [{}, {"squeeze": 0.5}, {"angle": 90.0}, {"size": 20.0}], ids=str
)
def test_the_choke_is_of_the_bed_and_not_of_the_font_size(tmp_path, changes):
    """A line's width is scaled by neither font size, squeeze nor turn (ISO 32000-1, 9.3.6)."""
    sides = []
    for choke in (0.0, 0.2):
        mark = run("I", font=BOLD, on=WHITE, choke=choke, at=(17, 4), **{"size": 48.0, **changes})
        path = tmp_path / f"{choke}.pdf"
        write(path, page(mark, at=MIDDLE), bed=make_bed(*SQUARE), layout=make_layout(*SQUARE))
        box = ink_box(white_dots(path, DPI, "mupdf"), DPI)
        sides.append(np.array((box[2] - box[0], box[3] - box[1])))
    # Bold Noto Sans' I is a plain bar: it loses twice the choke both ways.
    assert np.abs(sides[0] - sides[1] - 0.4).max() <= 1.5 * 25.4 / DPI


def test_what_follows_a_choked_run_is_not_choked(tmp_path):
    """The text rendering mode outlives the text object (ISO 32000-1, 9.3.1)."""
    size = (25.4, 25.4)
    plain = run("B", font=BOLD, size=20.0, at=(14, 4), on=WHITE)
    choked = run("B", font=BOLD, size=20.0, at=(3, 4), on=WHITE, choke=0.2)
    inks = []
    for name, marks in (("alone", [plain]), ("after", [choked, plain]),
                        ("apart", [choked, Path(WHITE, 1.0, (("re", 0, 0, 1, 1),)), plain])):
        write(tmp_path / f"{name}.pdf", page(*marks, at=Placement(12.7, 12.7, 0.0)),
              bed=make_bed(*size), layout=make_layout(*size))  # fmt: skip
        inks.append(separations(tmp_path / f"{name}.pdf", "600")["White"][:, 300:])
    assert inks[0].any()
    assert np.array_equal(inks[0], inks[1])
    assert np.array_equal(inks[0], inks[2])


@pytest.mark.parametrize("later", [0.1, 0.0])
def test_a_stroked_line_between_two_runs_leaves_them_alone(tmp_path, later):
    """A line has a width and a tint of its own; the run after it is choked as the run asks."""
    line = Path(WHITE, 0.5, (("m", 2.0, 2.0), ("l", 10.0, 2.0)), 0.0, 0.0, 0.0, False, 0.8)
    first = run("B", font=BOLD, size=20.0, at=(3, 6), on=WHITE, choke=0.1)
    second = run("B", font=BOLD, size=20.0, at=(14, 6), on=WHITE, choke=later)
    inks = []
    for name, marks in (("with", [first, line, second]), ("without", [second])):
        write(tmp_path / f"{name}.pdf", page(*marks, at=MIDDLE), bed=make_bed(*SQUARE),
              layout=make_layout(*SQUARE))  # fmt: skip
        inks.append(separations(tmp_path / f"{name}.pdf", "600")["White"][:, 300:])
    assert inks[1].any()
    assert np.array_equal(*inks)


def test_states_are_written_when_they_change_only(tmp_path):
    """Forty runs alike: one colour, one font; each run a move and a string."""
    marks = [run("Mörtel", at=(5.0, 1.0 + i), size=3.0) for i in range(20)]
    marks += [run("Mörtel", at=(35.0, 1.0 + i), size=3.0) for i in range(20)]
    write(tmp_path / "s.pdf", page(*marks))
    with pikepdf.open(tmp_path / "s.pdf") as pdf:
        used = [str(op.operator) for op in pikepdf.parse_content_stream(pdf.pages[0])]
    assert [used.count(op) for op in ("k", "Tf", "BT", "ET", "Tr", "Tz")] == [1, 1, 1, 1, 0, 0]
    assert used.count("Tm") == 40


def test_widths_are_complete_and_the_fonts_own(tmp_path):
    """Every glyph shown has its width in W; an incomplete array would move the text."""
    text = "Voilà, Ærø & 0123456789 ffi"
    write(tmp_path / "w.pdf", page(run(text, font=SANS), run(text, font=SCRIPT, at=(5, 20))))
    with pikepdf.open(tmp_path / "w.pdf") as pdf:
        for entry, font in zip(pdf.pages[0].Resources.Font.values(), sorted((SANS, SCRIPT))):
            widths: dict[int, float] = {}
            array = list(entry.DescendantFonts[0].W)
            for start, row in zip(array[::2], array[1::2]):
                widths.update({int(start) + i: float(w) for i, w in enumerate(row)})
            ids = set(struct.unpack(f">{len(run(text, font=font).glyphs) // 2}H",
                                    run(text, font=font).glyphs))  # fmt: skip
            assert set(widths) == ids
            for glyph, width in widths.items():
                assert width == pytest.approx(BOOK.face(font).advance(glyph), abs=0.001)


def test_a_colour_run_ignores_a_choke(tmp_path):
    """Only separations are choked by stroking; on the process inks that would knock out."""
    mark = run("B", font=BOLD, size=20.0, at=(5, 5))
    for name, choke in (("with", 0.2), ("without", 0.0)):
        write(tmp_path / f"{name}.pdf", page(mark._replace(choke=choke)))
    inks = [separations(tmp_path / f"{name}.pdf", "300")["Black"] for name in ("with", "without")]
    assert np.array_equal(*inks)
    assert mark.plate == COLOUR and mark.paint == BLACK
