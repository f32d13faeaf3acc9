"""Print that comes across a code holds its record; distances are worked out by hand from the
extents that HarfBuzz gives for the letters."""

from __future__ import annotations

import pytest
from platework import (
    BOLD,
    code_field,
    dresser,
    no_picture,
    plates,
    qr,
    text,
    text_field,
)  # fmt: skip

from vardata.dress.drawing import Picture
from vardata.fit.result import FieldFit, PictureFit, TextFit
from vardata.job import model

REMEDY = "move one of their two boxes or make it smaller, so that they lie apart"
LIGHT = model.Blank(surface="light")
DARK = model.Blank(surface="dark")
# 21 modules of 0.4 mm in the middle of a box of 16 mm: the symbol from 3.8, its quiet zone of
# four modules from 2.2 to 13.8 mm of the box. The box lies at (22, 2): the zone begins at 24.2.
CODE = qr("A1", 0.4, 3.8, 3.8)
BOX = (22, 2, 16, 16)
ZONE = 24.2


def ending_at(x: float, words: str = "Imago", y: float = 8.0) -> TextFit:
    """A text in a box at (0, 0) whose ink ends at x mm."""
    fit = text(BOLD, words, 10, 0.0, y)
    return text(BOLD, words, 10, x - fit.ink[2], y)


def checked(
    fields: list[model.AnyField], fits: list[FieldFit], blank: model.Blank, **layout: object
) -> str | None:
    made = dresser(fields, blanks={"b": blank}, plates=plates(), **layout)
    problem = made.check("b", fits, no_picture)  # type: ignore[arg-type]
    if problem is not None:
        assert problem.kind == "code-crossed" and problem.severity == "hold"
    return None if problem is None else str(problem)


TEXT = text_field("who", (0, 0, 40, 20))
QR = code_field("seat", BOX)


@pytest.mark.parametrize(
    ("fields", "blank", "what"),
    [
        ([QR, TEXT], DARK, "it runs 1.3 mm over the code 'seat' or its quiet zone"),
        ([QR, TEXT], LIGHT, "it runs 1.3 mm over the code 'seat' or its quiet zone"),
        ([TEXT, QR], DARK, "the ground of the code 'seat' covers 1.3 mm of it"),
        ([TEXT, QR], LIGHT, "it runs 1.3 mm under the code 'seat' or its quiet zone"),
    ],
)
def test_a_text_that_comes_across_a_code_is_held(
    fields: list[model.AnyField], blank: model.Blank, what: str
) -> None:
    fits = [CODE if field is QR else ending_at(ZONE + 1.3) for field in fields]
    assert checked(fields, fits, blank) == f"field 'who': {what}; {REMEDY}"


@pytest.mark.parametrize(("over", "held"), [(-0.5, False), (0.03, False), (0.1, True)])
def test_less_than_the_dot_that_a_code_is_moved_by_is_let_through(over: float, held: bool) -> None:
    # A dot of 600 dpi is 0.042 mm.
    said = checked([QR, TEXT], [CODE, ending_at(ZONE + over)], DARK)
    assert said == (
        f"field 'who': it runs 0.1 mm over the code 'seat' or its quiet zone; {REMEDY}"
        if held else None
    )  # fmt: skip


def test_the_letters_count_not_the_box_round_them() -> None:
    # The arms of a V pass above the corner of the zone, the foot of an L would lie in it.
    def mid(letter: str) -> TextFit:
        fit = text(BOLD, letter, 24, 0.0, 0.0)
        high = fit.ink[3] - fit.ink[1]
        # Its lower right quarter lies over the upper left corner of the zone (24.2, 15.8).
        return text(BOLD, letter, 24, ZONE + 1.0 - fit.ink[2], 15.8 - high * 0.3)

    assert checked([QR, TEXT], [CODE, mid("V")], DARK, height=30) is None
    assert checked([QR, TEXT], [CODE, mid("L")], DARK, height=30) is not None


def test_a_turned_text_is_turned_before_it_is_judged() -> None:
    # Turned by 90 degrees about (20, 10), what ends at x = 24.2 in its box ends at y = 14.2.
    turned = text_field("who", (0, 0, 40, 20), rotation=90)
    above = code_field("seat", (12, 20, 16, 16))  # its zone from 22.2 up
    for end, held in ((32.1, False), (32.3, True)):
        said = checked([above, turned], [CODE, ending_at(end)], DARK, height=40)
        assert (said is not None) == held


def test_boxes_that_lie_apart_are_never_looked_at() -> None:
    made = dresser([text_field("who", (0, 0, 22, 20)), QR], plates=plates())
    assert not made._crossings
    assert made.check("dark", [ending_at(ZONE + 5), CODE]) is None  # its fit is false, not its box


def test_gloss_over_a_code_is_no_fault() -> None:
    gloss = text_field("who", (0, 0, 40, 20), colour="Gloss")
    assert checked([QR, gloss], [CODE, ending_at(ZONE + 4)], DARK) is None


def test_an_empty_field_crosses_nothing() -> None:
    assert checked([QR, TEXT], [CODE, None], DARK) is None
    assert checked([QR, TEXT], [None, ending_at(ZONE + 4)], DARK) is None


def test_two_codes_may_share_a_quiet_zone_but_no_modules() -> None:
    beside = code_field("bag", (12, 2, 16, 16))
    apart = qr("A2", 0.4, -2.0, 3.8)  # from 10 to 18.4 mm; the other's zone begins at 24.2
    assert checked([QR, beside], [CODE, apart], LIGHT) is None
    into = qr("A2", 0.4, 4.8, 3.8)  # from 16.8 to 25.2: 1 mm in the quiet zone
    assert checked([QR, beside], [CODE, into], LIGHT) == (
        f"field 'bag': it runs 1.0 mm over the code 'seat' or its quiet zone; {REMEDY}"
    )


def a_picture(coverage: tuple[float, float, float, float]) -> Picture:
    return Picture(
        "p", 1, 1, "DeviceGray", "None", b"\0", (), b"", (("re", *coverage),)
    )


@pytest.mark.parametrize(
    ("after", "box", "held"),
    [
        (True, (28.5, 8.5, 3, 3), False),  # within the window of 34 percent: 7 modules, 2.8 mm
        (True, (26, 6, 8, 8), True),
        (False, (20, 0, 20, 20), False),  # below a code: a ground that is wanted
    ],
)
def test_a_logo_belongs_in_the_window(
    after: bool, box: model.Box, held: bool
) -> None:
    windowed = code_field("seat", BOX, level="H", window=34)
    logo = model.PictureField.model_validate(
        {"type": "picture", "name": "logo", "file": "{{ logo }}", "box": box, "fit": "stretch"}
    )
    fields: list[model.AnyField] = [windowed, logo] if after else [logo, windowed]
    made = dresser(fields, blanks={"b": DARK}, plates=plates())
    shown = a_picture((0.04, 0.04, 0.92, 0.92))
    fits: list[FieldFit] = [CODE if f is windowed else PictureFit("x.png") for f in fields]
    problem = made.check("b", fits, lambda path, framing: shown)
    assert (problem is not None) == held
    if problem is not None:
        assert str(problem).startswith("field 'logo': it runs ")
