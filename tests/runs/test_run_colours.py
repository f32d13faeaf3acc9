"""A whole job whose RGB colours are converted: what Ghostscript separates, against littlecms."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms
from run_kit import AT, DONE, build
from run_pages import PROCESS, part, plates

from vardata.job import shipped

TEAL = (11, 93, 90)
FILES = {
    "job.toml": 'name = "teal"\nlayout = "l.toml"\njig = "j.toml"\nbed = "b.toml"\n'
    'print_mode = "m"\nblank = "tile"\n[sheet]\nfile = "rows.csv"\n[columns]\nn = "N"\n'
    '[blanks.tile]\nsurface = "light"\n[output]\n%s\n',
    "l.toml": 'name = "tile"\nwidth = 40\nheight = 20\n[[art]]\nfile = "a.svg"\n'
    'box = [20, 0, 20, 20]\n[[fields]]\ntype = "shape"\nname = "panel"\nshape = "rectangle"\n'
    'box = [0, 0, 20, 20]\nfill = "#0b5d5a"\n',
    "a.svg": '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 20">'
    '<path d="M0 0H10V20H0Z" fill="#0b5d5a"/>'
    '<path d="M10 0H20V20H10Z" fill="device-cmyk(0.4 0.2 0 0)"/></svg>',
    "j.toml": 'name = "one"\n[[slots]]\nname = "A1"\nx = 25\ny = 15\n',
    "b.toml": 'name = "b"\nwidth = 50.8\nheight = 30.48\n[modes.m]\ndpi = [600, 600]\n',
    "rows.csv": "N\n1\n",
}


def levels(place: Path, output: str) -> list[tuple[int, ...]]:
    """Inks in the middle of the panel and of the two parts of the art, 255 being full ink."""
    place.mkdir()
    for name, text in FILES.items():
        (place / name).write_text(text % output if name == "job.toml" else text, encoding="utf-8")
    run = build(place, place / "run", "--at", AT)
    assert run.code == DONE, run.stderr
    found = plates(run.bed_file(1), 1, "150")
    (slot,) = run.on_bed(1)
    x, y = slot["box_mm"][:2]
    return [
        tuple(
            int(np.median(part(found[ink], (x + left, y + 8, 4, 4), (150.0, 150.0))))
            for ink in PROCESS
        )
        for left in (8.0, 23.0, 33.0)
    ]  # fmt: skip


@pytest.mark.parametrize("how", ["keep", "convert"])
def test_colours_of_layout_and_svg_are_converted_and_inks_are_not(
    tmp_path: Path, how: str
) -> None:
    output = 'profile = "cgats-tr-001"\ncolours = "convert"' if how == "convert" else ""
    panel, art, inks = levels(tmp_path / "job", output)
    change = ImageCms.buildTransform(
        ImageCms.createProfile("sRGB"), str(shipped.profiles()["cgats-tr-001"]), "RGB", "CMYK",
        ImageCms.Intent.RELATIVE_COLORIMETRIC, ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )  # fmt: skip
    wanted = ImageCms.applyTransform(Image.new("RGB", (1, 1), TEAL), change).getpixel((0, 0))
    if how == "keep":
        wanted = (93 - 11, 0, 93 - 90, 255 - 93)  # ISO 32000-1, 10.3.5
    for found in (panel, art):
        assert np.abs(np.subtract(found, wanted)).max() <= 1, (found, wanted)
    assert np.abs(np.subtract(inks, (102, 51, 0, 0))).max() <= 1
