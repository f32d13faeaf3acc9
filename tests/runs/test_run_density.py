"""White in the density that each field asks for, in percent of the plate's own.

Levels by hand: a plate of 80 % is printed in 204 of 255, half of that in 102, a quarter in 51.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from run_kit import AT, DONE, Run, Shared, build
from run_pages import PROCESS, Pixels, layers_off, layers_only, plates
from scipy import ndimage

FILES = {
    "job.toml": 'name = "veil"\nlayout = "l.toml"\njig = "j.toml"\nbed = "b.toml"\n'
    'print_mode = "m"\nblank = "w"\n[sheet]\nfile = "rows.csv"\n[columns]\nn = "N"\n'
    '[blanks.w]\nsurface = "dark"\n',
    "j.toml": 'name = "j"\n[[slots]]\nname = "A1"\nx = 30\ny = 20\n',
    "b.toml": 'name = "b"\nwidth = 60\nheight = 40\n[modes.m]\ndpi = [508, 508]\n',
    "rows.csv": "N\nIIII\n",
    "l.toml": 'name = "l"\nwidth = 60\nheight = 40\n[[plates]]\nname = "Colour"\nrole = "colour"\n'
    '[[plates]]\nname = "White"\nrole = "white"\ncover = "art"\nchoke = 0.1\ndensity = 80\n'
    '[[plates]]\nname = "Gloss"\nrole = "gloss"\n'
    # Two blocks that overlap from 14 to 18 mm: half of the white, all of the white.
    '[[fields]]\ntype = "shape"\nname = "veil"\nshape = "rectangle"\nbox = [2, 2, 16, 12]\n'
    'fill = "cyan"\nwhite_density = 50\n'
    '[[fields]]\ntype = "shape"\nname = "solid"\nshape = "rectangle"\nbox = [14, 2, 16, 12]\n'
    'fill = "cyan"\n'
    '[[fields]]\ntype = "text"\nname = "bare"\ntext = "{{ n }}"\nfont = "NotoSans-Bold"\n'
    'size = "30pt"\nbox = [2, 24, 26, 14]\ncolour = "magenta"\nwhite_density = 25\n'
    '[[fields]]\ntype = "text"\nname = "over"\ntext = "{{ n }}"\nfont = "NotoSans-Bold"\n'
    'size = "14pt"\nbox = [3, 3, 9, 10]\ncolour = "magenta"\nwhite_density = 25\n'
    '[[art]]\nfile = "face.png"\nbox = [32, 22, 10, 10]\nwhite_density = 50\n'
    # A text that begins on the solid block and ends beside it: its own white, and a seam.
    '[[fields]]\ntype = "text"\nname = "across"\ntext = "{{ n }}"\nfont = "NotoSans-Bold"\n'
    'size = "24pt"\nbox = [26, 3, 20, 10]\nalign = "left"\ncolour = "magenta"\n'
    "white_density = 50\n",
}
DPI = 254


def _made(place: Path) -> Run:
    home = place / "job"
    home.mkdir()
    for name, text in FILES.items():
        (home / name).write_text(text, encoding="utf-8")
    Image.new("RGB", (200, 200), (255, 255, 0)).save(home / "face.png")
    return build(home, place / "run", "--at", AT)


@pytest.fixture
def run(shared: Shared) -> Run:
    made = shared.run("density", _made)
    assert made.code == DONE, made.stderr
    return made


def white(run: Run) -> Pixels:
    return plates(run.bed_file(1), 1, str(DPI))["White"]


def at(pixels: Pixels, x0: float, y0: float, x1: float, y1: float) -> Pixels:
    """What lies between two corners in mm, less half a millimetre at each side."""
    return pixels[400 - round(y1 * 10) + 5 : 400 - round(y0 * 10) - 5,
                  round(x0 * 10) + 5 : round(x1 * 10) - 5]  # fmt: skip


def levels(pixels: Pixels) -> set[int]:
    return {int(level) for level in np.unique(pixels)}


def test_each_thing_has_the_white_that_it_asks_for(run: Run) -> None:
    found = white(run)
    assert levels(at(found, 2, 2, 14, 14)) == {102}  # a text over it has its white
    assert levels(at(found, 18, 2, 26, 14)) == {204}
    assert levels(at(found, 14, 2, 18, 14)) == {204}  # the denser of two
    assert levels(at(found, 32, 22, 42, 32)) == {102}  # the picture
    letters = at(found, 2, 24, 28, 38)
    assert letters.max() == 51 and (letters == 51).sum() > 1000


def test_the_choke_stays_what_it_is(run: Run) -> None:
    """The white of the letters is their ink less 0.1 mm, as scipy's distances have it."""
    found = plates(run.bed_file(1), 1, "1270")
    box = slice(2000 - 38 * 50, 2000 - 24 * 50), slice(2 * 50, 28 * 50)
    ink, lies = found["Magenta"][box] == 255, found["White"][box] == 51
    deep = ndimage.distance_transform_edt(ink) / 50
    assert lies[deep > 0.1 + 0.04].all() and not lies[deep < 0.1 - 0.04].any()


def test_where_things_of_two_densities_meet_the_denser_wins(run: Run) -> None:
    """Letters that lie on the solid block keep its white, those beside it have their own."""
    found = plates(run.bed_file(1), 1, str(DPI))
    assert levels(at(found["White"], 26, 3, 30, 13)) == {204}
    beside = at(found["White"], 31, 3, 46, 13)
    assert set(levels(beside)) <= {0, 102, 204} and (beside == 102).sum() > 500


def test_plates_do_not_depend_on_each_other(run: Run) -> None:
    path = run.bed_file(1)
    together = plates(path, 1, str(DPI))
    for layer, inks in {"Colour": PROCESS, "White": ("White",)}.items():
        for alone in (layers_only(path, (layer,)),
                      layers_off(path, {"Colour", "White", "Gloss"} - {layer})):  # fmt: skip
            found = plates(alone, 1, str(DPI))
            assert all((found[ink] == together[ink]).all() for ink in inks), layer
