"""Messy order sheets made by hand, each with every line that a person gets to read of it.

A case is a file in ``corpus``: what it is about, the sheet, the job's keys, and what is said, by
the whole-column look of a check. Common practice, no source: sheets as shops get them.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from intake_setups import book, make_setup, outcome, written

from vardata.intake import open_intake

CASES = sorted((Path(__file__).parent / "corpus").glob("*.toml"))


def read(path: Path) -> dict[str, Any]:
    with path.open("rb") as file:
        return tomllib.load(file)


def told(case: dict[str, Any], folder: Path) -> list[str]:
    """What is said of a sheet: held and skipped rows, then notes; records are left out."""
    if "text" in case:
        data = case["text"].encode(case.get("encoding", "utf-8"))
        path = written(folder, data, case["file"])
    else:
        path = book(folder, case["rows"], lambda _, sheet: _dressed(sheet, case), case["file"])
    needed = frozenset(case["needed"].split()), frozenset(case.get("codes", "").split())
    intake = open_intake(make_setup(path, **case["job"]), needed[1], needed[0], thorough=True)
    assert outcome(intake) == outcome(intake)  # the second reading says what the first did
    return [line for line in outcome(intake) if not line.startswith(f"{intake.sheet}!") or
            "skipped" in line]  # fmt: skip


def _dressed(sheet: Any, case: dict[str, Any]) -> None:
    for place, code in case.get("formats", {}).items():
        sheet[place].number_format = code
    for number in case.get("hidden", ()):
        sheet.row_dimensions[number].hidden = True
    for area in case.get("merged", ()):
        sheet.merge_cells(area)


def test_the_corpus_is_not_lost() -> None:
    assert len(CASES) >= 30


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_what_is_said_of_a_messy_sheet(path: Path, tmp_path: Path) -> None:
    case = read(path)
    assert told(case, tmp_path) == case["expected"]
