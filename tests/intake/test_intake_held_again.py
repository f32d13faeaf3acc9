"""A table of held rows comes back as an order sheet: guards off, reasons passed over, what nobody
mended held again."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from intake_setups import book, make_setup, written

from vardata.intake import Intake, open_intake
from vardata.intake.record import HeldRow, Record
from vardata.output.held import HeldLine, write_held
from vardata.problems import Problem, Severity, SheetError

NAMES = ["-Ann", "'Tis", "=SUM(A1)", "'-already", "@home", "00042"]


@pytest.mark.parametrize("suffix", ["csv", "xlsx"])
def test_names_come_back_as_they_were(tmp_path: Path, suffix: str) -> None:
    problem = Problem("x", Severity.HOLD, "=what", "-mend")
    rows = [HeldLine((name,), row, (problem,)) for row, name in enumerate(NAMES, 2)]
    write_held(tmp_path, ("Name",), rows, datetime(2026, 10, 31, tzinfo=UTC))
    setup = make_setup(tmp_path / f"held.{suffix}")
    records = list(open_intake(setup, needed=frozenset({"name"})))
    assert [r.values[0] for r in records if isinstance(r, Record)] == NAMES


AT = datetime(2026, 10, 31, tzinfo=UTC)
BOOK = [
    ["Name", "Code"],
    ["Ann", "#REF!"],  # openpyxl stores it as a cell of type e (ECMA-376 part 1, 18.18.11)
    ["Bo", 1234567890123456],
    ["=A2", "00042"],
    ["#N/A", 1234567890123457],
    ["Cy", "00043"],
]
AGAIN = "mend it, or empty 'held: seal' if it is right as it stands"
LOST = "has more than 15 digits, of which a spreadsheet keeps 15: its last digits are lost"
REASONS = [
    [("Code", "the cell shows the error #REF!")],
    [("Code", f"the number 1234567890123456 {LOST}")],
    [("Name", "the cell is a formula without a stored result")],
    [("Name", "the cell shows the error #N/A"), ("Code", f"the number 1234567890123457 {LOST}")],
]


def reopened(path: Path) -> Intake:
    return open_intake(make_setup(path), frozenset({"code"}), frozenset({"name"}))


def set_aside(folder: Path, path: Path) -> list[HeldRow]:
    """Writes what a sheet's rows hold back as tables of held rows, and gives these."""
    intake = reopened(path)
    held = [row for row in intake if isinstance(row, HeldRow)]
    folder.mkdir(exist_ok=True)
    lines = (HeldLine(row.values, row.row, row.problems) for row in held)
    write_held(folder, intake.headings, lines, AT)
    return held


def reasons(rows: list[HeldRow]) -> list[list[tuple[str, str]]]:
    return [[(one.where.column, one.what) for one in row.problems] for row in rows]


@pytest.mark.parametrize("suffix", ["csv", "xlsx"])
def test_what_nobody_mended_is_held_again_for_the_same_reason(tmp_path: Path, suffix: str) -> None:
    assert reasons(set_aside(tmp_path / "1", book(tmp_path, BOOK))) == REASONS
    again = set_aside(tmp_path / "2", tmp_path / f"1/held.{suffix}")
    assert reasons(again) == REASONS
    assert {one.remedy for row in again for one in row.problems} == {AGAIN}
    assert reasons(set_aside(tmp_path / "3", tmp_path / f"2/held.{suffix}")) == REASONS


def test_only_the_cell_that_was_mended_is_let_go(tmp_path: Path) -> None:
    set_aside(tmp_path, book(tmp_path, BOOK))
    workbook = openpyxl.load_workbook(tmp_path / "held.xlsx")
    sheet = workbook.active
    sheet["B2"] = "00041"
    sheet["A3"] = "Bob"  # another cell than the one that was held
    sheet["A4"] = "Ann"
    sheet["A5"] = "Dee"
    workbook.save(tmp_path / "mended.xlsx")
    rows = list(reopened(tmp_path / "mended.xlsx"))
    assert [row.values[:2] for row in rows if isinstance(row, Record)] == [
        ("Ann", "00041"), ("Ann", "00042"),
    ]  # fmt: skip
    assert reasons([row for row in rows if isinstance(row, HeldRow)]) == [
        REASONS[1], REASONS[3][1:],
    ]  # fmt: skip
    sheet["G3"] = None
    assert sheet["G1"].value == "held: seal"
    workbook.save(tmp_path / "mended.xlsx")
    rows = list(reopened(tmp_path / "mended.xlsx"))
    assert [row.values[:2] for row in rows if isinstance(row, Record)][1] == (
        "Bob", "1234567890123456",
    )  # fmt: skip


