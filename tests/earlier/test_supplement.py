"""Supplements: held rows, mended, print what was held and nothing twice."""

from __future__ import annotations

import csv
import io

from exportshop import NUMBER, SERIAL, TOO_LONG, Shop, shop
from openpyxl import load_workbook

__all__ = ["shop"]


def _mend_csv(shop: Shop, run: str, old: str, new: str) -> str:
    path = shop.path / run / "held.csv"
    text = path.read_text("utf-8-sig")
    assert old in text
    (shop.path / "mended.csv").write_text(text.replace(old, new), encoding="utf-8")
    return "mended.csv"


def test_held_xlsx_mended_prints_only_what_was_held(shop: Shop) -> None:
    shop.sheet("week-1.csv", "1001,1,Ottilie Ek,1,", f"1001,2,{TOO_LONG},2,", "1002,1,Pim,one,")
    shop.build("week-1.csv", "run-1", code=3)
    book = load_workbook(shop.path / "run-1" / "held.xlsx")
    sheet = book.worksheets[0]
    headings = [cell.value for cell in sheet[1]]
    sheet.cell(2, headings.index("Reader") + 1).value = "B. Featherstonehaugh"
    sheet.cell(3, headings.index("Pieces") + 1).value = "1"
    book.save(shop.path / "mended.xlsx")
    done = shop.build("mended.xlsx", "run-2")
    assert "2 new, 0 built before, 0 changed since, 0 gone since" in done.out
    assert [text for _, _, text in shop.printed("run-2")] == [
        "B. Featherstonehaugh", "B. Featherstonehaugh", "Pim"
    ]  # fmt: skip
    # The shop's own system still shows what was wrong: that is no change.
    shop.build("week-1.csv", "same")
    second = shop.run_id("run-2")
    assert [row["skipped: reason"] for row in shop.table("same", "skipped.csv")] == [
        f"built before: run {shop.run_id('run-1')}, bed 1, slot A1",
        f"held before, mended and built: 2 pieces, run {second}, bed 1, slot A1 to bed 1, slot A2",
        f"held before, mended and built: run {second}, bed 1, slot B1",
    ]
    assert "0 new, 2 built before, 0 changed" in shop.build("mended.xlsx", "run-3").out


def test_the_mended_sheet_prints_only_what_was_held(shop: Shop) -> None:
    shop.sheet("week-1.csv", "1001,1,Ottilie Ek,1,", f"1001,2,{TOO_LONG},2,")
    shop.build("week-1.csv", "run-1", code=3)
    shop.sheet("week-1.csv", "1001,1,Ottilie Ek,1,", "1001,2,Bart F.,2,")
    done = shop.build("week-1.csv", "run-2")
    assert "1 new, 1 built before" in done.out
    assert [text for _, _, text in shop.printed("run-2")] == ["Bart F.", "Bart F."]


def _partly_held(shop: Shop) -> None:
    """A row of three pieces of which the serial of the third does not fit."""
    shop.append("card.toml", NUMBER.replace("{{ card }}", "{{ 'X' * 80 if piece == 3 else card }}"))
    shop.append("job.toml", SERIAL)
    shop.sheet("week-1.csv", "1001,1,Ottilie Ek,3,", "1002,1,Pim Aldous,1,")
    shop.build("week-1.csv", "run-1", code=3)
    assert [record for record, _, _ in shop.printed("run-1")] == [
        "week-1!2#1", "week-1!2#2", "week-1!3#1"
    ]  # fmt: skip


def _loosen(shop: Shop) -> None:
    shop.swap("card.toml", "{{ 'X' * 80 if piece == 3 else card }}", "{{ card }}")


def test_a_row_held_in_part_prints_its_other_pieces(shop: Shop) -> None:
    _partly_held(shop)
    first = shop.run_id("run-1")
    _loosen(shop)
    done = shop.build("week-1.csv", "run-2")
    assert [record for record, _, _ in shop.printed("run-2")] == ["week-1!2#3"]
    assert "1 new, 1 built before" in done.out
    assert [row["skipped: reason"] for row in shop.table("run-2", "skipped.csv")] == [
        f"2 of 3 pieces built before: 2 pieces, run {first}, bed 1, slot A1 to bed 1, slot A2; "
        "the rest is new",
        f"built before: run {first}, bed 1, slot B1",
    ]
    assert "0 new, 2 built before" in shop.build("week-1.csv", "run-3").out


def test_a_row_held_in_part_and_mended_prints_its_other_pieces(shop: Shop) -> None:
    _partly_held(shop)
    _loosen(shop)
    sheet = _mend_csv(shop, "run-1", "Ottilie Ek", "Ottilie Ek-Moe")
    done = shop.build(sheet, "run-2")
    assert "1 new, 0 built before, 0 changed" in done.out
    assert [(record, text) for record, _, text in shop.printed("run-2")] == [
        ("mended!2#3", "Ottilie Ek-Moe")
    ]
    for later in ("week-1.csv", "mended.csv"):
        assert "0 changed" in shop.build(later, f"later-{later}").out
        assert shop.printed(f"later-{later}") == []


def test_a_changed_row_in_held_stays_held_until_decided(shop: Shop) -> None:
    shop.build(shop.sheet("week-1.csv", "1001,1,Ottilie Ek,1,"), "run-1")
    shop.build(shop.sheet("week-2.csv", "1001,1,Ottilie Moe,1,"), "run-2", code=3)
    held = shop.path / "run-2" / "held.csv"
    assert len(list(csv.reader(io.StringIO(held.read_text("utf-8-sig"))))) == 2
    shop.build(str(held), "run-3", code=3)
    shop.build(str(held), "run-4", "--reprint", "1001")
    assert [text for _, _, text in shop.printed("run-4")] == ["Ottilie Moe"]


def test_serials_of_a_supplement_are_fresh(shop: Shop) -> None:
    _partly_held(shop)
    _loosen(shop)
    shop.build("week-1.csv", "run-2")
    import json

    def numbers(run: str) -> list[str]:
        lines = (shop.path / run / "slots.jsonl").read_text("utf-8").splitlines()
        return [json.loads(line)["texts"][1]["text"] for line in lines]

    assert numbers("run-1") == ["FH-0001", "FH-0002", "FH-0004"]
    assert numbers("run-2") == ["FH-0005"]
