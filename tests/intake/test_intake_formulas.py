"""What a spreadsheet left of a formula in a text: its error, or the formula itself.

The errors are the error constants of ECMA-376 part 1, 18.17.3; the formulas are valid by its
grammar, 18.17. Which of other texts are good ones is common practice, no source.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from intake_setups import opened, outcome, written

from vardata.intake.record import Record

ERRORS = ["#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!"]
FORMULAS = ["=D7+1", '=A1&"x"', "=SUM(A1:A3)", "=$B$2", "='Day 1'!A1", "=Sheet2!A1", "=1+2", "=-A1"]
GOOD = ["#7", "#1 Dad", "#WINNER", "# REF", "=^.^=", "= Love =", "E=mc2", "=1st", "==="]


def said(folder: Path, cell: str, suffix: str, codes: str = "", **job: object) -> list[str]:
    quoted = cell.replace('"', '""')
    data = json.dumps({"Name": cell}) if suffix == "jsonl" else f'Name\n"{quoted}"\n'
    path = written(folder, data, f"sheet.{suffix}")
    lines = outcome(opened(path, "name", codes, **job))
    return [line.partition("column 'Name': ")[2] for line in lines if "column 'Name'" in line]


@pytest.mark.parametrize("codes", ["", "name"], ids=["text", "code"])
@pytest.mark.parametrize("suffix", ["csv", "jsonl"])
@pytest.mark.parametrize("cell", ERRORS)
def test_the_error_of_a_spreadsheet_is_held(
    cell: str, suffix: str, codes: str, tmp_path: Path
) -> None:
    what = f"the text '{cell}' is a spreadsheet's error; write what is to be printed"
    assert said(tmp_path, cell, suffix, codes) == [what]
    path = tmp_path / f"sheet.{suffix}"
    assert not [row for row in opened(path, "name", codes) if isinstance(row, Record)]


@pytest.mark.parametrize("codes", ["", "name"], ids=["text", "code"])
@pytest.mark.parametrize("cell", FORMULAS)
def test_a_formula_as_a_text_is_warned_of(cell: str, codes: str, tmp_path: Path) -> None:
    what = "looks like a formula that was not worked out; write what it should give"
    assert [line.partition(" looks")[2] for line in said(tmp_path, cell, "csv", codes)] == [
        what.removeprefix("looks")
    ]
    off = {"formula_text": "off"}
    assert said(tmp_path, cell, "csv", codes, checks=off) == []
    held = {"formula_text": "hold"}
    path = tmp_path / "sheet.csv"
    rows = list(opened(path, "name", codes, checks=held))
    assert len(rows) == 1 and not isinstance(rows[0], Record)


@pytest.mark.parametrize("cell", GOOD)
def test_texts_that_only_begin_alike_are_left_alone(cell: str, tmp_path: Path) -> None:
    lines = said(tmp_path, cell, "csv", checks={"edge_marks": "off", "all_capitals": "off"})
    assert lines == []
