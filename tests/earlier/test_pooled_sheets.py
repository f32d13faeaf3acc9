"""Sheets of several days pooled into one run: nothing twice, nothing lost, every row with its
sheet."""

from __future__ import annotations

import json

from exportshop import Shop, shop
from openpyxl import Workbook

__all__ = ["shop"]

MONDAY = ("1001,1,Ottilie Brandvold,1,", "1001,2,Jory Brandvold,2,", "1002,1,Pim Aldous,1,")
TUESDAY = ("1002,1,Pim Aldous,1,", "1003,1,Sanne Okafor,1,")


def _texts(shop: Shop, out: str) -> list[str]:
    return [text for _, _, text in shop.printed(out)]


def test_overlapping_sheets_print_each_line_once(shop: Shop) -> None:
    shop.sheet("monday.csv", *MONDAY)
    shop.sheet("tuesday.csv", *TUESDAY)
    done = shop.build("monday.csv", "run", "--sheet", "tuesday.csv")
    assert _texts(shop, "run") == [
        "Ottilie Brandvold", "Jory Brandvold", "Jory Brandvold", "Pim Aldous", "Sanne Okafor"
    ]  # fmt: skip
    assert [(row["Reader"], row["skipped: row"], row["skipped: reason"])
            for row in shop.table("run", "skipped.csv")] == [
        ("Pim Aldous", "5", "the same line as in row 4")
    ]  # fmt: skip
    assert "rows 2 to 4 of the pool are of monday.csv, from its row 2" in done.err
    assert "rows 5 to 6 of the pool are of tuesday.csv, from its row 2" in done.err
    # Whatever was pooled is known from then on.
    assert "0 new, 2 built before" in shop.build("tuesday.csv", "later").out


def test_a_line_that_differs_between_sheets_is_held_in_both(shop: Shop) -> None:
    shop.sheet("monday.csv", *MONDAY)
    shop.sheet("tuesday.csv", "1002,1,Pim Aldous-Ek,1,", "1003,1,Sanne Okafor,1,")
    shop.build("monday.csv", "run", "--sheet", "tuesday.csv", code=3)
    assert "Pim Aldous" not in _texts(shop, "run")
    assert [(row["held: row"], row["held: what"], row["held: how to mend"])
            for row in shop.table("run", "held.csv")] == [
        ("4", "order '1002' has line '1' in another of the sheets, otherwise",
         "keep the newer of the two"),
        ("5", "order '1002' has line '1' in another of the sheets, otherwise",
         "keep the newer of the two"),
    ]  # fmt: skip


def test_a_built_line_that_differs_or_is_held_in_the_pool_is_not_told_as_gone(shop: Shop) -> None:
    shop.sheet("week-1.csv", *MONDAY, "1003,1,Sanne Okafor,1,", "1003,2,Una Okafor,1,")
    shop.build("week-1.csv", "first")
    shop.sheet("monday.csv", *MONDAY, "1003,1,Sanne Okafor,one,")
    shop.sheet("tuesday.csv", "1002,1,Pim Aldous-Ek,1,")
    done = shop.build("monday.csv", "run", "--sheet", "tuesday.csv", code=3)
    assert [(row["held: row"], row["Order"], row["Line"])
            for row in shop.table("run", "held.csv")] == [
        ("4", "1002", "1"), ("5", "1003", "1"), ("6", "1002", "1")
    ]  # fmt: skip
    gone = [line for line in done.err.splitlines() if "not in the sheet any more" in line]
    assert len(gone) == 1 and "order '1003', line '2' was built" in gone[0]


