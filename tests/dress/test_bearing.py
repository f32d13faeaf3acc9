"""How large an erosion a glyph bears: shapes whose strokes have known widths, and any order."""

from __future__ import annotations

import random

import pytest
import shapely
from platework import BOLD, SANS, SCRIPT, SERIF, book, number

from vardata.dress.bearing import Bearing
from vardata.dress.glyphs import Glyphs

STEP = 1.02  # of the ladder


@pytest.mark.parametrize("width", [20.0, 63.0, 150.0])
def test_a_bar_bears_half_its_width(width: float) -> None:
    """A disc that is larger than half the width of a bar does not fit into it (geometry)."""
    bar = Bearing(shapely.box(0, 0, 1000, width))
    assert width / 2 / STEP**2 < bar.most < width / 2
    assert bar.one_width


def test_a_thin_stroke_between_thick_ones_decides() -> None:
    stems = shapely.union_all([shapely.box(0, 0, 120, 700), shapely.box(400, 0, 520, 700)])
    bearing = Bearing(stems.union(shapely.box(100, 300, 420, 330)))
    assert 15 / STEP**2 < bearing.most < 15
    assert not bearing.one_width


@pytest.mark.parametrize("face", [SANS, BOLD, SERIF, SCRIPT], ids=lambda face: face.stem)
def test_no_answer_depends_on_what_was_asked_before(face: object) -> None:
    glyphs, font = Glyphs(book(), 25.4 / 600), book().face(number(face))  # type: ignore[arg-type]
    asked = [2.5 * 1.11**n for n in range(36)]
    for letter in "aegnWR&8.":
        shape = glyphs.outline(font.index, font.font.get_nominal_glyph(ord(letter)), 1)[0]
        most = Bearing(shape).most
        for seed in range(3):
            order = random.Random(seed).sample(asked, len(asked))
            bearing = Bearing(shape)
            assert [bearing.bears(em) for em in order] == [em <= most for em in order]
