"""The area that each plate inks, against geometry.

Ghostscript paints every pixel that a shape touches (ISO 32000-1, 10.6.5), so a shape grows by
about half a pixel all round, in proportion to the pixel. From two resolutions that rule drops
out: twice the area at 2,880 dpi less the area at 1,440 dpi. Shapes of known area, by school
formulas; 0.3 % is what the press room was promised.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from bedkit import GLOSS, WHITE, judge, make_bed, make_layout, page
from bedkit import write as write_file
from PIL import Image as Pillow

from vardata.dress.outline import flood
from vardata.job.model import Layout
from vardata.marks import BLACK, Commands, Placement
from vardata.marks import Path as Outline

SIDE = 16.0  # mm of the bed and of the item
KAPPA = 4 * (math.sqrt(2) - 1) / 3  # a quarter circle as one cubic, 0.03 % too large
STAR = tuple(
    (8 + r * math.sin(n * math.pi / 5), 8 + r * math.cos(n * math.pi / 5))
    for n, r in enumerate((7.0, 3.0) * 5)
)


def polygon(points: tuple[tuple[float, float], ...]) -> Commands:
    first, *rest = points
    return (("m", *first), *(("l", *point) for point in rest), ("h",))


def shoelace(points: tuple[tuple[float, float], ...]) -> float:
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return abs(sum(x * v - u * y for (x, y), (u, v) in pairs)) / 2


def circle(r: float) -> Commands:
    k = KAPPA * r
    return (
        ("m", 8 + r, 8.0), ("c", 8 + r, 8 + k, 8 + k, 8 + r, 8.0, 8 + r),
        ("c", 8 - k, 8 + r, 8 - r, 8 + k, 8 - r, 8.0),
        ("c", 8 - r, 8 - k, 8 - k, 8 - r, 8.0, 8 - r),
        ("c", 8 + k, 8 - r, 8 + r, 8 - k, 8 + r, 8.0), ("h",),
    )  # fmt: skip


ROUNDED = Layout(name="t", width=SIDE, height=SIDE, outline="rounded", corner=4, bleed=0.5)
SHAPES = {
    "rectangle": ((("re", 2.0, 3.0, 11.0, 7.0),), 77.0),
    "circle": (circle(6.0), math.pi * 36),
    "star": (polygon(STAR), shoelace(STAR)),
    # An outline grown inwards by 1 mm: 14 mm, corners of 3 mm.
    "flood": (flood(ROUNDED, -1.0)[0], 14.0**2 - (4 - math.pi) * 3.0**2),
}


def inked(path: Path, dpi: int) -> dict[str, float]:
    out = path.with_suffix(f".{dpi}")
    judge("gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", f"-r{dpi}",
          f"-sOutputFile={out}.tif", path)  # fmt: skip
    found = {}
    for ink in ("Black", "White", "Gloss"):
        with Pillow.open(f"{out}({ink}).tif") as plate:
            shown = 255 - np.asarray(plate)
        found[ink] = float(shown.sum() / 255 * (25.4 / dpi) ** 2)
    return found


@pytest.mark.parametrize("angle", [0.0, 17.0])
@pytest.mark.parametrize("shape", SHAPES)
def test_each_plate_inks_the_area_of_geometry(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shape: str, angle: float
) -> None:
    monkeypatch.setattr(Pillow, "MAX_IMAGE_PIXELS", None)  # for the fine plates
    commands, want = SHAPES[shape]
    marks = (Outline(0, BLACK, commands), Outline(WHITE, 1.0, commands),
             Outline(GLOSS, 1.0, commands))  # fmt: skip
    path = tmp_path / "a.pdf"
    write_file(path, page(*marks, at=Placement(12.0, 12.0, angle)), bed=make_bed(24.0, 24.0),
               layout=make_layout(SIDE, SIDE))  # fmt: skip
    coarse, fine = inked(path, 1440), inked(path, 2880)
    for ink in coarse:
        measured = 2 * fine[ink] - coarse[ink]
        assert measured == pytest.approx(want, rel=0.003), (ink, coarse[ink], fine[ink])
