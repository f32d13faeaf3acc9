"""White under text: what PDFium makes of fills, strokes and seams, against scipy's erosion.

The colour plate is drawn from the fonts by fontTools, rendered by PDFium at 2,400 dpi and
eroded by scipy; the white plate is rendered the same way from the marks.
"""

from __future__ import annotations

import math
import subprocess
from pathlib import Path as File

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from plateprint import PX, Mask, of_plate, pdf_of, rendered
from platework import (
    BOLD,
    SANS,
    SCRIPT,
    SERIF,
    book,
    dressed,
    dresser,
    joined,
    number,
    plates,
    text,
    text_field,
)
from scipy import ndimage

from vardata.dress.choke import HAIR, REACH
from vardata.dress.dresser import Dresser
from vardata.dress.glyphs import Glyphs, Setting
from vardata.fit.result import TextFit
from vardata.marks import GlyphRun, Mark, Path

# PDFium draws shapes a little large (two pixels of 2,400 dpi), and white that is drawn as an
# area may leave its true outline by 0.01 mm.
PIXEL = 2 / PX + 0.01
C = 0.1


def one_line(choke: float = C) -> Dresser:
    return dresser([text_field("line", (0, 0, 40, 12))], plates=plates(choke=choke), height=12)


def render(made: Dresser, fit: TextFit) -> tuple[Mask, Mask, list[Mark]]:
    """Colour and white of a text as PDFium sees them, and the white marks."""
    item = dressed(made, fit)
    white = of_plate(made, item, 1)
    width = fit.ink[2] + 1
    both = [rendered(marks, width, 12) for marks in (of_plate(made, item, 0), white)]
    return both[0], both[1], white


def depth(mask: Mask) -> np.ndarray:
    return np.asarray(ndimage.distance_transform_edt(np.pad(mask, 1))[1:-1, 1:-1] / PX)


def judge(colour: Mask, white: Mask, choke: float = C) -> float:
    """The rules that always hold; gives the share of white nearer to an edge than the choke."""
    ((rows, columns),) = ndimage.find_objects((colour | white).astype(int))
    colour, white = colour[rows, columns], white[rows, columns]
    deep = depth(colour)
    assert not (white & ~ndimage.binary_dilation(colour)).any(), "white outside colour"
    # The very tip of a notch is finer than a pixel: the renderer closes it, the white knows it.
    missing = ndimage.binary_opening((deep > choke + PIXEL) & ~white, iterations=2)
    assert not missing.any(), f"{missing.sum()} pixels where a disc fits have no white"
    far = (ndimage.distance_transform_edt(~white) / PX > REACH * (choke + HAIR) + PIXEL) & colour
    assert far.sum() / PX**2 < 0.1 * choke**2 * 4, "colour without white in reach"
    return float((white & (deep < choke - PIXEL)).sum() / white.sum())


# ------------------------------------------------------------ runs filled and stroked


@pytest.mark.parametrize(
    ("face", "words", "size"),
    [(SANS, "Matthew AVATAR Ty", 13.0), (BOLD, "Zoë & Søn, 12%", 14.0), (SERIF, "Quick jig", 18.0)],
)
def test_plain_text_is_one_run_filled_and_stroked(face: File, words: str, size: float) -> None:
    made = one_line()
    colour, white, marks = render(made, text(face, words, size))
    (run,) = marks
    assert isinstance(run, GlyphRun) and run.choke == C and run.paint == 1.0
    assert judge(colour, white) < 1e-4
    assert not made.reports


def test_kerned_pairs_whose_boxes_overlap_are_still_plain() -> None:
    fit = text(SANS, "AVAVATATo", 12)
    assert any(fit.runs[0].kerns)
    made = one_line()
    (run,) = of_plate(made, dressed(made, fit), 1)
    assert isinstance(run, GlyphRun) and run.choke == C


def test_small_even_text_is_one_run_with_half_the_choke() -> None:
    made = one_line()
    colour, white, marks = render(made, text(SANS, "HIEMnou", 7.5))
    assert [m.choke for m in marks if isinstance(m, GlyphRun)] == [C / 2] and len(marks) == 1
    judge(colour, white)
    ((note, count),) = made.reports.items()
    assert (note.kind, note.where.field, count) == ("choke-reduced", "line", 1)
    assert "0.05 mm" in note.what


def test_without_a_choke_white_is_the_text_itself() -> None:
    made = one_line(0.0)
    colour, white, (run,) = render(made, text(SCRIPT, "Ofelia", 20))
    assert isinstance(run, GlyphRun) and run.choke == 0
    assert (colour == white).all()


