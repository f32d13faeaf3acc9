"""Lengths, sizes and colours as they arrive in the models.

The inch is 25.4 mm (international yard of 1959), the point 1/72 inch (ISO 32000-1, 8.3.2.3).
"""

from __future__ import annotations

import pytest
from job_folder import GOOD, JobFolder
from pydantic import ValidationError

from vardata.job.model import Layout, TextField


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        ("30", 30.0),
        ("30.5", 30.5),
        ('"30"', 30.0),
        ('"2.5in"', 63.5),
        ('"1 in"', 25.4),
        ('"72pt"', 25.4),
        ('"10pt"', 10 * 25.4 / 72),
        ('"3cm"', 30.0),
        ('"2500um"', 2.5),
        ('"+4 MM"', 4.0),
    ],
)
def test_lengths(job: JobFolder, written: str, mm: float) -> None:
    job.change("bed.toml", ("width = 400", f"width = {written}"))
    assert job.load().bed.width == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize(
    ("written", "dpi", "mm"),
    [
        ('"2 dots"', "[720, 1440]", 2 * 25.4 / 720),  # the larger of two
        ('"1.5 Dots"', "[600, 600]", 1.5 * 25.4 / 600),
        ('"1 dot"', "[360, 1440]", 25.4 / 360),
        ('"0.2pt"', "[1440, 720]", 0.2 * 25.4 / 72),
        ("0.08", "[1440, 720]", 0.08),
    ],
)
def test_lengths_in_dots_become_mm_by_the_print_mode(
    job: JobFolder, written: str, dpi: str, mm: float
) -> None:
    job.change("bed.toml", ("dpi = [720, 1440]", f"dpi = {dpi}"))
    job.change("tag.toml", ("choke = 0.06", f"choke = {written}\nchoke_holes = {written}"))
    plate = job.load().layout.plates[1]
    assert plate.choke == plate.choke_holes == pytest.approx(mm, rel=1e-12)
    assert type(plate.choke) is float


@pytest.mark.parametrize(
    ("written", "line"),
    [
        ('"4 feet"', "unit 'feet' in '4 feet' is not known; use one of mm, cm, in, pt, um"),
        ('"4,5"', "'4,5' is not a length; write a number of mm or a text like \"2.5in\""),
        ('"1e3"', "'1e3' is not a length; write a number of mm or a text like \"2.5in\""),
        ('""', "'' is not a length; write a number of mm or a text like \"2.5in\""),
        ("true", 'true is not a length; write a number of mm or a text like "2.5in"'),
        ("-1", "-1 is out of range; it must be more than 0"),
        ('"-1cm"', "'-1cm' is out of range; it must be more than 0"),
        ("nan", "nan is no number to work with; write a plain number"),
        ("1e999", "inf is no number to work with; write a plain number"),
        (f'"{"9" * 400}"', f"'{'9' * 57}...' is out of range; it must be at most 100000"),
    ],
)
def test_lengths_that_are_none(job: JobFolder, written: str, line: str) -> None:
    job.change("tag.toml", ("width = 60", f"width = {written}"))
    assert job.faults() == [f"tag.toml:2, width: {line}"]


def field(**more: object) -> TextField:
    base = {"type": "text", "name": "x", "text": "x", "font": "X", "box": [0, 0, 1, 1]}
    return TextField.model_validate({**base, "size": "10pt", **more})


@pytest.mark.parametrize(
    ("written", "pt"), [("14pt", 14.0), ("14 PT", 14.0), ("25.4mm", 72.0), ("1in", 72.0)]
)
def test_sizes(written: str, pt: float) -> None:
    assert field(size=written).size == pytest.approx(pt, rel=1e-12)


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("black", "black"),
        ("#0aF3c9", "#0aF3c9"),
        ("White", "White"),
        ([0, 50.5, 100, 0], (0.0, 50.5, 100.0, 0.0)),
        ((0.0, 0.0, 0.0, 1.0), (0.0, 0.0, 0.0, 1.0)),
    ],
)
def test_colours(written: object, value: object) -> None:
    assert field(colour=written).colour == value


@pytest.mark.parametrize(
    "written",
    ["", "#12345", "#1234567", "#gggggg", [0, 0, 0], [0, 0, 0, 101], [0, 0, 0, -1], [True] * 4,
     [float("nan")] * 4, ["0"] * 4, 5, None, {}],
)  # fmt: skip
def test_things_that_are_no_colour(written: object) -> None:
    with pytest.raises(ValidationError):
        field(colour=written)


def test_colours_by_the_names_of_plates(job: JobFolder) -> None:
    job.change("tag.toml", ("stroke = [0, 50, 100, 0]", 'stroke = "Gloss"\nfill = "white"'))
    shape = job.load().layout.fields[2]
    assert (getattr(shape, "stroke", None), getattr(shape, "fill", None)) == ("Gloss", "white")


def test_models_cannot_be_changed() -> None:
    layout = Layout(name="x", width=10, height=10)
    with pytest.raises(ValidationError):
        layout.width = 11  # type: ignore[misc]


def test_columns_are_headings_or_tables(job: JobFolder) -> None:
    columns = job.load().job.columns
    assert columns["owner"] == "Owner"
    assert getattr(columns["number"], "heading", None) == "Asset no"


def test_the_order_of_tables_in_a_file_does_not_matter(job: JobFolder) -> None:
    text = GOOD["bed.toml"]
    cut = text.index("[plate_names]")
    first = text.index("[modes.fine]")
    job.write("bed.toml", text[:first] + text[cut:] + "\n" + text[first:cut])
    assert job.load().bed.plate_names == {"White": "Undercoat"}


def test_the_names_of_colours_mean_what_dress_prints() -> None:
    from vardata.dress import colour as dress
    from vardata.job.values import COLOUR_NAMES, WHITE

    printed = {name: tuple(100 * part for part in ink) for name, ink in dress.NAMES.items()}
    assert printed == {**COLOUR_NAMES, WHITE: (0.0, 0.0, 0.0, 0.0)}


def test_a_colour_without_ink_needs_a_white_plate(job: JobFolder) -> None:
    job.change("tag.toml", ('role = "white"\ncover = "art"', 'role = "gloss"\ncover = "art"'))
    for colour in ('"white"', '"#FFFFFF"', "[0, 0, 0, 0]"):
        text = (job.path / "tag.toml").read_text()
        job.change("tag.toml", ("stroke = [0, 50, 100, 0]", f"stroke = {colour}"))
        assert job.faults() == [
            "tag.toml:56, fields[2].stroke, field 'frame': the colour is white, but the layout "
            'has no white plate; add a plate with role = "white", or choose another colour'
        ]
        job.write("tag.toml", text)
