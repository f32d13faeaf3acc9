"""Slots of grids and lists, and the faults that stop a run before anything is written."""

from __future__ import annotations

from pathlib import Path

import pytest
from shapely import Point, box

from vardata.impose.checks import check_slots
from vardata.impose.slots import all_slots, quarter_turns, usable_slots
from vardata.job.model import Bed, CodeField, Grid, Jig, Job, Layout, PrintMode, Setup, Sheet, Slot
from vardata.letters import letters


def grid(**changes: object) -> Jig:
    values: dict[str, object] = {"rows": 2, "columns": 3, "pitch": (30, 20), "offset": (15, 10)}
    extra = {key: changes.pop(key) for key in ("fill", "blocked", "pocket") if key in changes}
    return Jig(name="j", grid=Grid(**{**values, **changes}), **extra)  # type: ignore[arg-type]


def setup(jig: Jig, **layout: object) -> Setup:
    size = {"name": "l", "width": 30, "height": 20, **layout}
    bed = Bed(name="b", width=100, height=50, modes={"m": PrintMode(dpi=(600, 600))})
    return Setup(
        job=Job(name="t", layout="l", jig="jig.toml", bed="b", print_mode="m",
                sheet=Sheet(file="s.csv")),
        layout=Layout(**size), jig=jig, bed=bed, mode=bed.modes["m"],  # type: ignore[arg-type]
        sheet_file=Path("s.csv"), job_file=Path("job.toml"), layout_file=Path("l.toml"),
    )


def names(jig: Jig) -> list[str]:
    return [slot.name for slot in usable_slots(jig)]


def test_a1_is_front_left_and_the_offset_is_its_centre() -> None:
    first = all_slots(grid())[0]
    assert (first.name, first.x, first.y) == ("A1", 15, 10)
    assert (all_slots(grid())[-1].x, all_slots(grid())[-1].y) == (75, 30)


@pytest.mark.parametrize(
    ("fill", "expected"),
    [
        ("rows", "A1 A2 A3 B1 B2 B3"),
        ("columns", "A1 B1 A2 B2 A3 B3"),
        ("serpentine", "A1 A2 A3 B3 B2 B1"),
    ],
)
def test_fill_orders(fill: str, expected: str) -> None:
    assert names(grid(fill=fill)) == expected.split()


def test_listed_slots_fill_as_written_or_by_place() -> None:
    slots = (
        Slot(name="p", x=50, y=10), Slot(name="q", x=10, y=10),
        Slot(name="r", x=10, y=30), Slot(name="s", x=50, y=30),
    )
    assert names(Jig(name="j", slots=slots)) == ["p", "q", "r", "s"]
    assert names(Jig(name="j", slots=slots, fill="serpentine")) == ["q", "p", "s", "r"]
    assert names(Jig(name="j", slots=slots, fill="columns")) == ["q", "r", "p", "s"]


def test_blocked_slots_take_nothing() -> None:
    assert names(grid(blocked=("A2", "B3"))) == ["A1", "A3", "B1", "B2"]


def test_row_letters_go_on_after_z() -> None:
    assert [letters(row) for row in (0, 25, 26, 51, 52, 701, 702)] == [
        "A", "Z", "AA", "AZ", "BA", "ZZ", "AAA",
    ]


def test_turns_of_a_field_over_all_slots() -> None:
    slots = (Slot(name="a", x=0, y=0, rotation=90), Slot(name="b", x=0, y=0, rotation=-90))
    assert quarter_turns(slots, 90) == {0, 2}
    assert quarter_turns(slots, 45) is None


ITEM = box(0, 0, 30, 20)


def test_items_that_touch_are_no_fault() -> None:
    job = setup(grid())
    assert check_slots(job, usable_slots(job.jig), ITEM) == []


def lines(job: Setup, outline: object = ITEM) -> list[str]:
    return [str(p) for p in check_slots(job, usable_slots(job.jig), outline)]  # type: ignore[arg-type]


def test_a_slot_off_the_bed_is_named_with_its_distance() -> None:
    assert lines(setup(Jig(name="j", slots=(Slot(name="x", x=90, y=8),)))) == [
        "jig.toml, slot x: the item with its bleed reaches 2.00 mm over the front edge and "
        "5.00 mm over the right edge of the bed (100 x 50 mm); move or block the slot, or "
        "choose a larger bed"
    ]


def test_a_wrong_offset_is_one_line_that_names_its_slots() -> None:
    # 3 by 6 items of 30 x 20: a first centre at (5, 5) lies 10 mm over the left, 5 over the front.
    jig = grid(columns=6, rows=3, pitch=(31, 21), offset=(5, 5))
    assert lines(setup(jig)) == [
        "jig.toml: the items in 16 slots (A1, A2, A3, A4, A5, A6, B1, B4, B5, B6, C1, C2, C3, C4, "
        "C5, C6) reach past the bed (100 x 50 mm) with their bleed, by up to 10.00 mm over the "
        "left edge (A1), 5.00 mm over the front edge (A1), 75.00 mm over the right edge (A6), "
        "7.00 mm over the back edge (C1); move the grid or the slots, block them, or choose a "
        "larger bed"
    ]


def test_a_wrong_pitch_is_one_line_too() -> None:
    jig = grid(columns=3, rows=1, pitch=(28, 20))
    (line,) = [one for one in lines(setup(jig)) if "overlap" in one]
    assert line == (
        "jig.toml: the items in 2 pairs of slots (A1 and A2, A2 and A3) overlap, by up to 40.00 "
        "mm² (bleed included); widen the pitch, move the slots or block some of them"
    )


def test_overlapping_items_are_named_with_their_area() -> None:
    assert lines(setup(grid(columns=2, rows=1, pitch=(28, 20)))) == [
        "jig.toml, slot A1: the items in slots A1 and A2 overlap by 40.00 mm² (bleed included); "
        "widen the pitch, move a slot or block one of them"
    ]


def test_round_items_may_stand_closer_than_their_boxes() -> None:
    slots = (Slot(name="a", x=20, y=15), Slot(name="b", x=34, y=29))
    job = setup(Jig(name="j", slots=slots), width=19, height=19)
    assert lines(job, Point(9.5, 9.5).buffer(9.5)) == []
    assert len(lines(job, box(0, 0, 19, 19))) == 1


def test_the_bleed_counts() -> None:
    job = setup(grid(columns=1, rows=1), bleed=0.5)
    assert len(lines(job)) == 1 and "0.50 mm over the left edge" in lines(job)[0]


def test_a_turned_slot_turns_the_item() -> None:
    job = setup(Jig(name="j", slots=(Slot(name="t", x=12, y=15, rotation=90),)))
    assert lines(job) == []


def test_pocket_blocked_and_turned_codes() -> None:
    assert "the jig's pocket 29 x 20 mm" in lines(setup(grid(pocket=(29, 20))))[0]
    assert lines(setup(grid(columns=1, rows=1, blocked=("A1",)))) == [
        "jig.toml, blocked: the jig has no slot that may be used; unblock a slot"
    ]
    code = CodeField(type="code", name="c", text="1", symbology="qr", box=(1, 1, 9, 9))
    job = setup(Jig(name="j", slots=(Slot(name="t", x=40, y=25, rotation=30),)), fields=(code,))
    assert lines(job) == [
        "jig.toml, slot t: code field 'c' would sit at 30 degrees; codes need 0, 90, 180 or "
        "270 degrees: turn the slot or the field"
    ]
