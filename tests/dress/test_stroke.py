"""Strokes as areas, judged by PDFium's own stroker (ISO 32000-1, 8.4.3.3 to 8.4.3.5)."""

from __future__ import annotations

import math

import numpy as np
import pypdfium2
import pytest
from plateprint import _drawn, _pdf, rendered

from vardata.dress import geometry, stroke
from vardata.marks import Commands, Path

ZIGZAG: Commands = (
    ("m", 3, 3),
    ("l", 12, 16),
    ("l", 15, 4),
    ("l", 20, 5),
    ("l", 30, 5.5),
    ("l", 24, 16),
)
CURVE: Commands = (("m", 4, 4), ("c", 10, 30, 20, -12, 34, 14))
CLOSED: Commands = (("m", 5, 4), ("l", 30, 5), ("l", 18, 17), ("h",))


def by_pdfium(drawn: Commands, width: float, cap: int, join: int, miter: float) -> np.ndarray:
    k = 72 / 25.4
    page = f"{k} 0 0 {k} 0 0 cm {width} w {cap} J {join} j {miter} M {_drawn(drawn)} S"
    pdf = pypdfium2.PdfDocument(_pdf(page, 40, 20))
    bitmap = pdf[0].render(scale=600 / 72, grayscale=True)
    grey = np.array(bitmap.to_numpy()).reshape(bitmap.height, -1)[:, : bitmap.width]
    return np.asarray(grey[::-1] < 128)


@pytest.mark.parametrize("drawn", [ZIGZAG, CURVE, CLOSED], ids=["zigzag", "curve", "closed"])
@pytest.mark.parametrize("width", [0.3, 2.0])  # the thin one shows the way, the wide one the ends
@pytest.mark.parametrize("cap", [0, 1, 2])
@pytest.mark.parametrize(("join", "miter"), [(0, 10.0), (0, 1.5), (1, 10.0), (2, 10.0)])
def test_caps_and_joins(drawn: Commands, width: float, cap: int, join: int, miter: float) -> None:
    area = stroke.covered(drawn, width, cap, join, miter)
    ours = rendered([Path(0, 1.0, geometry.commands(area))], dpi=600)
    theirs = by_pdfium(drawn, width, cap, join, miter)
    # PDFium flattens curves more coarsely than we do: some pixels along the outline differ.
    # A wrong cap of the wide stroke would be 876 pixels, a wrong join some hundred.
    outline_pixels = area.length * 600 / 25.4
    assert (ours != theirs).sum() < 50 + 0.02 * outline_pixels


def test_a_straight_stroke_has_the_area_of_a_rectangle() -> None:
    line: Commands = (("m", 0, 0), ("l", 10, 0))
    assert stroke.covered(line, 2, 0, 0).area == pytest.approx(20)
    assert stroke.covered(line, 2, 2, 0).area == pytest.approx(24)
    assert stroke.covered(line, 2, 1, 1).area == pytest.approx(20 + math.pi, rel=2e-3)


def test_a_point_shows_its_round_caps_only() -> None:
    # ISO 32000-1, 8.5.3.2.
    point: Commands = (("m", 5, 5), ("l", 5, 5))
    assert stroke.covered(point, 2, 1, 1).area == pytest.approx(math.pi, rel=3e-3)
    assert stroke.covered(point, 2, 0, 0).is_empty


def test_a_frame_keeps_its_corners() -> None:
    frame = stroke.covered(geometry.rectangle_path(0, 0, 10, 5), 1, 0, 0)
    assert frame.area == pytest.approx(11 * 6 - 9 * 4)
    assert frame.bounds == pytest.approx((-0.5, -0.5, 10.5, 5.5))
