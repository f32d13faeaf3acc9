"""One run of several products: beds for each, papers that bring every order together again."""

from __future__ import annotations

import json
import subprocess
from collections import Counter
from pathlib import Path

from mixedshop import Shop, shop
from PIL import Image

__all__ = ["shop"]

# What the example's order sheet calls each product.
CALLED = {"medal": "medal", "medal 50 mm": "medal", "badge": "badge", "desk plate": "plate"}
JIGS = {"medal": "medal-jig-12", "badge": "badge-jig-20", "plate": "plate-jig-6"}


def _text_of(pdf: Path, first: int = 1, last: int = 99) -> str:
    """The words of some pages, as Poppler reads them."""
    return subprocess.run(
        ["pdftotext", "-layout", "-f", str(first), "-l", str(last), str(pdf), "-"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip


def test_every_row_lies_on_a_bed_of_its_product_or_is_held(shop: Shop) -> None:
    shop.build()
    wanted = Counter(
        {
            (f"orders!{row}#{piece}", CALLED[line["Item"].lower()])
            for row, line in enumerate(shop.sheet(), 2)
            for piece in range(1, int(line["Pieces"]) + 1)
            if line["Item"] != "Mug"
        }
    )
    assert Counter((slot["record"], slot["product"]) for slot in shop.slots()) == wanted
    for slot in shop.slots():
        assert f"-{JIGS[slot['product']]}-bed-" in slot["file"]
    held = shop.table("held.csv")
    assert [(row["held: row"], row["held: place"], row["held: what"], row["held: how to mend"])
            for row in held] == [
        ("21", "column 'Item'", "there is no product 'Mug'",
         "write one of Medal, badge, Desk plate"),
    ]  # fmt: skip


def test_beds_come_product_by_product_and_are_numbered_through(shop: Shop) -> None:
    shop.build()
    beds = {slot["bed"]: slot["product"] for slot in shop.slots()}
    assert list(beds.items()) == [(1, "medal"), (2, "medal"), (3, "badge"), (4, "plate")]
    assert [slot["bed"] for slot in shop.slots()] == sorted(slot["bed"] for slot in shop.slots())


def test_each_bed_shows_what_its_record_says(shop: Shop) -> None:
    """Poppler reads the names off the bed files."""
    shop.build()
    for file in {slot["file"] for slot in shop.slots()}:
        words = _text_of(shop.path / "run" / "beds" / file).split()
        for slot in shop.slots():
            if slot["file"] == file:
                assert set(slot["texts"][0]["text"].split()) <= set(words)


def test_the_pick_list_brings_an_order_together(shop: Shop) -> None:
    shop.build()
    last = _text_of(shop.path / "run" / "picklist.pdf", first=5)
    place = {(s["record"]): (s["bed"], s["slot"]) for s in shop.slots()}
    for record, product, name in [
        ("orders!2#1", "medal", "Ottilie Brandvold"), ("orders!6#1", "badge", "Sanne Okafor"),
        ("orders!8#1", "plate", "Sanne Okafor"),
    ]:  # fmt: skip
        assert f"{place[record][1]} {product}: {name}" in " ".join(last.split())
    front = " ".join(_text_of(shop.path / "run" / "picklist.pdf", last=1).split())
    assert "Products, in the order of printing" in front
    assert "16 medal: beds 1 to 2, jig medal-jig-12" in front
    assert "9 badge: bed 3, jig badge-jig-20" in front
    assert "3 plate: bed 4, jig plate-jig-6" in front


def test_the_tables_have_the_product_and_every_field_of_any(shop: Shop) -> None:
    shop.build()
    rows = shop.table("picklist.csv")
    assert list(rows[0]) == [
        "bed", "slot", "order", "record", "blank", "product", "reader", "branch", "helper",
        "title", "number", "file", "page",
    ]  # fmt: skip
    by_record = {row["record"]: row for row in rows}
    badge = by_record["orders!6#1"]
    assert (badge["product"], badge["helper"], badge["number"], badge["reader"]) == (
        "badge", "Sanne Okafor", "RC0005", ""
    )  # fmt: skip
    assert badge["blank"] == "black badge 70 x 25"
    assert by_record["orders!2#1"]["blank"] == "white enamel medal 50"


def test_a_mixed_run_reads_back(shop: Shop) -> None:
    done = shop.build("run", "--readback")
    assert "all read (4 beds, 9 codes, 56 texts" in done.out
    assert shop.call("readback", "run").code == 0


def test_workers_make_no_difference(shop: Shop) -> None:
    shop.build("one", "--workers", "1")
    shop.build("two", "--workers", "2")
    one, two = shop.path / "one", shop.path / "two"
    names = sorted(path.relative_to(one) for path in one.rglob("*") if path.is_file())
    assert names == sorted(path.relative_to(two) for path in two.rglob("*") if path.is_file())
    assert [n for n in names if (one / n).read_bytes() != (two / n).read_bytes()] == []


def test_several_beds_to_a_file_never_mix_products(shop: Shop) -> None:
    shop.swap("job.toml", "[blanks.enamel]", "[output]\nbeds_per_file = 10\n\n[blanks.enamel]")
    shop.build()
    files = {slot["file"].split("-", 3)[3]: slot["product"] for slot in shop.slots()}
    assert files == {
        "medal-jig-12-beds-0001-0002-of-0004.pdf": "medal",
        "badge-jig-20-bed-0003-of-0004.pdf": "badge", "plate-jig-6-bed-0004-of-0004.pdf": "plate",
    }  # fmt: skip


def test_preview_shows_the_beds_of_a_product(shop: Shop) -> None:
    done = shop.call("preview", "job.toml", "--product", "badge", "--out", "badge.png")
    assert "bed 3, 9 items" in done.out
    assert Image.open(shop.path / "badge.png").size == (1654, 1170)  # 420 x 297 mm at 100 dpi
    done = shop.call("preview", "job.toml", "--bed", "4", "--slot", "A2", "--out", "plate.png")
    assert "record orders!16#1" in done.out
    assert shop.call("preview", "job.toml", "--product", "mug", "--out", "x.png").err == (
        "the job has no product 'mug'; allowed: medal, badge, plate\n"
    )
    done = shop.call("preview", "job.toml", "--product", "plate", "--bed", "2", "--out", "x.png")
    assert done.err == "there is no bed 2 of 'plate'; bed 1 of 'plate' is the only one\n"


def test_the_run_tells_what_each_product_was_made_from(shop: Shop) -> None:
    shop.build()
    facts = json.loads((shop.path / "run" / "run.json").read_text("utf-8"))
    assert {name: one["jig"]["name"] for name, one in facts["products"].items()} == JIGS
    assert facts["products"]["plate"]["print_mode"] == "draft"
    before = facts["run_id"]
    shop.swap("plate-jig.toml", "offset = [90, 60]", "offset = [91, 60]")
    shop.build("other")
    after = json.loads((shop.path / "other" / "run.json").read_text("utf-8"))
    assert after["run_id"] != before


def test_serials_go_to_the_products_that_use_them(shop: Shop) -> None:
    shop.swap("badge.toml", 'text = "{{ number }}"', 'text = "{{ tag }}"')
    job = shop.path / "job.toml"
    job.write_text(job.read_text("utf-8") + '\n[serials.tag]\ntext = "B{{ number }}"\ndigits = 3\n')
    shop.swap("orders.csv", "Zdeněk Underhill,helper,Harbour Quay,2",
              "Zdeněk 🏅 Underhill,helper,Harbour Quay,1")  # fmt: skip
    shop.build()
    codes = {s["record"]: s["codes"][0]["text"] for s in shop.slots() if s["product"] == "badge"}
    # By hand: badges stand in rows 6, 7 (two pieces), 14, 15 (held: no font has its picture),
    # 20, 22 and 24 of the sheet; numbers follow the sheet.
    assert codes == {
        "orders!6#1": "B001", "orders!7#1": "B002", "orders!7#2": "B003", "orders!14#1": "B004",
        "orders!20#1": "B006", "orders!22#1": "B007", "orders!24#1": "B008",
    }  # fmt: skip
    gaps = shop.call("serials", "job.toml", "gaps").out
    assert "B005 (1): unused: held records of job reading-challenge" in gaps


def test_the_same_export_again_works_on_mixed_jobs(shop: Shop) -> None:
    shop.swap("job.toml", 'order = "Order"', 'order = "Order"\nline = "Item no"')
    shop.build("run-1")
    shop.swap("orders.csv", "RC0020,Mug", "RC0020,Badge")
    done = shop.build("run-2", code=0)
    assert "against earlier runs: 1 new, 23 built before, 0 changed since, 0 gone" in done.out
    assert [slot["record"] for slot in shop.slots("run-2")] == ["orders!21#1"]
    shop.swap("orders.csv", "RC0020,Badge", "RC0020,Medal")
    assert "'Item' has changed since it was built" in shop.call("check", "job.toml").out


def test_a_condition_may_choose_the_product(shop: Shop) -> None:
    for name, when in [
        ('when = ["Medal", "Medal 50 mm"]', "when = '{{ item[:5].lower() == \"medal\" }}'"),
        ("[products.badge]", "[products.badge]\nwhen = '{{ item == \"Badge\" }}'"),
        ('when = "Desk plate"', "when = '{{ item == \"Desk plate\" or item == \"Badge\" }}'"),
        ('product = "Item"\n', ""),
    ]:
        shop.swap("job.toml", name, when)
    said = shop.call("check", "job.toml").out
    assert "sheet 'orders', row 6: the row is of several products: 'badge' and 'plate'; let when " \
        "tell them apart" in said  # fmt: skip
    shop.swap("job.toml", ' or item == "Badge"', "")
    said = shop.call("check", "job.toml").out
    assert (
        "sheet 'orders', row 21: no product's condition holds for this row; widen a condition, or "
        "mend the row" in said
    )
    shop.swap("job.toml", '{{ item == "Badge" }}', "{{ item }}")
    assert (
        "row 2: the condition of product 'badge' says 'Medal'; let it say True or False, as a "
        "comparison does" in shop.call("check", "job.toml").out
    )