def test_squeezed_text() -> None:
    made = one_line()
    colour, white, marks = render(made, text(BOLD, "Squeezed", 16, squeeze=0.8))
    assert {m.squeeze for m in marks if isinstance(m, GlyphRun)} == {0.8}
    assert judge(colour, white) < 1e-4


# ------------------------------------------------------------ thin places and joins


@pytest.mark.parametrize(
    ("face", "words", "size"),
    [
        (SERIF, "Thin serifs AHX", 11),
        (SERIF, "Thin serifs AHX", 7),
        (SANS, "small sans text 88", 8),
        (SCRIPT, "Ofelia Zimmer", 24),
        (SCRIPT, "Matthew Tuft", 16),
        (SCRIPT, "minimum", 10),
    ],
)
def test_thin_text_keeps_its_white(face: File, words: str, size: float) -> None:
    made = one_line()
    colour, white, _ = render(made, text(face, words, size))
    assert judge(colour, white) > 0.01
    assert [note.kind for note in made.reports] == ["choke-reduced"]


def test_the_full_choke_is_kept_beside_thin_places() -> None:
    # A large serif text: stems are thick, hairlines are not.
    made = one_line()
    colour, white, marks = render(made, text(SERIF, "Hairline", 12))
    assert {m.choke for m in marks if isinstance(m, GlyphRun)} == {C}
    assert any(isinstance(m, Path) for m in marks)
    deep = depth(colour)
    # White nearer to the edge than c lies only where no disc of radius c fits.
    core = ndimage.distance_transform_edt(~(deep > C)) / PX <= C  # the opening by a disc
    thick = core & (ndimage.distance_transform_edt(core) / PX > 3 * C)
    assert not (white & thick & (deep < C - PIXEL)).any()
    judge(colour, white)


def test_connected_script_has_no_seams() -> None:
    """At joins a stroke would eat white; the plate there equals the erosion of the whole word."""
    made = one_line(0.04)
    colour, white, marks = render(made, text(SCRIPT, "minimum element", 26))
    assert judge(colour, white, 0.04) < 0.08
    # Without the seams the same fills and strokes leave holes.
    without = rendered([m for m in marks if isinstance(m, GlyphRun)], colour.shape[1] / PX, 12)
    without = without[:, : colour.shape[1]]
    holes = (depth(colour) > 0.04 + PIXEL) & ~without
    assert holes.sum() / white.sum() > 0.005


def test_lines_that_touch_are_joined() -> None:
    fit = joined(text(BOLD, "gypsy", 14, 1, 6), text(BOLD, "HLTHLT", 14, 1, 2.4))
    made = one_line()
    colour, white, marks = render(made, fit)
    assert any(isinstance(m, Path) for m in marks)
    judge(colour, white)


def test_fonts_in_one_line_are_told_apart() -> None:
    fit = joined(text(SANS, "Ab", 14, 1, 3), text(SERIF, "Cd", 14, 9, 3))
    made = one_line()
    colour, white, marks = render(made, fit)
    assert [m.font for m in marks if isinstance(m, GlyphRun)] == [number(SANS), number(SERIF)]
    assert judge(colour, white) < 0.01


def test_accents_set_as_marks_are_joined() -> None:
    # A base and combining marks: zero advances, ink over ink.
    made = one_line()
    colour, white, _ = render(made, text(SANS, "Q\u0323\u0307 x\u0327 o\u0328", 16))
    judge(colour, white)


@settings(max_examples=8, deadline=None, derandomize=True)
@given(
    st.text("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ &.'-", min_size=1, max_size=7),
    st.sampled_from([SANS, BOLD, SERIF, SCRIPT]),
    st.sampled_from([7.0, 10.25, 13.0, 17.5]),
    st.sampled_from([0.05, 0.1, 0.15]),
)
def test_any_text(words: str, face: File, size: float, choke: float) -> None:
    if not words.strip():
        return
    colour, white, _ = render(one_line(choke), text(face, words.strip(), size))
    judge(colour, white, choke)


# ------------------------------------------------------------ glyphs


