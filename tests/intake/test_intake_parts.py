"""Labelled parts of one cell, by a pattern that the job states."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from intake_setups import book, opened, outcome, written
from pydantic import ValidationError

from vardata.intake.parts import Split, part_names
from vardata.intake.record import HeldRow, Record
from vardata.job.model import Column

PATTERN = "Name: {name} / Date: {date}[ / Line: {line}]"
JOB: dict[str, Any] = {
    "columns": {"text": {"heading": "Personalisation", "parts": PATTERN}},
    "records": {"order": "Order"},
}

CELLS = {
    "Name: Ann Lee / Date: 5 May": ("Ann Lee", "5 May", ""),
    "name:Ann Lee/DATE :5 May".replace("DATE :", "DATE:"): ("Ann Lee", "5 May", ""),
    "Name:  Ann\nLee  /\nDate: 5 May / Line: x / y": ("Ann\nLee", "5 May", "x / y"),
    "": ("", "", ""),
    "Name: / Date: ": ("", "", ""),
}


@pytest.mark.parametrize("cell", CELLS)
def test_parts_by_their_labels(cell: str) -> None:
    assert Split(0, PATTERN, part_names(PATTERN)).parts(cell) == CELLS[cell]


# Pattern -> cell -> the label that is one too many.
TOO_MANY = {
    "Name: {name}[ / Table: {table}]": {
        "Name: Ida / Table 7 / Colour: red": "Colour:",
        "Name: Gus / Table: 7 / Table: 8": "Table:",
        "Name: Gus / Table:7 table : 8": "table :",
        "Name: Ida\nColour: red": "Colour:",
        "Name: Ida / Name: Bo": "Name:",
    },
    "Name: {name}; Date: {date}": {"Name: Ida; Date: 5 May; Ink colour: red": "Ink colour:"},
    "Name: {name}": {"Name: Ida / Ort: Ulm": "Ort:", "Name: Ida|Größe: L": "Größe:"},
    "{name}: {text}": {"Ida: Hi / Colour: red": "Colour:"},
}


@pytest.mark.parametrize(
    ("pattern", "cell"), [(pattern, cell) for pattern in TOO_MANY for cell in TOO_MANY[pattern]]
)
def test_a_label_that_the_pattern_does_not_have_is_not_printed(pattern: str, cell: str) -> None:
    split = Split(0, pattern, part_names(pattern))
    assert split.parts(cell) is None
    what = split.fault(0, cell).what
    label = TOO_MANY[pattern][cell]
    assert what.endswith(
        f" does not follow the pattern {pattern!r}, which has no place for a label '{label}' there"
    )


@pytest.mark.parametrize("part", [
    "AC/DC", "Doors / from 7:30", "Doors / 19:30", "Psalm 23:1", "Ann; Bo", "see https://a.example",
    "Table 7 / Colour red", "Mind / Body", "a / https://a.example", "Note: hi", "Comfortable: x",
])  # fmt: skip
def test_a_part_may_hold_marks_and_colons(part: str) -> None:
    pattern = "Name: {name}[ / Table: {table}]"
    cell = f"Name: Ida / Table: {part}"
    assert Split(0, pattern, part_names(pattern)).parts(cell) == ("Ida", part)


def test_a_label_too_many_holds_the_row(tmp_path: Path) -> None:
    text = "Order,Personalisation\nA1,Name: Ann / Date: 5 May / Colour: red\n"
    assert outcome(opened(written(tmp_path, text), "name date", **JOB)) == [
        "held sheet!2: sheet 'sheet', row 2, column 'Personalisation': 'Name: Ann / Date: 5 May / "
        f"Colour: red' does not follow the pattern '{PATTERN}', which has no place for a label "
        "'Colour:' there; write the cell like it, or mend parts under [columns]"
    ]


def test_parts_are_columns_of_their_own(tmp_path: Path) -> None:
    text = "Order,Personalisation\nA1,Name: Ann / Date: 5 May\nA2,Ann on the 5th\nA3,\n"
    intake = opened(written(tmp_path, text), "name date", **JOB)
    assert intake.names == ("order", "text", "name", "date", "line")
    assert intake.headings == ("Order", "Personalisation")
    assert outcome(intake) == [
        "sheet!2#1 A1/ A1 | Name: Ann / Date: 5 May | Ann | 5 May | ",
        "held sheet!3: sheet 'sheet', row 3, column 'Personalisation': 'Ann on the 5th' does not "
        f"follow the pattern '{PATTERN}'; write the cell like it, or mend parts under [columns]",
        "sheet!4#1 A3/ A3 |  |  |  | ",
    ]


def test_a_part_is_checked_like_a_column_and_named_in_messages(tmp_path: Path) -> None:
    rows = [["Order", "Personalisation"], ["A1", "Name: TEST / Date: 31.02.2026"],
            ["A2", "Name: Ann, / Date: x"]]  # fmt: skip
    levels = {"columns": {"name": {"edge_marks": "hold"}}}
    intake = opened(book(tmp_path, rows), "name date", **JOB, checks=levels)
    held = [str(p) for row in intake if isinstance(row, HeldRow) for p in row.problems]
    where = "sheet 'Orders', row {}, column 'Personalisation': "
    assert held == [
        where.format(2) + "'TEST' stands for no text of its own; write what is to be printed, or "
        "leave the cell empty",
        where.format(2) + "'31.02.2026' is no date that any calendar has; write the date that is "
        "meant",
        where.format(3) + "the text 'Ann,' ends with ,; take the mark out",
    ]


def test_a_quantity_may_be_a_part(tmp_path: Path) -> None:
    column = {"heading": "Text", "parts": "{name} x{pieces}"}
    path = written(tmp_path, "Text\nAnn x3\nBo xx\n")
    intake = opened(
        path, "name", columns={"text": column}, records={"quantity": "pieces"}
    )  # fmt: skip
    assert outcome(intake)[2:] == [
        "sheet!2#3 / Ann x3 | Ann | 3",
        "held sheet!3: sheet 'sheet', row 3, column 'Text: pieces': quantity 'x' is not a number; "
        "write a whole number from 0 to 100",
    ]


@given(st.lists(st.text("abc :/\n", max_size=6), min_size=2, max_size=2))
def test_what_was_put_together_comes_apart_again(values: list[str]) -> None:
    name, date = (value.replace("/", "").replace(":", "").strip() for value in values)
    found = Split(0, "N: {n} / D: {d}", ("n", "d")).parts(f"N: {name} / D: {date}")
    assert found == (name, date)


def test_the_pattern_takes_nothing_from_records_without_it(tmp_path: Path) -> None:
    path = written(tmp_path, "Order,Personalisation\nA1,x\n")
    rows = list(opened(path, "personalisation", records={"order": "Order"}))
    assert [row.values for row in rows if isinstance(row, Record)] == [("A1", "x")]


BAD = {
    "Name": "'Name' names no parts; write it like \"Name: {name} / Date: {date}\"",
    "{a} {2b}": "{2b} cannot name a part; use a-z, 0-9 and _, each name once",
    "{a} / {a}": "{a} cannot name a part; use a-z, 0-9 and _, each name once",
    "{a} {b}": "'{a} {b}' has two parts side by side; put a label between them",
    "{a} [/ {b}": "'{a} [/ {b}' has a bracket too many; write [ ] around what may be missing",
}


@pytest.mark.parametrize("pattern", BAD)
def test_patterns_that_are_refused(pattern: str) -> None:
    with pytest.raises(ValidationError) as caught:
        Column(heading="Text", parts=pattern)
    assert caught.value.errors()[0]["msg"] == f"Value error, {BAD[pattern]}"


def test_a_part_with_the_name_of_a_column_is_refused(tmp_path: Path) -> None:
    from vardata.problems import SheetError

    path = written(tmp_path, "Name,Personalisation\nAnn,x\n")
    with pytest.raises(SheetError) as caught:
        opened(path, "name", columns=JOB["columns"])
    assert (
        "the part {name} of column 'text' has the name of a column; give the part a name of its own"
        in str(caught.value)
    )
