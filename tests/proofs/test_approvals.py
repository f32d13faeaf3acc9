"""What an approval holds, told by ``held.csv`` of the runs that come after it."""

from __future__ import annotations

import json

import pytest
from proofdesk import KEYS, LAYOUT, ROWS, Desk, desk, text

__all__ = ["desk"]


def test_what_changed_since_an_approval_is_held(desk: Desk) -> None:
    said = desk.good("approve", "--order", "F1", "--by", "Ottilie Brandvold", "--at", "2026-10-31")
    assert said.startswith("order F1, proof ") and "approved by Ottilie Brandvold" in said
    assert desk.held("as-approved") == []
    since = "since Ottilie Brandvold approved order F1 on 2026-10-31"
    remedy = "have the order approved again: vardata proof --order, then vardata approve"
    rows = list(ROWS)
    rows[1] = ("F1", "Bo Lee", "Fernhollow", "2")
    desk.rows(rows)
    assert desk.held("changed") == [
        '"F1","Bo Lee","Fernhollow","2","3","readers.csv, row 3",'
        f'"this row is new or changed {since}","{remedy}",""'
    ]
    desk.good("approve", "--order", "F1", "--by", "Jory Brandvold", "--at", "2026-11-01")
    assert desk.held("again") == []


@pytest.mark.parametrize("file", ["pics/{{ shelf }}.png", "pics/{{ shelf|trim }}.png"])
def test_a_picture_with_other_contents_since_an_approval_holds_its_row(
    desk: Desk, file: str
) -> None:
    from PIL import Image

    (desk.home / "pics").mkdir()
    for _, _, _, shelf in ROWS:
        Image.new("RGB", (300, 300), (0, 90, 20)).save(desk.home / f"pics/{shelf}.png")
    field = f'type = "picture"\nname = "mark"\nfile = "{file}"\nbox = [48, 3, 8, 8]\n'
    (desk.home / "layout.toml").write_text(f"{LAYOUT}\n[[fields]]\n{field}", encoding="utf-8")
    by = ("--by", "Ottilie Brandvold", "--at", "2026-10-31")
    before = desk.good("approve", "--order", "F1", *by)
    assert desk.held("as-approved") == []
    Image.new("RGB", (300, 300), (200, 0, 0)).save(desk.home / "pics/2.png")
    assert desk.held("changed") == [
        '"F1","Bo Li","Fernhollow","2","3","readers.csv, row 3","this row or a picture of it is '
        'new or changed since Ottilie Brandvold approved order F1 on 2026-10-31","have the order '
        'approved again: vardata proof --order, then vardata approve",""'
    ]
    assert desk.good("approve", "--order", "F1", *by) != before  # its proof has another mark
    assert desk.held("again") == []


def test_a_column_that_is_not_printed_may_change_and_rows_may_move(desk: Desk) -> None:
    desk.good("approve", "--order", "F1", "--by", "Ottilie Brandvold")
    desk.rows([*ROWS[2:], *((*row[:3], "99") for row in ROWS[:2])])
    assert desk.held("moved") == []


def test_a_changed_layout_holds_every_row_of_an_approved_order(desk: Desk) -> None:
    desk.good("approve", "--order", "F1", "--by", "Ottilie Brandvold", "--at", "2026-10-31")
    (desk.home / "layout.toml").write_text(LAYOUT.replace('"20pt"', '"18pt"'), encoding="utf-8")
    held = desk.held("run")
    assert len(held) == 2
    assert all(
        "the layout, its fonts or its art changed since Ottilie Brandvold approved order F1 on "
        "2026-10-31" in line
        for line in held
    )
    # A new proof can be made all the same, to be approved again.
    assert KEYS[0] in text(desk.proof("order.pdf", "--order", "F1"))


def test_an_approval_names_the_proof_that_was_seen(desk: Desk) -> None:
    desk.proof("order.pdf", "--order", "F1")
    foot = text(desk.home / "order.pdf")
    mark = foot.partition(", proof ")[2].split()[0]
    desk.rows([("F1", "Ada Queen", "Fernhollow", "1"), *ROWS[1:]])
    done = desk.call("approve", "--order", "F1", "--by", "Ottilie Brandvold", "--proof", mark)
    assert done.code == 2
    assert done.err.startswith(f"order 'F1' is not as the proof {mark} shows it any more (now ")
    assert done.err.strip().endswith("make a new proof and have it approved")
    desk.rows(ROWS)
    desk.good("approve", "--order", "F1", "--by", "Ottilie Brandvold", "--proof", mark)
    done = desk.call("approve", "--order", "F9", "--by", "Ottilie Brandvold")
    assert done.err.strip() == (
        "the order sheet has no order 'F9'; see the order column of the sheet"
    )


