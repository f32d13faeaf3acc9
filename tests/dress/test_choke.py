"""The choke against formulas, and against scipy's erosion of a 2,400 dpi raster."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from plateprint import PX, Mask, rendered
from scipy import ndimage
from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry
from vardata.dress.choke import REACH, choked, erode, offset
from vardata.dress.geometry import NOTHING
from vardata.marks import Path

C = 0.1


def square(x: float, y: float, w: float, h: float | None = None) -> BaseGeometry:
    return shapely.box(x, y, x + w, y + (w if h is None else h))


def disc(x: float, y: float, r: float) -> BaseGeometry:
    return shapely.Point(x, y).buffer(r, quad_segs=64)


def raster(shape: BaseGeometry, width: float = 9, height: float = 6) -> Mask:
    return rendered([Path(0, 1.0, geometry.commands(shape, 0))], width, height)


def depth(mask: Mask) -> np.ndarray:
    """Distance of each pixel inside from the edge, mm; scipy's exact Euclidean transform."""
    return np.asarray(ndimage.distance_transform_edt(np.pad(mask, 1))[1:-1, 1:-1] / PX)


# ------------------------------------------------------------ formulas


@pytest.mark.parametrize("c", [0.05, 0.1, 0.2, 0.5])
def test_square(c: float) -> None:
    white, saved, least = choked(square(1, 1, 4), NOTHING, c)
    assert white.area == pytest.approx((4 - 2 * c) ** 2, abs=1e-9)
    assert least == c and saved.is_empty


@pytest.mark.parametrize("c", [0.05, 0.1, 0.2, 0.5])
def test_circle(c: float) -> None:
    white, _, least = choked(disc(4, 4, 3), NOTHING, c)
    assert white.area == pytest.approx(math.pi * (3 - c) ** 2, rel=1e-3)
    assert least == c


def test_ring_loses_on_both_sides() -> None:
    white = choked(disc(4, 4, 3) - disc(4, 4, 2), NOTHING, C).white
    assert white.area == pytest.approx(math.pi * (2.9**2 - 2.1**2), rel=1e-3)


def lens(r: float, d: float) -> float:
    """Area that two discs of radius r share whose centres are d apart (a school formula)."""
    return 2 * r * r * math.acos(d / 2 / r) - d / 2 * math.sqrt(4 * r * r - d * d)


def test_two_discs_that_overlap_are_one_thing() -> None:
    # The union of two discs of radius 2 and their waist. Choked one by one they would lose
    # their shared part's edges; the true erosion of the union keeps more.
    both = disc(3, 4, 2) | disc(6, 4, 2)
    white = choked(both, NOTHING, C).white
    one_by_one = 2 * math.pi * 1.9**2 - lens(1.9, 3)
    # The waist: each tip of the lens is a reflex corner, rounded off by a disc of radius c.
    half = math.sqrt(4 - 1.5**2)
    tips = (4.5, 4 + half), (4.5, 4 - half)
    # The inner parallel body of an outline without holes has A - c L + pi c^2 (Steiner); its
    # smooth arcs and its reflex corners together turn once round.
    area = 2 * math.pi * 4 - lens(2, 3)
    length = 2 * 2 * (2 * math.pi - 2 * math.acos(1.5 / 2))
    assert white.area == pytest.approx(area - C * length + math.pi * C * C, rel=5e-4)
    assert white.area > one_by_one + 0.004
    for tip in tips:
        assert white.distance(shapely.Point(tip)) == pytest.approx(C, abs=0.003)


def test_touching_squares_have_no_gap_between_them() -> None:
    white = choked(square(1, 1, 2) | square(3, 1, 2), NOTHING, C).white
    assert white.area == pytest.approx((4 - 2 * C) * (2 - 2 * C))


# ------------------------------------------------------------ white that stands alone


def test_white_alone_is_never_choked() -> None:
    assert choked(NOTHING, square(1, 1, 2), C).white.area == pytest.approx(4)


def test_colour_within_white_alone_takes_nothing() -> None:
    ground = square(1, 1, 6)
    assert choked(disc(4, 4, 1), ground, C).white.symmetric_difference(ground).area < 1e-9


def test_only_edges_that_colour_covers_are_choked() -> None:
    # White 1..4, colour 4..7, both 2 high: choked on three sides of the colour.
    white = choked(square(4, 1, 3, 2), square(1, 1, 3, 2), C).white
    assert white.area == pytest.approx(3 * 2 + (3 - C) * (2 - 2 * C))


# ------------------------------------------------------------ thin places


def bar(width: float) -> BaseGeometry:
    return square(1, 1, 6, width)


