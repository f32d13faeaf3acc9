"""The order of work in whole runs: nearest first, orders whole, sorted and bagged."""

from __future__ import annotations

import csv
import subprocess

import pytest
from mixedshop import Shop, shop

__all__ = ["shop"]

# Orders of the example and when they leave; the sheet names them in another order.
DUE = {"MH-26": "24/07/2026", "HQ-07": "3/7/2026", "OM-03": "", "BR-11": "17 July 2026"}
HURRY = {"MH-26": "", "HQ-07": "normal", "OM-03": "Rush", "BR-11": "normal"}


def _with_days(shop: Shop, work: str) -> None:
    rows = shop.sheet()
    with (shop.path / "orders.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, [*rows[0], "Ship by", "Priority"])
        writer.writeheader()
        for row in rows:
            order = row["Order"]
            writer.writerow({**row, "Ship by": DUE[order], "Priority": HURRY[order]})
    job = shop.path / "job.toml"
    job.write_text(job.read_text("utf-8") + f"\n[work]\n{work}\n", encoding="utf-8")


def _orders(shop: Shop, product: str) -> list[str]:
    """The orders of a product's pieces as they are printed, each once."""
    return list(dict.fromkeys(s["order"] for s in shop.slots() if s["product"] == product))


def test_the_nearest_day_is_printed_first_in_every_product(shop: Shop) -> None:
    _with_days(shop, 'ship_by = "Ship by"')
    shop.build()
    assert _orders(shop, "medal") == ["HQ-07", "BR-11", "MH-26", "OM-03"]
    assert _orders(shop, "badge") == ["HQ-07", "BR-11", "MH-26", "OM-03"]
    assert _orders(shop, "plate") == ["HQ-07", "BR-11", "MH-26"]


def test_priority_counts_before_the_day(shop: Shop) -> None:
    _with_days(shop, 'ship_by = "Ship by"\npriority = "Priority"\npriorities = ["rush", "normal"]')
    shop.build()
    assert _orders(shop, "medal") == ["OM-03", "HQ-07", "BR-11", "MH-26"]


def test_whole_orders_cost_no_bed_and_are_not_spread(shop: Shop) -> None:
    """Medals: orders of 4, 5, 5 and 2 on beds of 12: in sheet order OM-03 lies on two."""
    shop.build("plain")
    assert {s["bed"] for s in shop.slots("plain") if s["order"] == "OM-03"} >= {1, 2}
    _with_days(shop, "whole_orders = true")
    shop.build()
    assert {slot["bed"] for slot in shop.slots()} == {slot["bed"] for slot in shop.slots("plain")}
    for order in DUE:
        beds = {s["bed"] for s in shop.slots() if s["order"] == order and s["product"] == "medal"}
        assert len(beds) == 1
    # What is left of the first bed is filled with the next order that fits it: two of BR-11.
    assert _orders(shop, "medal") == ["MH-26", "HQ-07", "BR-11", "OM-03"]


def test_the_pieces_of_an_order_are_sorted_as_people_count(shop: Shop) -> None:
    _with_days(shop, 'sort = ["Title", "Item no"]')
    shop.swap("orders.csv", "RC0008", "RC8")
    shop.swap("orders.csv", "RC0009", "RC10")
    shop.swap("orders.csv", "RC0010", "RC9")
    shop.build()
    numbers = [row["Item no"] for row in shop.sheet()]
    printed = [
        numbers[int(s["record"].split("!")[1].split("#")[0]) - 2]
        for s in shop.slots() if s["order"] == "HQ-07" and s["product"] == "medal"
    ]  # fmt: skip
    assert printed == ["RC8", "RC9", "RC10", "RC0011", "RC0012"]
    badges = [s["texts"][1]["text"] for s in shop.slots()
              if s["order"] == "HQ-07" and s["product"] == "badge"]  # fmt: skip
    assert badges == ["helper, Harbour Quay"] * 2 + ["story teller, Harbour Quay"]


def test_accents_do_not_count_where_names_are_sorted(shop: Shop) -> None:
    _with_days(shop, 'sort = ["Name"]')
    shop.build()
    medals = [s["texts"][0]["text"] for s in shop.slots()
              if s["order"] == "HQ-07" and s["product"] == "medal"]  # fmt: skip
    assert medals == [
        "Élodie Grünewald", "Pádraig Ravenscroft", "Şebnem Dobrowolski", "Søren Quillfeather",
        "Thảo Wexcombe",
    ]  # fmt: skip


def test_bags_are_told_from_and_to_on_list_and_tables(shop: Shop) -> None:
    _with_days(shop, "bag = 4")
    shop.build()
    slots = {s["record"]: s for s in shop.slots()}
    bags = [row for row in shop.table("bags.csv") if row["order"] == "HQ-07"]
    # By hand: order HQ-07 has five medals, three badges and a plate: bags of 4, 4 and 1.
    assert [(b["bag"], b["bags"], b["pieces"], b["from piece"], b["to piece"]) for b in bags] == [
        ("1", "3", "4", "1", "4"), ("2", "3", "4", "5", "8"), ("3", "3", "1", "9", "9")
    ]  # fmt: skip
    first, last = slots["orders!13#1"], slots["orders!15#2"]
    assert (bags[1]["from bed"], bags[1]["from slot"], bags[1]["from text"]) == (
        str(first["bed"]), first["slot"], "medal: Élodie Grünewald"
    )  # fmt: skip
    assert (bags[1]["to bed"], bags[1]["to slot"], bags[1]["to text"]) == (
        str(last["bed"]), last["slot"], "badge: Zdeněk Underhill / RC0014"
    )  # fmt: skip
    rows = {row["record"]: row["bag"] for row in shop.table("picklist.csv")}
    assert (rows["orders!9#1"], rows["orders!13#1"], rows["orders!16#1"]) == (
        "1 of 3", "2 of 3", "3 of 3"
    )  # fmt: skip
    text = subprocess.run(
        ["pdftotext", "-layout", str(shop.path / "run" / "picklist.pdf"), "-"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert "HQ-07, bag 2 of 3 (5–8)" in text
    (row,) = [line for line in text.splitlines() if "orders!13#1" in line]  # on its bed's sheet
    assert "HQ-07, bag 2 " in row


def test_every_piece_is_in_one_bag(shop: Shop) -> None:
    _with_days(shop, 'ship_by = "Ship by"\nwhole_orders = true\nsort = ["Name"]\nbag = 3')
    shop.build("run", "--readback")
    bags = shop.table("bags.csv")
    assert sum(int(bag["pieces"]) for bag in bags) == len(shop.slots())
    shop.build("two", "--workers", "2")
    for name in ("bags.csv", "picklist.pdf", "slots.jsonl", "picklist.csv", "run.json"):
        assert (shop.path / "two" / name).exists()
    assert (shop.path / "run/bags.csv").read_bytes() == (shop.path / "two/bags.csv").read_bytes()


def test_a_day_that_two_countries_read_in_two_ways_holds_its_row(shop: Shop) -> None:
    _with_days(shop, 'ship_by = "Ship by"')
    for name, old, new in (
        ("job.toml", 'locale = "en_GB"', 'locale = "de"'), ("orders.csv", "24/07/2026", "3/4/2026"),
    ):  # fmt: skip
        path = shop.path / name
        text = path.read_text("utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")
    shop.build()
    held = {row["held: row"]: (row["held: what"], row["held: how to mend"])
            for row in shop.table("held.csv")}  # fmt: skip
    assert held["2"] == (
        "'3/4/2026' is two dates, as day and month can be read either way",
        "write it as 2026-12-24 or 24.12.2026, or leave it empty",
    )


def test_a_day_or_priority_that_cannot_be_read_holds_its_row(shop: Shop) -> None:
    _with_days(shop, 'ship_by = "Ship by"\npriority = "Priority"\npriorities = ["rush", "normal"]')
    text = (shop.path / "orders.csv").read_text("utf-8")
    rows = text.splitlines(keepends=True)
    rows[1] = rows[1].replace("24/07/2026", "next Friday")
    rows[8] = rows[8].replace("normal", "urgent")
    (shop.path / "orders.csv").write_text("".join(rows), encoding="utf-8")
    shop.build()
    held = {row["held: row"]: (row["held: place"], row["held: what"], row["held: how to mend"])
            for row in shop.table("held.csv")}  # fmt: skip
    assert held["2"] == (
        "column 'Ship by'", "'next Friday' is no date to ship by",
        "write it as 2026-12-24 or 24/12/2026, or leave it empty",
    )  # fmt: skip
    assert held["9"] == (
        "column 'Priority'", "there is no priority 'urgent'",
        "write one of rush, normal, or leave it empty",
    )  # fmt: skip


@pytest.mark.parametrize(("work", "line"), [
    ('priority = "Item"', "job.toml:55, work: a column of priorities and the list of its values "
     'belong together; write priority = "<heading>" and priorities = ["<first>", "<second>"]'),
    ('priority = "Item"\npriorities = ["a", "A"]',
     "job.toml:57, work.priorities[1]: the priority 'A' comes twice; keep one of them"),
    ("bag = 0", "job.toml:56, work.bag: 0 is out of range; it must be at least 1"),
])  # fmt: skip
def test_a_fault_in_the_order_of_work_is_told_by_its_line(
    shop: Shop, work: str, line: str
) -> None:
    job = shop.path / "job.toml"
    job.write_text(job.read_text("utf-8") + f"\n[work]\n{work}\n", encoding="utf-8")
    assert shop.faults() == [line]


def test_the_order_of_work_needs_orders(shop: Shop) -> None:
    shop.swap("job.toml", 'order = "Order"\n', "")
    job = shop.path / "job.toml"
    job.write_text(job.read_text("utf-8") + "\n[work]\nbag = 3\n", encoding="utf-8")
    assert shop.faults() == [
        "job.toml:55, work.bag: bag goes by orders, but no column gives the order; name the "
        "order's column in records.order"
    ]


def test_a_sort_column_that_is_not_there_is_told(shop: Shop) -> None:
    job = shop.path / "job.toml"
    job.write_text(job.read_text("utf-8") + '\n[work]\nsort = ["Teem"]\n', encoding="utf-8")
    (line,) = shop.faults()
    assert line.startswith("sheet 'orders', row 1: the sort column 'Teem' is not there; ")
