"""No record is lost, none is printed twice: order sheets against runs, counted independently."""

from __future__ import annotations

import csv
import unicodedata
from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from fontTools.ttLib import TTFont
from run_kit import DONE, HELD, ROOT, Run
from run_sheets import OrderSheet, SheetRow

REDUCED = (
    "field 'thing': on plate 'White' the choke of 0.06 mm is reduced to as little as 0.036 mm "
    "where strokes are too thin for it\n"
)


def aside(run: Run, name: str) -> dict[int, dict[str, str]]:
    """Rows of ``held.csv`` or ``skipped.csv`` by their number in the order sheet."""
    with (run.out / f"{name}.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    found = {int(row[f"{name}: row"]): row for row in rows}
    assert len(found) == len(rows), f"a row is twice in {name}.csv"
    return found


@pytest.fixture(params=["medals", "tags"])
def pair(request: pytest.FixtureRequest) -> tuple[Run, OrderSheet]:
    name = request.param
    return request.getfixturevalue(name), request.getfixturevalue(f"{name[:-1]}_sheet")


def test_the_exit_code_says_whether_rows_are_held(tags: Run, medals: Run) -> None:
    # Exit codes: the table in the README.
    assert (tags.code, tags.stderr) == (DONE, REDUCED)
    assert medals.code == HELD
    assert aside(medals, "held") and not aside(tags, "held")


def test_every_record_is_in_exactly_one_place(pair: tuple[Run, OrderSheet]) -> None:
    run, sheet = pair
    held, skipped = aside(run, "held"), aside(run, "skipped")
    assert not held.keys() & skipped.keys()
    gone = held.keys() | skipped.keys()
    expected = [key for key in sheet.records() if sheet.row(key).number not in gone]
    printed = [slot["record"] for slot in run.slots]
    assert Counter(printed) == Counter(expected)
    assert max(Counter(printed).values()) == 1
    # Nothing is set aside that is not in the sheet, and a row that asks for nothing is skipped.
    assert gone <= sheet.rows.keys()
    assert skipped.keys() == {row.number for row in sheet.rows.values() if row.pieces == 0}


def test_no_slot_is_used_twice_and_beds_are_filled_one_after_the_other(
    pair: tuple[Run, OrderSheet],
) -> None:
    run, _ = pair
    places = Counter((slot["bed"], slot["slot"]) for slot in run.slots)
    assert max(places.values()) == 1
    jig = run.toml("jig")
    pockets = jig["grid"]["rows"] * jig["grid"]["columns"] - len(jig.get("blocked", ()))
    on_bed = Counter(bed for bed, _ in places)
    assert sorted(on_bed) == list(range(1, len(on_bed) + 1))
    assert {on_bed[bed] for bed in sorted(on_bed)[:-1]} == {pockets}
    assert 0 < on_bed[max(on_bed)] <= pockets


def test_items_lie_in_the_pockets_of_the_jig(pair: tuple[Run, OrderSheet]) -> None:
    """Boxes against the numbers in the jig's file; origin front left, A1 there, y to the back."""
    run, _ = pair
    grid, layout = run.toml("jig")["grid"], run.toml("layout")
    for slot in run.slots:
        row, column = ord(slot["slot"][0]) - ord("A"), int(slot["slot"][1:]) - 1
        x, y, w, h = slot["box_mm"]
        assert (w, h) == (layout["width"], layout["height"])
        centre = (x + w / 2, y + h / 2)
        wanted = [grid["offset"][i] + grid["pitch"][i] * (column, row)[i] for i in (0, 1)]
        assert centre == pytest.approx(wanted, abs=1e-4)
        assert slot["rotation_deg"] == 0


def test_pieces_of_an_order_lie_together(pair: tuple[Run, OrderSheet]) -> None:
    run, sheet = pair
    orders = [slot["order"] for slot in run.slots]
    changes = sum(one != other for one, other in pairwise(orders))
    assert changes == len(set(orders)) - 1, "an order is torn apart"
    for slot in run.slots:
        assert slot["order"] == sheet.order(sheet.row(slot["record"]))


@pytest.mark.parametrize("times", [False, True])
def test_rows_set_aside_show_the_sheet_as_it_was(
    medals: Run, medal_sheet: OrderSheet, times: bool
) -> None:
    """Cells as LibreOffice displays them: the column of times, and all others."""
    column = medals.toml("job")["columns"]["time"]
    for number, row in (aside(medals, "held") | aside(medals, "skipped")).items():
        shown = medal_sheet.rows[number].shown
        wanted = {heading: shown[heading] for heading in shown if (heading == column) == times}
        assert wanted and {heading: row[heading] for heading in wanted} == wanted


def test_the_workbook_of_held_rows_says_what_the_csv_says(medals: Run) -> None:
    """openpyxl reads it."""
    held = aside(medals, "held")
    sheet = openpyxl.load_workbook(medals.out / "held.xlsx").worksheets[0]
    headings, *rows = sheet.iter_rows(values_only=True)
    found = [dict(zip(headings, [cell or "" for cell in row])) for row in rows]
    assert found == list(held.values())
    for row in held.values():
        assert row["held: what"] and row["held: how to mend"]


def test_medals_are_held_for_reasons_that_can_be_seen(medals: Run, medal_sheet: OrderSheet) -> None:
    """Each held row is beyond the job by an independent look, and every such row is held."""
    faults = {n: faults_of(medals, medal_sheet, row) for n, row in medal_sheet.rows.items()}
    assert {number for number, found in faults.items() if found} == aside(medals, "held").keys()


def faults_of(run: Run, sheet: OrderSheet, row: SheetRow) -> list[str]:
    """What fontTools and the job's files find in a row. Widths are sums of the advances of the
    first font, so only a text that is far too wide is found; kerning does not count."""
    found = [] if sheet.blank(row) else ["no such blank"]
    layout = run.toml("layout")
    for field in layout["fields"]:
        if field["type"] != "text":
            continue
        text = sheet.texts(row)[field["name"]]
        fonts = [font(name) for name in layout["fonts"].get(field["font"], [field["font"]])]
        letters = set(unicodedata.normalize("NFC", text)) - {" "}
        if any(all(ord(c) not in f.getBestCmap() for f in fonts) for c in letters):
            found.append(f"no glyph in {field['name']}")
        least = float(field["min_size"].removesuffix("pt")) * field.get("squeeze", 0.9)
        words = [width(fonts, word) * least * 25.4 / 72 for word in text.split()]
        room = field["box"][2]
        if max(words) > 1.1 * room or sum(words) > 1.1 * room * field.get("lines", 1):
            found.append(f"no room in {field['name']}")
    return found


def font(name: str) -> Any:
    path = next(path for path in (ROOT / "fonts").iterdir() if path.stem == name)
    if path not in FONTS:
        FONTS[path] = TTFont(path)
    return FONTS[path]


FONTS: dict[Path, Any] = {}


def width(fonts: list[Any], word: str) -> float:
    """The word's advances in ems, each letter from the first font that has it."""
    total = 0.0
    for letter in word:
        for face in fonts:
            glyph = face.getBestCmap().get(ord(letter))
            if glyph is not None:
                total += face["hmtx"][glyph][0] / face["head"].unitsPerEm
                break
    return total
