"""Total ink: sums by hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image
from platework import dresser as make_dresser
from platework import shape_field, text_field

from vardata.dress import pictures
from vardata.dress.drawing import Drawing, Shape
from vardata.dress.framing import Framing
from vardata.job import model
from vardata.marks import Cmyk
from vardata.problems import Where

LOGO = (
    model.Art(file="logo.svg", box=(0, 0, 40, 20)),
    Drawing((Shape((("re", 1, 1, 6, 4),), Cmyk(0.9, 0.8, 0.7, 0.6)),)),
)
FIELDS = [
    shape_field("panel", (10, 2, 10, 4), shape="rectangle", fill=[60, 60, 60, 30]),
    text_field("name", (10, 8, 20, 9), colour=[0, 100, 100, 20]),
]


def told(limit: float | None) -> list[str]:
    made = make_dresser(FIELDS, [LOGO])
    setup = made._setup
    mode = setup.mode.model_copy(update={"ink_limit": limit})
    made._setup = setup.model_copy(update={"mode": mode})
    return [str(problem) for problem in made.problems()]


def line(name: str, ink: int, limit: int) -> str:
    return (
        f"tag.toml: {name!r} has {ink} % of ink, and the print mode takes at most {limit} %; "
        "choose a lighter colour, or convert the picture for this machine"
    )


@pytest.mark.parametrize(
    ("limit", "want"),
    [
        (None, []),
        (300, []),
        (299, [("logo.svg", 300)]),
        (215, [("logo.svg", 300), ("name", 220)]),
        (200, [("logo.svg", 300), ("panel", 210), ("name", 220)]),
    ],
)
def test_what_has_more_ink_than_the_mode_takes(
    limit: float | None, want: list[tuple[str, int]]
) -> None:
    assert told(limit) == [line(name, ink, int(limit or 0)) for name, ink in want]


def test_a_picture_in_inks_counts_by_its_heaviest_pixel(tmp_path: Path) -> None:
    """204 + 153 + 255 + 51 of 255 levels: 80 + 60 + 100 + 20 = 260 %."""
    image = Image.new("CMYK", (300, 300), (10, 10, 10, 10))
    image.putpixel((299, 299), (204, 153, 255, 51))
    image.save(tmp_path / "photo.tif")
    where = Where("photo.tif")
    read = pictures.read_picture(tmp_path / "photo.tif", Framing(limited=True), where).picture
    assert read.heaviest == pytest.approx(260, abs=0.01)
    assert pictures.read_picture(tmp_path / "photo.tif", Framing(), where).picture.heaviest == 0
