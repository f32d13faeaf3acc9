"""A text over art whose white is lighter than its own: in a tint, or fading with the picture.
Levels are those of Ghostscript's separations, distances those of scipy's transform."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage
from stylejob import built, separations

DPI = 1200
CHOKE, DOTS = 0.1, 2  # mm, that of the plate; how many dots an edge may be away
EDGE = 30.0  # mm: where the art ends
TEXT = 'text = "Brandvold"\nfont = "NotoSans-Bold"\nsize = "24pt"\ncolour = "black"\n'
TEXT += 'min_size = "8pt"\n'
DECORATED = TEXT + 'outline = { width = 0.3, colour = "black" }\n'
EVEN = '[[art]]\nfile = "art.png"\nbox = [0, 0, 30, 20]\nwhite_density = 60\n'
FADING = '[[art]]\nfile = "art.png"\nbox = [0, 0, 30, 20]\nsoft_edges = "tint"\n'
FADING_TINT = FADING + "white_density = 60\n"
ON, BESIDE = "[10, 2, 48, 16]", "[31, 2, 28, 16]"  # mm: boxes of the text
Levels = NDArray[np.int_]


def plates(folder: Path, field: str, art: str, box: str) -> tuple[Levels, NDArray[np.bool_]]:
    """The white plate in levels from 0 to 255, and where the text is printed."""
    folder.mkdir()
    alpha = np.full((200, 300), 255, np.uint8)
    if "tint" in art:
        alpha[:] = np.linspace(255, 20, 300).astype(np.uint8)
    yellow = np.full((200, 300, 3), (255, 255, 0), np.uint8)
    Image.fromarray(np.dstack([yellow, alpha])).save(folder / "art.png")
    separations(built(folder, field, art=art, box=box), dpi=DPI)
    white, black = (
        255 - np.asarray(Image.open(folder / "plates-0" / f"p({name}).tif")).astype(int)
        for name in ("White", "Black")
    )
    return white, black > 250


@pytest.mark.parametrize(
    ("field", "art"), [(TEXT, EVEN), (DECORATED, FADING), (TEXT, FADING_TINT)],
    ids=["even", "fading", "both"],
)  # fmt: skip
def test_a_text_over_lighter_art_keeps_its_white(tmp_path: Path, field: str, art: str) -> None:
    white, name = plates(tmp_path / "on", field, art, ON)
    bare, _ = plates(tmp_path / "beside", field, art, BESIDE)
    ground = np.zeros_like(name)
    across = round(EDGE * DPI / 25.4)
    ground[:, :across] = True
    assert (name & ground).sum() > 50_000 and (name & ~ground).sum() > 50_000
    deep = ndimage.distance_transform_edt(name | ground)
    inside = ndimage.distance_transform_edt(name)
    choke = CHOKE * DPI / 25.4
    # Up to the edges of the letters where the art goes on beside them, less the choke elsewhere.
    assert (white[(inside > DOTS) & (deep > choke + DOTS)] == 255).all()
    off = ~ground & (np.arange(name.shape[1]) > across + DOTS)
    assert not white[off & (deep < choke - DOTS)].any()
    # Beside the text the white of the art is what it was without it.
    beside = ~ndimage.binary_dilation(name, np.ones((2 * DOTS + 1, 2 * DOTS + 1)))
    beside &= np.arange(name.shape[1]) < across - choke - DOTS
    assert np.array_equal(white[beside], bare[beside])


@pytest.mark.parametrize("density", [30, 60])
def test_a_text_of_no_more_white_than_the_art_leaves_it_as_it_is(
    tmp_path: Path, density: int
) -> None:
    field = f"{TEXT}white_density = {density}\n"
    white, _ = plates(tmp_path / "on", field, EVEN, "[2, 2, 26, 16]")
    assert set(np.unique(white)) == {0, 153}  # 60 % of 255