def test_rows_that_nobody_saw_are_told_and_are_not_approved(desk: Desk) -> None:
    long = "W" * 120
    rows = [*ROWS[:2], ("F1", long, "Fernhollow", "8"), ("F1", long * 2, "Fernhollow", "9")]
    desk.rows(rows)
    done = desk.call("proof", "--out", "order.pdf", "--order", "F1", "--at", "2026-10-31")
    assert done.code == 0 and done.out.startswith("2 items, proof ")
    told = done.err.splitlines()
    assert told[0] == "order F1: 2 rows are held and not shown"
    assert len(told) == 2
    assert told[1].startswith("readers.csv, row 4, field") and told[1].endswith("; likewise row 5")
    paper = " ".join(text(desk.home / "order.pdf").split())
    assert "not shown 2 rows of this order are held, not shown and not approved with it" in paper
    mark = done.out.partition(", proof ")[2].split()[0]
    done = desk.call("approve", "--order", "F1", "--by", "Ottilie Brandvold", "--proof", mark,
                     "--at", "2026-10-31")  # fmt: skip
    assert done.code == 0
    assert done.err.splitlines()[0] == (
        "order F1: 2 rows are held, were not shown and not approved; build holds what nobody saw "
        "until a new proof of it is approved"
    )
    unseen = (
        '"this row was held when Ottilie Brandvold approved order F1 on 2026-10-31, and was not '
        'shown","mend what vardata proof --order tells of it, and have the order approved again",""'
    )
    held = desk.held("as-approved")
    assert len(held) == 2 and all(line.endswith(unseen) for line in held)
    rows[2] = ("F1", "Wilma", "Fernhollow", "8")  # mended: it would fit, and nobody has seen it
    desk.rows(rows)
    assert [line[:12] for line in desk.held("mended")] == ['"F1","Wilma"', f'"F1","{long}"'[:12]]
    again = json.loads(desk.good("approve", "--order", "F1", "--by", "Jory", "--json"))
    assert again["held"] == 1 and len(again["problems"]) == 1
    assert len(desk.held("again")) == 1


def test_an_order_without_a_row_that_is_shown_cannot_be_shown_or_approved(desk: Desk) -> None:
    desk.rows([("F1", "W" * 120, "Fernhollow", "1"), *ROWS[2:]])
    for call in (("approve", "--by", "Ottilie Brandvold"), ("proof", "--out", "x.pdf")):
        done = desk.call(*call, "--order", "F1")
        assert done.code == 2
        assert done.err.strip() == (
            "every row of order 'F1' is held: nothing of it can be shown or approved; "
            "see vardata check"
        )
    assert not (desk.home / "x.pdf").exists()


def test_nobody_cannot_approve(desk: Desk) -> None:
    for nobody in ("", "  "):
        done = desk.call("approve", "--order", "F1", "--by", nobody)
        assert done.code == 2
        assert done.err == "--by names nobody; say who approved the order: --by NAME\n"
    assert not list(desk.home.glob("ledger.sqlite*"))


def test_what_is_approved_can_be_seen_with_what_changed_since(desk: Desk) -> None:
    assert desk.good("approve", "--list") == "no order is approved\n"
    for order, who in (("F1", "Ottilie Brandvold"), ("F3", "Jory Brandvold")):
        desk.good("approve", "--order", order, "--by", who, "--at", "2026-10-31")
    assert desk.good("approve", "--list").splitlines() == [
        "order F1: by Ottilie Brandvold on 2026-10-31, 2 records, as approved",
        "order F3: by Jory Brandvold on 2026-10-31, 2 records, as approved",
    ]
    desk.rows([ROWS[0], ("F1", "Bo Lee", "Fernhollow", "2"), *ROWS[2:4]])
    assert desk.good("approve", "--list").splitlines() == [
        "order F1: by Ottilie Brandvold on 2026-10-31, 2 records, 1 new, changed or not shown "
        "then: held",
        "order F3: by Jory Brandvold on 2026-10-31, 0 records, the order is not in the sheet",
    ]
    (desk.home / "layout.toml").write_text(LAYOUT.replace('"20pt"', '"18pt"'), encoding="utf-8")
    told = json.loads(desk.good("approve", "--list", "--json"))["approved"]
    assert [(one["order"], one["by"], one["records"], one["layout_changed"]) for one in told] == [
        ("F1", "Ottilie Brandvold", 2, True), ("F3", "Jory Brandvold", 0, True),
    ]  # fmt: skip
    done = desk.call("approve", "--order", "F1")
    assert done.code == 2
    assert done.err == (
        "--by is missing; say which order was approved and by whom, or --list to see what is "
        "approved\n"
    )
