"""Seams: separate chokes and their seams make the true choke of the whole."""

from __future__ import annotations

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from vardata.dress import geometry, meeting
from vardata.dress.choke import erode
from vardata.dress.geometry import NOTHING, Bounds
from vardata.dress.meeting import (
    Ground,
    Thing,
    Zone,
    merged,
    seam,
    with_other,
    with_static,
    zones_of,
)

C = 0.1


def square(x: float, y: float, w: float, h: float) -> BaseGeometry:
    return shapely.box(x, y, x + w, y + h)


def disc(x: float, y: float, r: float) -> BaseGeometry:
    return shapely.Point(x, y).buffer(r, quad_segs=32)


shapes = st.one_of(
    st.builds(square, st.integers(1, 6), st.integers(1, 4), st.floats(0.3, 3), st.floats(0.02, 2)),
    st.builds(disc, st.integers(2, 7), st.integers(2, 5), st.floats(0.02, 1.9)),
)


def thing(area: BaseGeometry, role: meeting.Role = "under", least: float = C) -> Thing:
    def within(bounds: Bounds | None) -> BaseGeometry:
        return area if bounds is None else area.intersection(shapely.box(*bounds))

    return Thing(role, area.bounds, within, lambda: (area.bounds,), least)


def drawn(ink: BaseGeometry, zones: list[Zone]) -> BaseGeometry:
    return geometry.area(seam(ink, zones))


def test_things_apart_may_be_choked_one_by_one() -> None:
    one, other = square(1, 1, 2, 2), square(3.001, 1, 2, 2)
    together = erode(one | other, C)
    assert together.symmetric_difference(erode(one, C) | erode(other, C)).area < 1e-9


@settings(max_examples=60, deadline=None, derandomize=True)
@given(shapes, shapes, st.sampled_from([0.05, 0.1, 0.2]))
def test_seams_of_two_areas(one: BaseGeometry, other: BaseGeometry, c: float) -> None:
    whole = one | other
    parts = erode(one, c) | erode(other, c) | drawn(whole, zones_of([one, other], c, c))
    true = erode(whole, c)
    assert true.difference(parts.buffer(0.004)).area < 1e-4
    assert parts.difference(true.buffer(0.004)).area < 1e-4


@settings(max_examples=60, deadline=None, derandomize=True)
@given(shapes, shapes, st.sampled_from([0.05, 0.1, 0.2]))
def test_seams_of_a_thing_and_static_ink(one: BaseGeometry, art: BaseGeometry, c: float) -> None:
    zones = with_static(thing(one, least=c), Ground.of(art), c)
    ink = meeting.ink_near(Ground.of(art), [thing(one)], (0, 0, 20, 20))
    assert ink.symmetric_difference(one | art).area < 1e-9
    parts = erode(one, c) | erode(art, c) | drawn(ink, zones)
    assert erode(one | art, c).difference(parts.buffer(0.004)).area < 1e-4


@settings(max_examples=60, deadline=None, derandomize=True)
@given(shapes, shapes)
def test_what_a_stroke_takes_from_another_thing_is_put_back(
    one: BaseGeometry, other: BaseGeometry
) -> None:
    """Two things filled, then stroked at tint 0: each stroke runs through the other's ink."""
    strokes = one.boundary.buffer(C) | other.boundary.buffer(C)
    left = (one | other).difference(strokes)
    zones = with_other(thing(one), thing(other), C)
    true = erode(one | other, C)
    assert true.difference((left | drawn(one | other, zones)).buffer(0.004)).area < 1e-4


def test_what_does_not_meet_has_no_seam() -> None:
    one, other = thing(square(1, 1, 2, 2)), thing(square(3.1, 1, 2, 2))
    assert with_other(one, other, C) == []
    assert with_static(one, Ground.of(square(3.3, 1, 2, 2)), C) == []
    assert with_static(one, Ground.of(NOTHING), C) == []
    # Nor has what lies wholly within static ink, far from its edge.
    assert with_static(one, Ground.of(square(0, 0, 9, 9)), C) == []


def test_a_seam_has_the_smallest_choke_of_its_things() -> None:
    (zone,) = with_other(thing(square(1, 1, 2, 2)), thing(square(2, 2, 2, 2), least=0.05), C)
    assert zone.choke == 0.05
    (zone,) = with_static(thing(square(1, 1, 2, 2), least=0.05), Ground.of(square(2, 2, 2, 2)), C)
    assert zone.choke == C


def test_zones_that_overlap_are_one() -> None:
    chain = [Zone((i, 0, i + 1.2, 1), 0.1) for i in (0, 2, 1)] + [Zone((9, 9, 10, 10), 0.05)]
    assert merged(chain) == [Zone((0, 0, 3.2, 1), 0.1), Zone((9, 9, 10, 10), 0.05)]