def test_a_row_that_slipped_is_held_until_its_cells_are_put_right(tmp_path: Path) -> None:
    path = written(tmp_path, "Name,Code\nAnn,Lee,00041\n\"Bo\"x,1\n")
    held = set_aside(tmp_path / "1", path)
    assert reasons(set_aside(tmp_path / "2", tmp_path / "1/held.csv")) == reasons(held) != []
    text = (tmp_path / "1/held.csv").read_text(encoding="utf-8-sig")
    path = written(tmp_path, text.replace('"Ann","Lee"', '"Ann Lee","00041"'), "mended.csv")
    first = next(iter(reopened(path)))
    assert isinstance(first, Record) and first.values[:2] == ("Ann Lee", "00041")


@pytest.mark.parametrize("suffix", ["csv", "xlsx"])
def test_nothing_is_said_of_our_own_reasons(tmp_path: Path, suffix: str) -> None:
    problem = Problem("x", Severity.HOLD, "take it out, please  ask", "do not print, see note")
    rows = [HeldLine((name,), n, (problem, problem._replace(what="b"))) for n, name in NUMBERED]
    write_held(tmp_path, ("Name",), rows, AT)
    setup = make_setup(tmp_path / f"held.{suffix}")
    intake = open_intake(setup, needed=frozenset({"name"}), thorough=True)
    assert len([row for row in intake if isinstance(row, Record)]) == len(NUMBERED)
    assert [str(note) for note in intake.notes if "held: " in str(note)] == []


NUMBERED = list(enumerate((f"Name {chr(65 + n % 26)}{chr(97 + n % 25)}" for n in range(40)), 2))


STATED: dict[str, dict[str, Any]] = {
    "sheet": {"sheet": "Orders"},
    "header_row": {"header_row": 4},
    "both": {"sheet": "Orders", "header_row": 4},
    "delimiter": {"delimiter": ";"},
    "encoding": {"encoding": "cp1252", "header_row": 2},
}


@pytest.mark.parametrize("suffix", ["csv", "xlsx", "saved.xlsx"])
@pytest.mark.parametrize("stated", STATED)
def test_what_the_job_says_of_its_order_sheet_is_not_said_of_held_rows(
    tmp_path: Path, stated: str, suffix: str
) -> None:
    problem = Problem("x", Severity.HOLD, "what", "mend")
    rows = [HeldLine((name,), n, (problem,)) for n, name in NUMBERED]
    write_held(tmp_path, ("Größe",), rows, AT)
    # Another program keeps the texts in a part of their own.
    openpyxl.load_workbook(tmp_path / "held.xlsx").save(tmp_path / "held.saved.xlsx")
    setup = make_setup(tmp_path / f"held.{suffix}", sheet=STATED[stated])
    intake = open_intake(setup, needed=frozenset({"grosse"}))
    assert intake.headings[0] == "Größe"
    assert [row.values[0] for row in intake if isinstance(row, Record)] == [n for _, n in NUMBERED]


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_held_rows_that_were_saved_like_the_order_sheet_are_read_like_it(
    tmp_path: Path, delimiter: str
) -> None:
    head = delimiter.join(("Name", "Note", "held: row", "held: what"))
    row = delimiter.join(("Zoë", "a,b", "2", "x"))
    path = written(tmp_path, f"{head}\n{row}\n".encode("cp1252"), "held.csv")
    stated = {"delimiter": delimiter, "encoding": "cp1252", "header_row": 3}
    (record,) = open_intake(make_setup(path, sheet=stated), needed=frozenset({"name"}))
    assert record.values[:2] == ("Zoë", "a,b")


def test_an_order_sheet_is_read_as_the_job_says(tmp_path: Path) -> None:
    path = written(tmp_path, "held: whatever;x\nName;Note\nAnn;y\n")
    stated = {"delimiter": ";", "header_row": 2}
    (record,) = open_intake(make_setup(path, sheet=stated), needed=frozenset({"name"}))
    assert record.values == ("Ann", "y")
    setup = make_setup(book(tmp_path, [["Name"], ["Bo"]]), sheet={"sheet": "Ordes"})
    with pytest.raises(SheetError, match="did you mean 'Orders'"):
        open_intake(setup, needed=frozenset({"name"}))
