"""The area of each plate of a whole job, against geometry.

An SVG disc and a rectangle, choked white below them and gloss over all: areas by school formulas.
Ghostscript paints every pixel that a shape touches (ISO 32000-1, 10.6.5); twice the area at
2,880 dpi less the area at 1,440 dpi is free of that. 0.3 % is what the press room was promised.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from PIL import Image
from run_kit import AT, DONE, build
from run_pages import plates

R, CHOKE, W, H, BLEED = 5.0, 0.12, 20.0, 14.0, -0.6
FILES = {
    "job.toml": 'name = "discs"\nlayout = "l.toml"\njig = "j.toml"\nbed = "b.toml"\n'
    'print_mode = "m"\nblank = "slate"\n[sheet]\nfile = "rows.csv"\n[columns]\nn = "N"\n'
    '[blanks.slate]\nsurface = "clear"\n',
    "l.toml": f'name = "disc"\nwidth = {W}\nheight = {H}\nsurface = "%s"\n[[plates]]\n'
    'name = "Colour"\nrole = "colour"\n[[plates]]\nname = "White"\nrole = "white"\n'
    f'cover = "art"\nchoke = {CHOKE}\n[[plates]]\nname = "Gloss"\nrole = "gloss"\n'
    f'cover = "flood"\nbleed = {BLEED}\n[[art]]\nfile = "a.svg"\nbox = [1, 2, 10, 10]\n'
    '[[fields]]\ntype = "shape"\nname = "bar"\nshape = "rectangle"\nbox = [13, 3, 4, 8]\n'
    'fill = "black"\n',
    "a.svg": '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10">'
    '<circle cx="5" cy="5" r="5" fill="device-cmyk(0 0 0 1)"/></svg>',
    "j.toml": 'name = "one"\n[[slots]]\nname = "A1"\nx = 12.6\ny = 12.8\nrotation = %s\n',
    "b.toml": 'name = "b"\nwidth = 25.4\nheight = 25.4\n[modes.m]\ndpi = [2880, 2880]\n',
    "rows.csv": "N\n1\n",
}
WANTED = {
    "Black": math.pi * R**2 + 4 * 8,
    "White": math.pi * (R - CHOKE) ** 2 + (4 - 2 * CHOKE) * (8 - 2 * CHOKE),
    "Gloss": (W + 2 * BLEED) * (H + 2 * BLEED),
}


@pytest.mark.parametrize(("surface", "turn"), [("first", 0), ("first", 90), ("second", 0)])
def test_each_plate_inks_the_area_of_geometry(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, surface: str, turn: int
) -> None:
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", None)  # for the fine plates
    home = tmp_path / "job"
    home.mkdir()
    for name, text in FILES.items():
        said = {"l.toml": surface, "j.toml": turn}.get(name)
        (home / name).write_text(text if said is None else text % said, encoding="utf-8")
    run = build(home, tmp_path / "run", "--at", AT)
    assert run.code == DONE, run.stderr
    areas = []
    for dpi in ("1440", "2880"):
        found = plates(run.bed_file(1), 1, dpi)
        areas.append({ink: float(found[ink].sum() / 255 * (25.4 / int(dpi)) ** 2)
                      for ink in WANTED})  # fmt: skip
    for ink, want in WANTED.items():
        assert 2 * areas[1][ink] - areas[0][ink] == pytest.approx(want, rel=0.003), (ink, areas)
