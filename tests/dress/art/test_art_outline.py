"""The outline of a mask against shapely's union of its pixels."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from vardata.dress.picture_outline import outline


def pixels(mask: np.ndarray) -> shapely.Geometry:
    """The union of the painted pixels, in pixels, y up."""
    rows, columns = np.nonzero(mask)
    up = mask.shape[0] - 1 - rows
    return shapely.union_all(shapely.box(columns, up, columns + 1, up + 1))


def rings(mask: np.ndarray) -> list[shapely.LinearRing]:
    """The outline's rings, in pixels."""
    found: list[list[tuple[float, float]]] = []
    for command in outline(mask).commands:
        if command[0] == "m":
            found.append([])
        if command[0] != "h":
            found[-1].append((command[1] * mask.shape[1], command[2] * mask.shape[0]))
    return [shapely.LinearRing(ring) for ring in found]


masks = st.tuples(st.integers(1, 14), st.integers(1, 14)).flatmap(
    lambda shape: arrays(np.bool_, shape)
)


@settings(deadline=None, max_examples=80)
@given(masks.filter(lambda mask: mask.any() and not mask.all()))
def test_no_edge_is_further_than_half_a_pixel(mask: np.ndarray) -> None:
    edge, lines = pixels(mask).boundary, shapely.MultiLineString(rings(mask))
    # Both ways, looked at every tenth of an edge.
    assert shapely.hausdorff_distance(edge, lines, densify=0.1) <= 0.5 + 1e-4


@settings(deadline=None, max_examples=80)
@given(masks.filter(lambda mask: mask.any() and not mask.all()))
def test_both_fill_rules_agree_on_the_pixels(mask: np.ndarray) -> None:
    """Every painted pixel's middle is wound round once, every other not at all."""
    found = rings(mask)
    assert all(ring.is_simple for ring in found)
    h, w = mask.shape
    middles = shapely.points([(x + 0.5, h - y - 0.5) for y in range(h) for x in range(w)])
    winding = np.zeros(h * w, dtype=int)
    for ring in found:
        inside = shapely.contains(shapely.Polygon(ring), middles)
        winding += np.where(inside, 1 if ring.is_ccw else -1, 0)
    assert (winding.reshape(h, w) == mask).all()


def test_a_rectangle_is_exact() -> None:
    mask = np.zeros((10, 20), dtype=bool)
    mask[2:5, 4:10] = True
    commands = outline(mask).commands
    assert {command[1:] for command in commands} == {
        (0.2, 0.8), (0.2, 0.5), (0.5, 0.5), (0.5, 0.8), ()
    }  # fmt: skip
    assert [command[0] for command in commands] == ["m", "l", "l", "l", "h"]
    assert rings(mask)[0].is_ccw


def test_a_hole_runs_the_other_way() -> None:
    mask = np.ones((30, 30), dtype=bool)
    mask[10:20, 10:20] = False
    outer, inner = sorted(rings(mask), key=lambda ring: -ring.length)
    assert (outer.is_ccw, inner.is_ccw) == (True, False)


@pytest.mark.parametrize("side", [1, 5])
@pytest.mark.parametrize("falling", [True, False])
def test_squares_that_meet_at_a_corner_stay_apart(side: int, falling: bool) -> None:
    mask = np.kron(np.eye(2, dtype=bool), np.ones((side, side), dtype=bool))
    one, other = rings(mask if falling else mask[:, ::-1])
    assert not one.intersects(other)
    assert one.is_ccw and other.is_ccw


def test_a_disc_is_smooth_and_true() -> None:
    """Area of a circle of 54 pixels' radius within 0.2 %; fewer points than pixel steps."""
    y, x = np.mgrid[0:120, 0:120]
    mask = (x - 59.5) ** 2 + (y - 59.5) ** 2 < 54**2
    (ring,) = rings(mask)
    assert shapely.Polygon(ring).area == pytest.approx(np.pi * 54**2, rel=2e-3)
    steps = shapely.simplify(pixels(mask).exterior, 0)
    assert len(ring.coords) < 0.7 * len(steps.coords)


def test_all_and_nothing() -> None:
    assert outline(np.ones((3, 4), dtype=bool)).commands == (("re", 0, 0, 1, 1),)
    assert outline(np.zeros((3, 4), dtype=bool)).commands == ()


def test_noise_is_taken_together() -> None:
    mask = np.random.default_rng(7).random((801, 900)) < 0.5
    found = outline(mask)
    assert found.coarser == 2
    xs = [v for command in found.commands for v in command[1::2]]
    assert (min(xs), max(xs)) == (0, 1), "a grid that passes the edge is cut there"
