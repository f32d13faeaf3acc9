"""Static print over and under codes, told once a layout; places are worked out by hand, contrasts
as in the tests of contrast."""

from __future__ import annotations

import pytest
from platework import code_field, dresser, plates, shape_field

from vardata.dress.drawing import Drawing, Picture, PlacedPicture
from vardata.job import model

QR = code_field("seat", (12, 2, 16, 16))
LIGHT = model.Blank(surface="light")
DARK = model.Blank(surface="dark")


def told(
    *fields: model.AnyField, blank: model.Blank = DARK, art: object = ()
) -> tuple[list[str], list[str]]:
    """Errors and warnings."""
    made = dresser(fields, art, blanks={"b": blank}, plates=plates())  # type: ignore[arg-type]
    return [str(p) for p in made.problems()], [str(p) for p in made.warnings()]


def band(box: model.Box, **more: object) -> model.ShapeField:
    return shape_field("band", box, shape="rectangle", **{"fill": "#c0392b", **more})


OVER = (
    "tag.toml, field 'band': it is printed over the code 'seat'; move one of the two, or list the "
    "shape before the code"
)
PART = (
    "tag.toml, field 'band': it is printed over a part of the box of the code 'seat'; move one of "
    "the two, list the shape before the code, or look at a proof"
)


@pytest.mark.parametrize(
    ("shape", "errors", "warnings"),
    [
        (band((0, 8, 40, 4)), [OVER], []),  # through the middle
        (band((0, 0, 14, 20)), [], [PART]),  # two mm of the box's left edge
        (band((0, 0, 12, 20)), [], []),  # beside it
        (band((0, 8, 40, 4), fill="White"), [OVER], []),  # white ink takes the modules out
        (band((0, 8, 40, 4), fill="Gloss"), [], []),  # gloss keeps off codes
    ],
)
def test_a_shape_listed_after_a_code_covers_it(
    shape: model.ShapeField, errors: list[str], warnings: list[str]
) -> None:
    assert told(QR, shape) == (errors, warnings)


def test_a_shape_listed_before_a_code_lies_below_its_ground() -> None:
    assert told(band((0, 8, 40, 4)), QR) == ([], [])


def test_a_shape_in_the_window_of_a_code_is_its_logo() -> None:
    windowed = code_field("seat", (12, 2, 16, 16), level="H", window=30)
    assert told(windowed, band((18, 8, 4, 4))) == ([], [])  # 4.8 mm of 16 are free
    assert told(windowed, band((17, 7, 6, 6))) == ([OVER], [])


GROUND = 'write ground = "always" for the code, or lay a plain light shape between them'
WEAK = (
    "tag.toml, field 'seat': it hardly stands out from 'band', on which it lies without a ground; "
    + GROUND
)


@pytest.mark.parametrize(
    ("fill", "blank", "said"),
    [
        ("#101010", LIGHT, [WEAK]),
        ("black", LIGHT, [WEAK]),
        ("yellow", LIGHT, []),  # cameras see black on yellow
        ("White", LIGHT, []),
        ("black", DARK, []),  # a ground lies between
    ],
)
def test_a_code_without_a_ground_on_dark_art_is_warned_of(
    fill: str, blank: model.Blank, said: list[str]
) -> None:
    assert told(band((0, 0, 40, 20), fill=fill), QR, blank=blank) == ([], said)


def test_what_lies_topmost_below_the_code_counts() -> None:
    light = shape_field("panel", (11, 1, 18, 18), shape="rectangle", fill="yellow")
    dark = band((0, 0, 40, 20), fill="black")
    assert told(dark, light, QR, blank=LIGHT) == ([], [])
    assert told(light, dark, QR, blank=LIGHT) == ([], [WEAK])


def test_a_code_on_a_picture_may_not_stand_out_everywhere() -> None:
    said = "field 'seat': it lies on the picture {!r} without a ground, so it may not stand out "
    raster = Picture("p", 1, 1, "DeviceGray", "None", b"\0", (), b"", (("re", 0, 0, 1, 1),))
    photo = model.Art(file="sea.png", box=(0, 0, 40, 20))
    drawn = Drawing((PlacedPicture(raster, 0, 0, 40, 20, 0),))
    assert told(QR, blank=LIGHT, art=[(photo, drawn)]) == (
        [], ["tag.toml, " + said.format("sea.png") + "everywhere; " + GROUND]
    )  # fmt: skip
    assert told(QR, blank=DARK, art=[(photo, drawn)]) == ([], [])
    portrait = model.PictureField.model_validate(
        {"type": "picture", "name": "portrait", "file": "{{ p }}", "box": (0, 0, 40, 20)}
    )
    assert told(portrait, QR, blank=LIGHT) == (
        [], ["tag.toml, " + said.format("portrait") + "everywhere; " + GROUND]
    )  # fmt: skip
