"""Whole items: painting order, statics, reports, and the same marks each time."""

from __future__ import annotations

import pickle
import random

import pytest
from plateprint import expanded, rendered
from platework import (
    BOLD,
    SANS,
    SCRIPT,
    SERIF,
    code_field,
    dressed,
    dresser,
    plates,
    qr,
    shape_field,
    text,
    text_field,
)

from vardata.dress.dresser import Dresser
from vardata.fit.result import FieldFit
from vardata.job import model
from vardata.marks import Cmyk, GlyphRun, ModuleGrid, Path, Placement, Ref, RunOnPlates

FIELDS = (
    shape_field("under", (0, 0, 12, 20), shape="rectangle", fill="red"),
    text_field("name", (1, 10, 23, 9)),
    shape_field("over", (2, 12, 2, 2), shape="ellipse", fill="white"),
    text_field("role", (1, 1, 23, 8), gloss=True),
    code_field("code", (24, 2, 16, 16)),
    shape_field("last", (30, 17, 2, 2), shape="rectangle", stroke="cyan"),
)


def tag() -> Dresser:
    return dresser(FIELDS, plates=plates("art", "fields"))


def fits(name: str = "Ofelia", role: str = "Director") -> tuple[FieldFit, ...]:
    return (
        None,
        text(SCRIPT, name, 22, 1, 3),
        None,
        text(SANS, role, 11, 1, 2),
        qr("A1", 0.254, 3.5, 3.5),
        None,
    )


def test_colour_is_painted_in_the_order_of_the_layout() -> None:
    item = dressed(tag(), *fits())
    colour = [m for m in item.spread() if m.plate == 0]
    assert [m.key if isinstance(m, Ref) else type(m).__name__ for m in colour] == [
        "p0-art", "GlyphRun", "p0-art-1", "GlyphRun", "ModuleGrid", "p0-art-3",
    ]  # fmt: skip
    # White ink over colour takes it out.
    (knocked,) = tag().statics().refs["p0-art-1"]
    assert knocked.paint == Cmyk(0, 0, 0, 0)


def test_on_a_white_plate_fills_with_strokes_come_first() -> None:
    """A stroke at tint 0 must never be painted after white that it could take."""
    made = tag()
    item = dressed(made, *fits())
    white = [m for m in item.spread() if m.plate == 1]
    chokes = [m.choke if isinstance(m, GlyphRun) else 0.0 for m in white]
    assert chokes[0] > 0 and chokes == sorted(chokes, reverse=True)
    assert isinstance(white[-1], Path)  # the ground, whole


@pytest.mark.parametrize(("apart", "chokes"), [(0.05, [0.1, 0.05]), (0.2, [0.05, 0.1])])
def test_larger_chokes_come_first_where_fields_are_near(apart: float, chokes: list[float]) -> None:
    """Farther apart than the choke, no stroke comes from one to the other: any order does."""
    fields = [text_field("small", (1, 1, 38, 8)), text_field("large", (1, 9 + apart, 38, 9))]
    item = dressed(dresser(fields), text(SANS, "HEM", 7.5, 1, 2), text(BOLD, "HEM", 16, 1, 2))
    runs = [m for m in item.spread() if isinstance(m, GlyphRun) and m.plate == 1]
    assert [run.choke for run in runs] == chokes


def test_a_thin_text_by_itself_is_one_mark_with_a_smaller_choke() -> None:
    made = dresser([text_field("small", (1, 1, 38, 8))])
    item = dressed(made, text(SANS, "HEM", 7.5, 1, 2))
    (mark,) = (m for m in item.marks if isinstance(m, RunOnPlates))
    assert [(plate, choke) for plate, _, choke in mark.shares] == [(0, 0.0), (1, 0.05)]
    ((_, plate, least, _),) = made.take_reports()
    assert (plate, least) == (1, 0.05)


def test_a_record_may_leave_fields_empty() -> None:
    made = tag()
    item = dressed(made, *(None,) * 6)
    assert all(isinstance(m, Ref) for m in item.spread())
    assert item.record == "s!2#1"


def test_marks_lie_on_plates_of_their_kind() -> None:
    made = tag()
    for mark in expanded(dressed(made, *fits()), made.statics()):
        assert isinstance(mark.paint, Cmyk) == (mark.plate == 0)
        assert mark.plate in (0, 1, 2)


def test_the_same_record_gives_the_same_marks_whatever_was_dressed_before() -> None:
    names = ["Ofelia", "Zimmer", "AVATAR", "minimum", "Tuft"]
    records = [fits(name, role) for name in names for role in ("Director", "AVA Ty")]
    slots = [Placement(30.0 + 41.3 * i, 50, 90.0 * i) for i in range(4)]
    work = [(r, s) for r in records for s in slots]
    first, second = tag(), tag()
    forward = [dressed(first, *r, placement=s) for r, s in work]
    order = list(range(len(work)))
    random.Random(7).shuffle(order)
    mixed = {i: dressed(second, *work[i][0], placement=work[i][1]) for i in order}
    assert forward == [mixed[i] for i in range(len(work))]
    assert first.reports == second.reports
    assert first.statics() == second.statics()


def test_items_can_be_pickled() -> None:
    item = dressed(tag(), *fits())
    assert pickle.loads(pickle.dumps(item)) == item


def test_only_codes_depend_on_the_slot() -> None:
    made = tag()
    here, there = (dressed(made, *fits(), placement=Placement(x, 50, 0)) for x in (50, 60.01))
    differ = [a for a, b in zip(here.spread(), there.spread()) if a != b]
    assert [type(m).__name__ for m in differ] == ["ModuleGrid", "Path"]


def test_reports_name_the_field_once_and_count_records() -> None:
    made = dresser([text_field("a", (1, 10, 38, 9)), text_field("b", (1, 1, 38, 8))])
    for _ in range(3):
        dressed(made, text(BOLD, "Bold", 20, 1, 2), text(SERIF, "Hairline", 8, 1, 2))
    ((note, count),) = made.reports.items()
    assert (note.kind, note.severity, note.where.field, count) == ("choke-reduced", "note", "b", 3)
    assert "'White'" in note.what and "\n" not in str(note)


def test_an_unknown_blank_is_taken_for_a_plain_dark_one() -> None:
    made = tag()
    assert dressed(made, *fits(), blank="") == dressed(made, *fits(), blank="dark")


def test_two_colour_plates_print_the_same() -> None:
    chosen = (*plates(), model.Plate(name="Colour 2", role="colour"))
    made = dresser([text_field("t", (1, 10, 38, 9))], plates=chosen)
    item = dressed(made, text(BOLD, "Twice", 20, 1, 2))
    first, second = [m for m in item.spread() if m.plate in (0, 3)]
    assert first._replace(plate=3) == second


@pytest.mark.parametrize("angle", [0.0, 90.0, 180.0, 270.0])
def test_a_whole_item_in_any_slot_has_a_code_on_white(angle: float) -> None:
    made = tag()
    item = dressed(made, *fits(), placement=Placement(77.7, 66.6, angle))
    marks = expanded(item, made.statics())
    modules = rendered([m for m in marks if isinstance(m, ModuleGrid)], dpi=600)
    white = rendered([m for m in marks if m.plate == 1], dpi=600)
    assert modules.any() and not (modules & ~white).any()