@pytest.mark.parametrize(
    ("width", "least"),
    [
        (0.3, C),
        (0.225, C),
        (0.2, C / 2),
        (0.13, C / 2),
        (0.11, C / 4),
        (0.08, C / 4),
        (0.06, 0.0),
        (0.02, 0.0),
    ],
)
def test_a_thin_bar_keeps_white_with_a_smaller_choke(width: float, least: float) -> None:
    white, saved, used = choked(bar(width), NOTHING, C)
    assert used == pytest.approx(least)
    assert white.area == pytest.approx((6 - 2 * least) * (width - 2 * least), rel=0.02)
    assert saved.is_empty == (least == C)


def test_the_choke_is_reduced_in_the_thin_place_only() -> None:
    block, stalk = square(1, 1, 3), square(4, 2.4, 4, 0.15)
    white, _, least = choked(block | stalk, NOTHING, C)
    assert least == C / 2
    away = shapely.box(0, 0, 3.7, 8)
    assert (white & away).symmetric_difference(erode(block, C) & away).area < 1e-3
    beyond = shapely.box(4.2, 0, 9, 8)
    assert (white & beyond).area == pytest.approx((7.95 - 4.2) * 0.05, rel=0.02)
    assert white.geom_type == "Polygon"  # no seam between the two


@pytest.mark.parametrize("angle", [40, 45, 60, 90, 120])
def test_corners_are_no_thin_places(angle: float) -> None:
    half = math.radians(angle / 2)
    long, high = 5 * math.cos(half), 5 * math.sin(half)
    rhombus = shapely.Polygon([(0, 0), (long, high), (2 * long, 0), (long, -high)])
    white, _, least = choked(rhombus, NOTHING, C)
    assert least == C
    # A choked corner of angle t ends c / sin(t / 2) from its tip.
    assert white.bounds[0] == pytest.approx(C / math.sin(half), rel=1e-3)


def test_a_needle_is_a_thin_place() -> None:
    needle = shapely.Polygon([(0, 0), (6, 0.5), (6, -0.5)])
    assert choked(needle, NOTHING, C).least < C


def test_the_smallest_dot_keeps_its_white() -> None:
    dots = disc(2, 2, 0.02) | square(4, 4, 2)
    white = choked(dots, NOTHING, 0.3).white
    assert white.intersects(shapely.Point(2, 2))


def test_no_choke_is_no_change() -> None:
    assert choked(square(1, 1, 2), NOTHING, 0.0).white.area == 4
    assert choked(NOTHING, NOTHING, C).white.is_empty


shapes = st.one_of(
    st.builds(square, st.integers(1, 6), st.integers(1, 3), st.floats(0.3, 2), st.floats(0.02, 2)),
    st.builds(disc, st.integers(2, 7), st.integers(2, 4), st.floats(0.02, 1.9)),
)


@settings(max_examples=12, deadline=None, derandomize=True)
@given(st.lists(shapes, min_size=1, max_size=5), st.sampled_from([0.05, 0.1, 0.2]))
def test_any_art_against_scipy(parts: list[BaseGeometry], c: float) -> None:
    ink = geometry.union(parts)
    white, saved, least = choked(ink, NOTHING, c)
    printed, ground = raster(ink), raster(white)
    deep = depth(printed)
    pixel = 2 / PX  # PDFium draws both a little large
    # Wherever a disc fits there is white, and white never leaves the colour.
    # (The tip of a notch is finer than a pixel: the renderer closes it, the white knows it.)
    assert not ndimage.binary_opening((deep > c + pixel) & ~ground).any()
    assert not (ground & (ndimage.binary_dilation(printed) == 0)).any()
    # Nearer to the edge than c there is white only in places that are told.
    told = raster(saved.buffer(0.02)) if not saved.is_empty else np.zeros_like(ground)
    assert not (ground & ~told & (deep < c - pixel)).any()
    assert saved.is_empty == (least == c)
    # Nothing is printed without white in reach, but for the tips of sharp corners. (Specks of
    # a few pixels are below what this raster shows of their white.)
    far = ndimage.distance_transform_edt(~ground) / PX > REACH * (c + chokes.HAIR) + pixel
    islands, count = ndimage.label(far & printed)
    sizes = ndimage.sum_labels(np.ones_like(islands), islands, range(1, count + 1)) / PX**2
    tip = chokes.TIP * (c + chokes.HAIR / 2) ** 2
    assert all(size <= tip + 0.0005 for size in sizes)


def test_offsets_keep_corners_outwards() -> None:
    assert offset(square(1, 1, 4), 1).area == pytest.approx(36)
    assert offset(square(1, 1, 4), -1).area == pytest.approx(4)
    assert offset(square(1, 1, 4), 0).area == pytest.approx(16)
