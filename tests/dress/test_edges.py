"""How far white moves at edges of each kind: around art, round holes, at texts, inwards and out.

Areas are those of geometry; texts are judged by scipy's distance transform of PDFium's pixels.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from plateprint import of_plate, rendered
from platework import BOLD, SCRIPT, SERIF, dressed, dresser, text, text_field
from scipy import ndimage
from whitework import DPI, PANEL, PX, RED, agrees, art, both, rect

from vardata.dress.drawing import Shape
from vardata.dress.svg_stroke import circle
from vardata.job import model
from vardata.problems import JobError

DOT = 1.5 / PX + 0.005


def plates(**white: object) -> tuple[model.Plate, ...]:
    return tuple(
        model.Plate.model_validate(plate)
        for plate in (
            {"name": "Colour", "role": "colour"},
            {"name": "White", "role": "white", "cover": "art", **white},
        )
    )


def ring(outer: float, inner: float) -> Shape:
    commands = circle(20, 10, outer, outer) + circle(20, 10, inner, inner)
    return Shape(commands, RED, even_odd=True)


@pytest.mark.parametrize(("choke", "holes"), [(0.1, 0.3), (0.3, 0.1), (0.0, 0.2), (0.2, 0.0)])
def test_a_ring_is_choked_by_its_outer_edge_and_by_its_hole(choke: float, holes: float) -> None:
    made = dresser(art=[art(ring(8, 3))], plates=plates(choke=choke, choke_holes=holes))
    _, white = both(made)
    want = math.pi * ((8 - choke) ** 2 - (3 + holes) ** 2)
    assert white.sum() / PX**2 == pytest.approx(want, rel=0.003)


def test_an_island_in_a_hole_has_an_outer_edge_of_its_own() -> None:
    made = dresser(
        art=[art(ring(8, 5), Shape(circle(20, 10, 2, 2), RED))],
        plates=plates(choke=0.1, choke_holes=0.4),
    )
    _, white = both(made)
    want = math.pi * (7.9**2 - 5.4**2 + 1.9**2)
    assert white.sum() / PX**2 == pytest.approx(want, rel=0.003)


def test_a_narrow_ring_keeps_white_when_its_hole_asks_for_too_much() -> None:
    """0.5 mm of colour between two edges that ask for 0.1 and 0.6 mm."""
    made = dresser(art=[art(ring(3.5, 3.0))], plates=plates(choke=0.1, choke_holes=0.6))
    ink, white = both(made)
    assert white.any() and not (white & ~ndimage.binary_dilation(ink, iterations=2)).any()
    assert made.take_reports()


@pytest.mark.parametrize("face", [BOLD, SERIF])
def test_texts_have_a_choke_of_their_own(face: object) -> None:
    made = dresser(
        [text_field("a", (1, 1, 38, 18))], [art(rect(30, 15, 6, 4))],
        plates=plates(choke=0.3, choke_texts=0.06),
    )  # fmt: skip
    ink, white = both(made, text(face, "Hamburg", 24, 2, 5))  # type: ignore[arg-type]
    letters, block = ink.copy(), ink.copy()
    letters[int(14.5 * PX) :, int(29 * PX) :] = False
    block &= ~letters
    agrees(white & ndimage.binary_dilation(letters, iterations=9), letters, choke=0.06)
    agrees(white & ndimage.binary_dilation(block, iterations=9), block, choke=0.3)
    assert not made.take_reports()


@pytest.mark.parametrize("face", [BOLD, SCRIPT])
@pytest.mark.parametrize("spread", [0.08, 0.2, 1.0])
def test_spread_white_is_colour_and_all_that_is_so_near(face: object, spread: float) -> None:
    """A text over a panel and beside it, so that things meet."""
    made = dresser([PANEL, text_field("a", (1, 1, 38, 18))], plates=plates(spread=spread))
    ink, white = both(made, None, text(face, "Hamburg", 20, 4, 5))  # type: ignore[arg-type]
    away = ndimage.distance_transform_edt(~ink) / PX
    assert white[away < spread - DOT].all()
    assert not white[away > spread + DOT].any()


def test_spread_white_must_keep_to_the_item() -> None:
    made = dresser(art=[art(rect(0.05, 2, 5, 5))], plates=plates(spread=0.1))
    assert [str(p) for p in made.problems()] == [
        "tag.toml: 'logo.svg' passes the item's outline, and the layout allows no bleed; "
        'make it smaller, or raise "bleed" in the layout'
    ]
    with pytest.raises(JobError):
        raise JobError(made.problems())
    wide = dresser(art=[art(rect(0.05, 2, 5, 5))], plates=plates(spread=0.1), bleed=0.2)
    assert not wide.problems()


def test_spread_white_is_printed_as_wide_in_the_bed_file() -> None:
    """The mark of a run says so: PDFium strokes what the run asks for."""
    made = dresser([text_field("a", (1, 1, 38, 18))], plates=plates(spread=0.15))
    item = dressed(made, text(BOLD, "lil", 24, 4, 5))
    white = rendered(of_plate(made, item, 1), dpi=DPI)
    ink = rendered(of_plate(made, item, 0), dpi=DPI)
    grown = ndimage.binary_dilation(ink, iterations=1)
    assert np.count_nonzero(white) > np.count_nonzero(grown)