@pytest.mark.parametrize(("face", "size"), [(SANS, 14.0), (SERIF, 10.0), (SCRIPT, 20.0)])
def test_each_glyph_bears_what_it_is_said_to_bear(face: File, size: float) -> None:
    """The choke of a glyph follows from its thinnest stroke as scipy sees it."""
    glyphs, font = Glyphs(book(), 25.4 / 600), book().face(number(face))
    for letter in "HnoSe":
        gid = font.font.get_nominal_glyph(ord(letter))
        bears = glyphs.bearing(font.index, gid).most * size * 25.4 / 72 / 1000
        colour = rendered(
            [GlyphRun(0, 1.0, font.index, size, 3, 4, 0, 1, gid.to_bytes(2, "big"), ())], 12, 12
        )
        deep = depth(colour)
        ridge = deep[(deep == ndimage.maximum_filter(deep, 5)) & (deep > 0.05)]
        # Thin places: local half widths of the strokes; the thinnest part of them decides.
        assert bears <= np.quantile(ridge, 0.6) + PIXEL
        assert bears >= ridge.min() * 0.5


def test_answers_do_not_depend_on_what_was_asked_before() -> None:
    words = ["Ofelia", "Tim", "AVA", "minimum", "Zoë", "jig"]
    fits = [text(face, w, 12.0) for w in words for face in (SERIF, SCRIPT)]
    forward, backward = one_line(), one_line()
    first = [dressed(forward, fit) for fit in fits]
    second = [dressed(backward, fit) for fit in reversed(fits)][::-1]
    assert first == second
    assert forward.reports == backward.reports


def test_glyphs_with_crossing_rings_are_drawn() -> None:
    """Rings that cross, or lie in paint, are no edges: a stroke along them would be wrong."""
    book_ = _Crossed()
    white = Glyphs(book_, 25.4 / 600).white(Setting(0, 20.0, 1.0, C), 1)  # type: ignore[arg-type]
    assert white.choke < 0 and white.extras
    plain = Glyphs(book_, 25.4 / 600).white(Setting(0, 20.0, 1.0, C), 2)  # type: ignore[arg-type]
    assert plain.choke == C and not plain.extras


class _Crossed:
    """A font of a plus made of two bars, and of a frame."""

    def face(self, index: int) -> _Crossed:
        return self

    def inked(self, glyph: int) -> tuple[int, ...]:
        return (glyph,)

    def outline(self, glyph: int) -> tuple[tuple[str | float, ...], ...]:
        if glyph == 1:
            return (("re", 0, 200, 500, 100), ("re", 200, 0, 100, 500))
        ring = (("m", 150, 150), ("l", 150, 350), ("l", 350, 350), ("l", 350, 150), ("h",))
        return (("re", 0, 0, 500, 500), *ring)


def test_text_turned_keeps_its_white_in_step() -> None:
    made = dresser([text_field("line", (2, 8, 36, 10), rotation=30)], plates=plates(), height=30)
    item = dressed(made, text(SCRIPT, "Ofel", 18, 4, 3))
    colour, white = (rendered(of_plate(made, item, p), 30, 25) for p in (0, 1))
    judge(colour, white)
    run = next(m for m in of_plate(made, item, 0) if isinstance(m, GlyphRun))
    # The box's centre is (20, 13); (4, 3) in the box is 14 to the left of and 2 below it.
    cos, sin = math.cos(math.radians(30)), math.sin(math.radians(30))
    assert (run.x, run.y) == pytest.approx((20 - 14 * cos - -2 * sin, 13 - 14 * sin + -2 * cos))


@pytest.mark.parametrize("size", [6.0, 8.0, 9.0, 10.0, 11.0, 12.0])
def test_no_stroke_loses_its_white_on_the_dots_of_the_bed(size: float, tmp_path: File) -> None:
    """Judge: Ghostscript at 600 dpi, which paints every dot that a stroke touches, so that a
    stroke at tint 0 takes up to a dot more than it should."""
    made = one_line()
    item = dressed(made, text(SANS, "The fat cat", size))
    colour = by_ghostscript(of_plate(made, item, 0), tmp_path)
    white = by_ghostscript(of_plate(made, item, 1), tmp_path)
    dots = 25.4 / 600
    far = ndimage.distance_transform_edt(~white) * dots > REACH * C + 2 * dots
    assert white.any() and not ndimage.binary_opening(far & colour).any()


def by_ghostscript(marks: list[Mark], folder: File) -> Mask:
    drawn = folder / "plate.pdf"
    drawn.write_bytes(pdf_of(marks, 40, 12))
    out = folder / "plate.pgm"
    command = ["gs", "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=pgmraw", "-r600"]
    subprocess.run([*command, f"-sOutputFile={out}", str(drawn)], check=True)
    with Image.open(out) as picture:
        return np.asarray(picture)[::-1] < 128