def test_columns_come_together_by_their_headings(shop: Shop) -> None:
    shop.sheet("monday.csv", *MONDAY)
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Orders of Tuesday"])
    sheet.append(["READER", "Pieces", "Colour", "Line", "Order"])
    sheet.append(["Sanne Okafor", 2, "green", 1, 1003])
    book.save(shop.path / "tuesday.xlsx")
    shop.swap("card.toml", 'text = "{{ reader }}"', 'text = "{{ reader }} {{ colour }}"')
    shop.build("monday.csv", "run", "--sheet", "tuesday.xlsx")
    assert _texts(shop, "run")[-2:] == ["Sanne Okafor green", "Sanne Okafor green"]
    assert _texts(shop, "run")[0] == "Ottilie Brandvold"


def test_json_lines_are_pooled_from_their_first_line(shop: Shop) -> None:
    shop.sheet("monday.csv", *MONDAY)
    lines = [{"Order": "1003", "Line": str(n), "Reader": name, "Pieces": "1"}
             for n, name in enumerate(("Sanne Okafor", "Una Okafor"), 1)]  # fmt: skip
    text = "\n".join(map(json.dumps, lines))
    (shop.path / "tuesday.jsonl").write_text(text + "\n", "utf-8")
    done = shop.build("monday.csv", "run", "--sheet", "tuesday.jsonl")
    assert _texts(shop, "run")[-2:] == ["Sanne Okafor", "Una Okafor"]
    assert "rows 5 to 6 of the pool are of tuesday.jsonl, from its row 1" in done.err


def test_digits_that_a_spreadsheet_has_lost_are_held_in_a_pool_too(shop: Shop) -> None:
    shop.sheet("monday.csv", *MONDAY)
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Order", "Line", "Reader", "Pieces"])
    sheet.append([1003, 1, 12345678901234567, 1])
    book.save(shop.path / "tuesday.xlsx")
    shop.build("monday.csv", "run", "--sheet", "tuesday.xlsx", code=3)
    (row,) = shop.table("run", "held.csv")
    assert row["held: row"] == "5" and "its last digits are lost" in row["held: what"]


def test_the_same_pool_gives_the_same_run(shop: Shop) -> None:
    shop.sheet("monday.csv", *MONDAY)
    shop.sheet("tuesday.csv", *TUESDAY)
    shop.build("monday.csv", "run", "--sheet", "tuesday.csv")
    (shop.path / "elsewhere").mkdir()
    (shop.path / "tuesday.csv").rename(shop.path / "elsewhere" / "tuesday.csv")
    shop.build(
        "monday.csv", "again", "--sheet", "elsewhere/tuesday.csv", "--again", shop.run_id("run")
    )
    assert shop.run_id("again") == shop.run_id("run")
    keys = [json.loads(line)["record"] for line in
            (shop.path / "run/slots.jsonl").read_text("utf-8").splitlines()]  # fmt: skip
    assert keys[0] == "monday+tuesday!2#1" and keys[-1] == "monday+tuesday!6#1"


def test_held_rows_are_not_pooled_and_a_missing_sheet_is_told(shop: Shop) -> None:
    shop.sheet("monday.csv", *MONDAY, "1004,1,Una,one,")
    shop.build("monday.csv", "run", code=3)
    done = shop.build("monday.csv", "next", "--sheet", "run/held.csv", code=5)
    assert done.err == (
        "held.csv: a sheet of held rows cannot be pooled with others; build it by itself\n"
    )
    done = shop.build("monday.csv", "next", "--sheet", "wednesday.csv", code=5)
    assert done.err == (
        "wednesday.csv: there is no such order sheet; check the name and the folder you are in\n"
    )


def test_a_pool_without_lines_is_warned_of(shop: Shop) -> None:
    shop.swap("job.toml", 'line = "Line"\n', "")
    shop.sheet("monday.csv", *MONDAY)
    shop.sheet("tuesday.csv", *TUESDAY)
    done = shop.build("monday.csv", "run", "--sheet", "tuesday.csv")
    assert (
        "sheet 'monday+tuesday': nothing tells rows that are in several of the pooled sheets; "
        "name the line's column in records.line, or see that no row comes twice" in done.err
    )
