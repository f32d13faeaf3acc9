"""Which plates a colour goes on; which plates print white on which blank."""

from __future__ import annotations

import pytest
from platework import plates

from vardata.dress.ink import NO_INK, Ink, Plates
from vardata.job import model
from vardata.marks import BLACK
from vardata.problems import JobError


def made(*more: model.Plate, white: str = "art") -> Plates:
    chosen = (*plates(white), *more)
    return Plates(model.Layout(name="t", width=1, height=1, plates=chosen), "tag.toml")


SECOND = model.Plate(name="Second", role="white")


def test_names_of_plates_go_before_names_of_colours() -> None:
    named = made(model.Plate(name="black", role="gloss"))
    assert named.ink("black", "k") == Ink("gloss", NO_INK, (3,))
    assert made().ink("black", "k") == Ink("colour", BLACK)
    assert made().ink("White", "k") == Ink("white", NO_INK, (1,))
    assert made().ink("Gloss", "k") == Ink("gloss", NO_INK, (2,))


@pytest.mark.parametrize("colour", ["white", "#ffffff", (0, 0, 0, 0)])
def test_no_process_ink_is_white_ink(colour: model.Colour) -> None:
    assert made().ink(colour, "k") == Ink("white", NO_INK)
    assert made().of_paint(None, "k") == Ink("white", NO_INK)


def test_a_colour_plates_name_is_no_colour() -> None:
    with pytest.raises(JobError) as error:
        made().ink("Colour", "fields.a.colour")
    assert error.value.problems[0].where.key == "fields.a.colour"


@pytest.mark.parametrize(
    ("wish", "covers", "inked"),
    [
        ("layout", {1: "art", 3: "none"}, (1,)),
        ("none", {1: "none", 3: "none"}, ()),
        ("flood", {1: "flood", 3: "none"}, (1,)),
        ("knockout", {1: "knockout", 3: "none"}, (1,)),
    ],
)
def test_a_blank_overrides_the_plates_that_cover(
    wish: str, covers: dict[int, str], inked: tuple[int, ...]
) -> None:
    blank = model.Blank.model_validate({"white": wish})
    assert made(SECOND).covers(blank) == covers
    assert made(SECOND).inked(blank) == inked


def test_where_nothing_covers_the_first_white_plate_serves() -> None:
    blank = model.Blank(white="art")
    assert made(SECOND, white="none").covers(blank) == {1: "art", 3: "none"}
    assert made(SECOND, white="none").inked(model.Blank()) == (1,)


def test_white_ink_goes_where_it_is_sent() -> None:
    both = made(SECOND)
    assert both.white_plates(both.ink("Second", "k"), model.Blank()) == (3,)
    assert both.white_plates(both.ink("white", "k"), model.Blank()) == (1,)
    assert both.white_plates(both.ink("Second", "k"), model.Blank(white="none")) == ()
