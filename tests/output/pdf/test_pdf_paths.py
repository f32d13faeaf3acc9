"""Outlines, filled and stroked, static art and turned slots, against areas made by shapely."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
import shapely.affinity
from bedkit import COLOUR, NO_STATICS, WHITE, make_bed, make_layout, page, separations, write
from shapely.geometry import LineString, Polygon, box

from vardata.marks import Cmyk, Item, Path, Placement, Ref, Statics
from vardata.output.pdf.bedload import PageContent

DPI = 600
SIDE = 25.4  # mm, 600 dots
SQUARE = (SIDE, SIDE)
CENTRE = Placement(SIDE / 2, SIDE / 2, 0.0)
# Common value for a circle as four cubics.
K = 4 / 3 * (math.sqrt(2) - 1)


def circle(r: float) -> tuple:
    k = K * r
    return (
        ("m", r, 0.0), ("c", r, k, k, r, 0.0, r), ("c", -k, r, -r, k, -r, 0.0),
        ("c", -r, -k, -k, -r, 0.0, -r), ("c", k, -r, r, -k, r, 0.0), ("h",),
    )  # fmt: skip


RINGS = (("re", -4.0, -4.0, 8.0, 8.0), ("re", -2.0, -2.0, 4.0, 4.0))
HOLE = (("re", -4.0, -4.0, 8.0, 8.0), ("re", 2.0, -2.0, -4.0, 4.0))  # runs the other way round
ARROW = (("m", -3.0, -2.0), ("l", 4.0, 0.0), ("l", -3.0, 2.0), ("h",))
HOOK = (("m", -4.0, -3.0), ("l", 4.0, -3.0), ("l", 0.0, 3.0))


def white(folder, *marks, at=CENTRE, statics=NO_STATICS) -> np.ndarray:
    path = folder / "p.pdf"
    write(path, page(*marks, at=at), bed=make_bed(*SQUARE), layout=make_layout(*SQUARE),
          statics=statics)  # fmt: skip
    return separations(path, str(DPI))["White"] > 127


def agrees(ink: np.ndarray, shape) -> None:
    """Dots well inside the shape are inked, dots well outside are not."""
    dot = SIDE / 600
    rows, columns = np.indices(ink.shape)
    xs, ys = (columns + 0.5) * dot, (ink.shape[0] - rows - 0.5) * dot
    inside = shapely.contains_xy(shape.buffer(-1.6 * dot), xs, ys)
    near = shapely.contains_xy(shape.buffer(1.6 * dot), xs, ys)
    assert inside.any()
    assert ink[inside].all(), f"{np.count_nonzero(~ink[inside])} dots are missing"
    assert not ink[~near].any(), f"{np.count_nonzero(ink[~near])} dots are too many"


def moved(shape, x: float, y: float, angle: float = 0.0):
    return shapely.affinity.translate(
        shapely.affinity.rotate(shape, angle, origin=(0, 0)), x, y
    )


SHAPES = {
    "circle": (circle(5.0), False, shapely.Point(0, 0).buffer(5.0, quad_segs=64)),
    "both rings": (RINGS, False, box(-4, -4, 4, 4)),
    "even-odd": (RINGS, True, box(-4, -4, 4, 4) - box(-2, -2, 2, 2)),
    "a hole by its sense": (HOLE, False, box(-4, -4, 4, 4) - box(-2, -2, 2, 2)),
    "arrow": (ARROW, False, Polygon([(-3, -2), (4, 0), (-3, 2)])),
    "rectangle": ((("re", -3.0, -1.0, 6.0, 2.0),), False, box(-3, -1, 3, 1)),
}


@pytest.mark.parametrize("angle", [0.0, 90.0, 37.0, 180.0])
@pytest.mark.parametrize("name", list(SHAPES))
def test_fills(tmp_path, name, angle):
    commands, even_odd, shape = SHAPES[name]
    ink = white(tmp_path, Path(WHITE, 1.0, commands, 11.0, 13.0, angle, even_odd))
    agrees(ink, moved(shape, 11.0, 13.0, angle))


@pytest.mark.parametrize("angle", [0.0, 62.0])
def test_strokes_have_round_caps_and_joins(tmp_path, angle):
    ink = white(tmp_path, Path(WHITE, 1.0, HOOK, 12.0, 12.0, angle, False, 1.2))
    line = LineString([(-4, -3), (4, -3), (0, 3)]).buffer(0.6, cap_style="round", quad_segs=32)
    agrees(ink, moved(line, 12.0, 12.0, angle))


def test_a_stroke_and_a_fill_keep_their_own_tints(tmp_path):
    path = tmp_path / "p.pdf"
    marks = (
        Path(WHITE, 1.0, (("re", 2.0, 2.0, 8.0, 8.0),)),
        Path(WHITE, 0.4, (("re", 14.0, 2.0, 8.0, 8.0),), 0.0, 0.0, 0.0, False, 2.0),
        Path(WHITE, 1.0, (("re", 2.0, 14.0, 8.0, 8.0),)),
    )
    write(path, page(*marks, at=CENTRE), bed=make_bed(*SQUARE), layout=make_layout(*SQUARE))
    ink = separations(path, "100")["White"]
    assert ink[100 - 24, 24] == 255 and ink[100 - 70, 24] == 255
    assert ink[100 - 24, 55] == pytest.approx(0.4 * 255, abs=1)


@pytest.mark.parametrize("angle", [0.0, 90.0, 180.0, 270.0, 15.0])
def test_an_item_turns_about_its_centre(tmp_path, angle):
    """The item's own lower left corner goes round; its centre stays in the slot's."""
    at = Placement(13.0, 12.0, angle)
    arrow = Polygon([(-3, -2), (4, 0), (-3, 2)])
    ink = white(tmp_path, Path(WHITE, 1.0, ARROW, 15.0, 10.0, 20.0), at=at)
    in_item = moved(arrow, 15.0, 10.0, 20.0)
    about = shapely.affinity.translate(in_item, -SIDE / 2, -SIDE / 2)
    agrees(ink, moved(about, 13.0, 12.0, angle))


@pytest.mark.parametrize("angle", [0.0, 90.0, 33.0])
def test_static_art_lies_like_the_same_marks(tmp_path, angle):
    """A form drawn in a slot is the picture of its marks drawn there."""
    marks = (
        Path(WHITE, 1.0, circle(3.0), 9.0, 9.0),
        Path(WHITE, 0.0, (("re", 8.0, 8.0, 2.0, 2.0),)),
        Path(WHITE, 1.0, HOOK, 15.0, 15.0, 10.0, False, 0.7),
    )
    at = Placement(12.7, 12.7, angle)
    statics = Statics({"art": (*marks, Path(COLOUR, Cmyk(1, 0, 0, 0), circle(6.0), 12.0, 12.0))})
    drawn, placed = (
        white(folder, *content, at=at, statics=statics)
        for folder, content in (
            (tmp_path / "a", marks), (tmp_path / "b", (Ref(WHITE, "art"),)),
        )
        if not folder.mkdir()
    )  # fmt: skip
    assert drawn.any()
    assert np.count_nonzero(drawn != placed) <= 0.002 * np.count_nonzero(drawn)


def test_many_items_keep_to_their_slots(tmp_path):
    """A grid of 5 by 5 slots, every item drawn in its own place and turn."""
    layout, bed = make_layout(4.0, 3.0), make_bed(*SQUARE)
    wanted, placements = [], []
    for n in range(25):
        at = Placement(2.6 + 5.0 * (n % 5), 2.6 + 5.0 * (n // 5), 90.0 * (n % 4))
        mark = Path(WHITE, 1.0, (("re", 0.5, 0.5, 1.0 + 0.05 * n, 1.0),))
        placements.append((at, Item(f"S!{n}#1", (mark,))))
        shape = shapely.affinity.translate(box(0.5, 0.5, 1.5 + 0.05 * n, 1.5), -2.0, -1.5)
        wanted.append(moved(shape, at.cx, at.cy, at.angle))
    write(tmp_path / "p.pdf", PageContent(tuple(placements), ""), bed=bed, layout=layout)
    ink = separations(tmp_path / "p.pdf", str(DPI))["White"] > 127
    agrees(ink, shapely.union_all(wanted))
