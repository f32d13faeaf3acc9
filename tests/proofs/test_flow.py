"""Where items lie on the sheets of a proof: checked by arithmetic on the places alone."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vardata.output.picklist_paper import BOTTOM, LEFT, RIGHT, TOP
from vardata.proofs.flow import LINE, Caption, Flow, Room, Section, flow

_SIZES = st.tuples(st.floats(30, 700), st.floats(30, 900))
_SECTIONS = st.lists(st.tuples(_SIZES, st.integers(1, 12), st.integers(1, 6)), min_size=1,
                     max_size=3)  # fmt: skip


def laid(parts: list[tuple[tuple[float, float], int, int]], signing: float) -> Flow:
    sections = [
        Section("a product", size, [[Caption("words")] * lines] * count)
        for size, count, lines in parts
    ]
    return flow(sections, Room(TOP - 90.0, signing), lambda text, strength, width: [text])


@settings(max_examples=150, deadline=None)
@given(_SECTIONS, st.sampled_from([0.0, 130.0]))
def test_items_and_captions_keep_to_the_sheet_and_apart(
    parts: list[tuple[tuple[float, float], int, int]], signing: float
) -> None:
    found = laid(parts, signing)
    boxes: list[tuple[int, float, float, float, float]] = []
    for (size, count, lines), spots in zip(parts, found.spots):
        assert len(spots) == count
        wide, high = (side * found.scale for side in size)
        for spot in spots:
            assert len(spot.lines) == lines
            boxes.append((spot.page, spot.x, spot.y, spot.x + wide, spot.y + high))
            below = min(spot.y, spot.words[1] - LINE * (lines - 1))
            floor = BOTTOM + (signing if spot.page == found.pages - 1 else 0.0)
            assert spot.x >= LEFT - 0.01 and spot.x + wide <= RIGHT + 0.01
            assert spot.y + high <= TOP and below >= floor - 0.01
    for one, other in combinations(boxes, 2):
        apart = one[0] != other[0] or one[3] <= other[1] + 0.01 or other[3] <= one[1] + 0.01
        assert apart or one[4] <= other[2] + 0.01 or other[4] <= one[2] + 0.01


@pytest.mark.parametrize(
    ("size", "count", "pages", "scale"),
    [
        ((170.0, 85.0), 1, 1, 2.5),  # never more than two and a half times
        ((1046.0, 300.0), 1, 1, 0.5),  # wider than the sheet: as much as fits
        ((523.0, 100.0), 3, 1, 1.0),  # just as wide as the sheet
        ((250.0, 100.0), 6, 1, 1.0),  # two in a row, hardly larger
    ],
)
def test_items_are_as_large_as_the_sheets_allow(
    size: tuple[float, float], count: int, pages: int, scale: float
) -> None:
    found = laid([(size, count, 2)], 0.0)
    assert found.pages == pages
    assert found.scale == pytest.approx(scale, abs=0.06)
