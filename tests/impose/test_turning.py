"""Where side B lies after a turn: by hand, and against a half turn in space.

The judge is solid geometry: a half turn about a line that lies in the bed, as a rotation matrix
of three dimensions (Rodrigues' formula), applied to points of a piece. No mirror is mentioned.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Point, affinity

from vardata.job.model import Bed, Grid, Jig, PrintMode, SideB, Slot
from vardata.job.pockets import usable_slots
from vardata.job.turning import jig_of_b, turned_slot

W, H = 60.0, 28.0  # the piece
BED = Bed(name="b", width=200, height=100, modes={"m": PrintMode(dpi=(600, 600))})


def side(**keys: object) -> SideB:
    return SideB(layout="back.toml", **keys)  # type: ignore[arg-type]


def lies(slot: Slot) -> tuple[float, float, float]:
    return slot.x, slot.y, slot.rotation


HAND = (
    # turn, axis, reads, where the slot (30, 20, turned by 90) comes to lie on a bed of 200 x 100
    ("pieces", "vertical", "book", (30, 20, 90)),
    ("pieces", "horizontal", "calendar", (30, 20, 90)),
    ("pieces", "horizontal", "book", (30, 20, 270)),
    ("pieces", "vertical", "calendar", (30, 20, 270)),
    ("jig", "vertical", "book", (170, 20, 270)),
    ("jig", "vertical", "calendar", (170, 20, 90)),
    ("jig", "horizontal", "book", (30, 80, 90)),
    ("jig", "horizontal", "calendar", (30, 80, 270)),
)


@pytest.mark.parametrize(("turn", "axis", "reads", "expected"), HAND)
def test_a_slot_lies_where_a_person_would_find_it(
    turn: str, axis: str, reads: str, expected: tuple[float, float, float]
) -> None:
    slot = Slot(name="A1", x=30, y=20, rotation=90)
    turned = turned_slot(slot, side(turn=turn, axis=axis, reads=reads), BED)
    assert lies(turned) == expected
    assert turned.name == "A1"


def test_the_axis_of_a_jig_may_lie_anywhere() -> None:
    slot = Slot(name="A1", x=30, y=20)
    assert lies(turned_slot(slot, side(turn="jig", axis_at=90), BED)) == (150, 20, 0)
    turned = turned_slot(slot, side(turn="jig", axis="horizontal", axis_at=0), BED)
    assert lies(turned) == (30, -20, 180)


def half_turn(points: np.ndarray, about: np.ndarray, along: np.ndarray) -> np.ndarray:
    """Points (n, 3) turned by 180 degrees about a line: Rodrigues' formula, cos -1 and sin 0."""
    unit = along / np.linalg.norm(along)
    matrix = 2 * np.outer(unit, unit) - np.eye(3)
    return (points - about) @ matrix.T + about


def on_bed(points: np.ndarray, slot: Slot) -> np.ndarray:
    """Points of an item's own mm on the bed, by shapely."""
    out = []
    for x, y in points:
        turned = affinity.rotate(Point(x - W / 2, y - H / 2), slot.rotation, origin=(0, 0))
        out.append((turned.x + slot.x, turned.y + slot.y))
    return np.array(out)


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # of busy machines
@given(
    x=st.floats(-50, 250), y=st.floats(-50, 250), rotation=st.floats(-360, 360),
    turn=st.sampled_from(("pieces", "jig")), axis=st.sampled_from(("vertical", "horizontal")),
    reads=st.sampled_from(("book", "calendar")), line=st.floats(-100, 300),
)  # fmt: skip
def test_side_b_lies_on_the_piece_as_it_is_turned_in_space(
    x: float, y: float, rotation: float, turn: str, axis: str, reads: str, line: float
) -> None:
    slot = Slot(name="A1", x=x, y=y, rotation=rotation)
    keys = {"turn": turn, "axis": axis, "reads": reads}
    table = side(**keys, **({"axis_at": line} if turn == "jig" else {}))
    corner = np.array([[3.0, 4.0], [50.0, 4.0], [3.0, 21.0]])  # three points that tell turns apart
    flat = on_bed(corner, slot)
    solid = np.column_stack([flat, np.zeros(3)])
    up = np.array([0.0, 1.0, 0.0]) if axis == "vertical" else np.array([1.0, 0.0, 0.0])
    if turn == "pieces":  # the axis goes through the piece's middle, as the piece lies
        c, s = math.cos(math.radians(rotation)), math.sin(math.radians(rotation))
        along = np.array([c * up[0] - s * up[1], s * up[0] + c * up[1], 0.0])
        about = np.array([x, y, 0.0])
    else:
        along = up
        about = np.array([line, 0.0, 0.0]) if axis == "vertical" else np.array([0.0, line, 0.0])
    physical = half_turn(solid, about, along)[:, :2]
    # The same three points of the piece as whoever reads side B measures them: with the piece
    # turned like a page they are as far from the right as they were from the left.
    seen = corner.copy()
    if reads == "book":
        seen[:, 0] = W - seen[:, 0]
    else:
        seen[:, 1] = H - seen[:, 1]
    printed = on_bed(seen, turned_slot(slot, table, BED))
    assert np.allclose(physical, printed, atol=1e-6)


def test_names_order_and_blocked_slots_stay() -> None:
    grid = Grid(rows=2, columns=3, pitch=(60, 40), offset=(40, 30))
    jig = Jig(name="j", grid=grid, fill="serpentine", blocked=("A2",))
    turned = jig_of_b(jig, side(turn="jig"), BED)
    assert [s.name for s in usable_slots(turned)] == [s.name for s in usable_slots(jig)]
    assert [s.name for s in usable_slots(turned)] == ["A1", "A3", "B3", "B2", "B1"]
    # Front left goes to front right, and stays in front.
    assert lies(usable_slots(turned)[0]) == (160, 30, 0)


def test_a_jig_of_its_own_for_side_b_is_filled_in_the_order_of_side_a() -> None:
    jig = Jig(name="j", slots=(Slot(name="p", x=30, y=20), Slot(name="q", x=90, y=20)))
    own = Jig(
        name="own", face_down=True,
        slots=(
            Slot(name="q", x=31, y=61), Slot(name="spare", x=1, y=1), Slot(name="p", x=91, y=61),
        ),
    )  # fmt: skip
    found = jig_of_b(jig, side(jig="own.toml"), BED, own)
    assert [(s.name, *lies(s)) for s in usable_slots(found)] == [("p", 91, 61, 0), ("q", 31, 61, 0)]
    assert found.name == "own"
