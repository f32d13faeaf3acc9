"""The same export again: what was built is skipped, what changed waits, what is gone is told."""

from __future__ import annotations

import sqlite3

import pytest
from exportshop import Shop, shop

__all__ = ["shop"]

WEEK_1 = ("1001,1,Ottilie Brandvold,1,", "1001,2,Jory Brandvold,2,", "1002,1,Pim Aldous,1,")


def test_an_overlapping_export_prints_only_what_is_new(shop: Shop) -> None:
    shop.build(shop.sheet("week-1.csv", *WEEK_1), "run-1")
    first = shop.run_id("run-1")
    shop.sheet("week-2.csv", *WEEK_1, "1003,1,Sanne Okafor,1,")
    done = shop.build("week-2.csv", "run-2")
    assert "against earlier runs: 1 new, 3 built before, 0 changed since, 0 gone since" in done.out
    assert shop.printed("run-2") == [("week-2!5#1", "A1", "Sanne Okafor")]
    assert [row["skipped: reason"] for row in shop.table("run-2", "skipped.csv")] == [
        f"built before: run {first}, bed 1, slot A1",
        f"built before: 2 pieces, run {first}, bed 1, slot A2 to bed 1, slot B1",
        f"built before: run {first}, bed 1, slot B2",
    ]


def test_white_space_and_unprinted_columns_are_no_change(shop: Shop) -> None:
    shop.build(shop.sheet("week-1.csv", *WEEK_1), "run-1")
    shop.sheet("week-2.csv", "1001,1, Ottilie Brandvold ,1,call her first")
    assert "0 new, 1 built before, 0 changed since" in shop.build("week-2.csv", "run-2").out


def test_a_changed_row_is_held_until_a_person_decides(shop: Shop) -> None:
    shop.build(shop.sheet("week-1.csv", *WEEK_1), "run-1")
    first = shop.run_id("run-1")
    shop.sheet("week-2.csv", "1001,1,Ottilie Brandvold-Ek,1,", *WEEK_1[1:])
    asked = shop.check("week-2.csv")
    assert asked.code == 3
    assert (
        f"  sheet 'week-2', row 2, column 'Line': 'Reader' has changed since it was built: "
        f"run {first}, bed 1, slot A1; to print it as it is now, build with --reprint 1001/1; "
        "to leave it as it was printed, with --keep 1001/1" in asked.out
    )
    assert "against earlier runs: 0 new, 2 built before, 1 changed since, 0 gone" in asked.out
    shop.build("week-2.csv", "run-2", code=3)
    assert shop.printed("run-2") == []
    assert [row["held: what"] for row in shop.table("run-2", "held.csv")] == [
        f"'Reader' has changed since it was built: run {first}, bed 1, slot A1"
    ]
    shop.build("week-2.csv", "run-3", "--reprint", "1001/1")
    assert shop.printed("run-3") == [("week-2!2#1", "A1", "Ottilie Brandvold-Ek")]
    assert "0 new, 3 built before, 0 changed" in shop.build("week-2.csv", "run-4").out


def test_a_kept_change_is_settled_for_later_exports(shop: Shop) -> None:
    shop.build(shop.sheet("week-1.csv", *WEEK_1), "run-1")
    first = shop.run_id("run-1")
    shop.sheet("week-2.csv", "1001,1,Ottilie B.,1,")
    shop.build("week-2.csv", "run-2", "--keep", "1001")
    assert shop.printed("run-2") == []
    assert [row["skipped: reason"] for row in shop.table("run-2", "skipped.csv")] == [
        f"'Reader' has changed since it was built, kept: run {first}, bed 1, slot A1"
    ]
    assert "0 new, 1 built before, 0 changed" in shop.build("week-2.csv", "run-3").out
    assert shop.table("run-3", "skipped.csv")[0]["skipped: reason"] == (
        f"built before and kept: run {first}, bed 1, slot A1"
    )
    shop.sheet("week-3.csv", "1001,1,Tilly,1,")
    assert "0 new, 0 built before, 1 changed" in shop.build("week-3.csv", "run-4", code=3).out


def test_one_more_piece_prints_one_more_piece(shop: Shop) -> None:
    shop.build(shop.sheet("week-1.csv", *WEEK_1), "run-1")
    shop.sheet("week-2.csv", "1001,2,Jory Brandvold,3,")
    held = shop.build("week-2.csv", "run-2", code=3)
    assert "1 held (1 changed-since)" in held.out.replace("row held", "held")
    assert shop.table("run-2", "held.csv")[0]["held: what"].startswith(
        "the quantity (2 before, 3 now) has changed since it was built: 2 pieces, run "
    )
    shop.build("week-2.csv", "run-3", "--changed", "print")
    assert [record for record, _, _ in shop.printed("run-3")] == ["week-2!2#3"]
    assert "the other pieces were built before" in (
        shop.table("run-3", "skipped.csv")[0]["skipped: reason"]
    )
    assert "0 new, 1 built before, 0 changed" in shop.build("week-2.csv", "run-4").out


def test_the_job_may_say_what_becomes_of_changed_rows(shop: Shop) -> None:
    shop.build(shop.sheet("week-1.csv", *WEEK_1), "run-1")
    shop.swap("job.toml", 'line = "Line"', 'line = "Line"\nchanged = "print"')
    shop.sheet("week-2.csv", "1001,1,Ottilie Ek,1,", "1001,2,Jory Ek,2,")
    shop.build("week-2.csv", "run-2", "--keep", "1001/2")
    assert [text for _, _, text in shop.printed("run-2")] == ["Ottilie Ek"]


def test_lines_that_are_gone_are_told_and_another_period_is_not_gone(shop: Shop) -> None:
    shop.build(shop.sheet("week-1.csv", *WEEK_1, "1003,1,Ida Voss,1,", "1004,1,Ole,1,"), "run-1")
    first = shop.run_id("run-1")
    # 1001/2 is gone from its order, 1003 from between two orders; 1004 is of another period.
    shop.sheet("week-2.csv", WEEK_1[0], WEEK_1[2])
    said = shop.check("week-2.csv").out
    assert "0 changed since, 1 gone since" in said
    assert (
        f"sheet 'week-2': order '1001', line '2' was built (run {first}, bed 1, slot A2) and is "
        "not in the sheet any more; if it is cancelled, take its pieces out of the order" in said
    )
    shop.sheet("week-3.csv", *WEEK_1, "1004,1,Ole,1,")
    said = shop.check("week-3.csv").out
    assert "0 changed since, 1 gone since" in said and "order '1003', line '1' was built" in said
    shop.sheet("week-4.csv", "1004,1,Ole,1,", "1005,1,Una,1,")
    assert "1 new, 1 built before, 0 changed since, 0 gone since" in shop.check("week-4.csv").out


def test_a_row_cancelled_by_its_quantity_is_told(shop: Shop) -> None:
    shop.build(shop.sheet("week-1.csv", *WEEK_1), "run-1")
    shop.sheet("week-2.csv", "1002,1,Pim Aldous,0,")
    said = shop.check("week-2.csv").out
    assert "0 changed since, 1 gone since" in said
    assert "row 2: order '1002', line '1': quantity is 0, but it was built before: run " in said


def test_two_rows_of_one_line_and_a_row_without_line_are_held(shop: Shop) -> None:
    shop.sheet("week-1.csv", WEEK_1[0], "1001,1,Someone Else,1,", "1001,,Nobody,1,")
    said = shop.check("week-1.csv").out
    assert (
        "sheet 'week-1', row 3, column 'Line': order '1001' has line '1' in row 2 already; "
        "give each line of an order a number of its own" in said
    )
    assert (
        "sheet 'week-1', row 4, column 'Line': the line is empty, so the row cannot be told from "
        "others of its order; write the line in every row" in said
    )


def test_machines_are_told_how_rows_stand_to_earlier_runs(shop: Shop) -> None:
    import json

    shop.build(shop.sheet("week-1.csv", *WEEK_1), "run-1")
    shop.sheet("week-2.csv", "1001,1,Ottilie Ek,1,", WEEK_1[2], "1003,1,Ida Voss,1,")
    told = json.loads(shop.check("week-2.csv", "--json").out)
    assert told["earlier"] == {"new": 1, "built": 1, "changed": 1, "gone": 1}
    told = json.loads(shop.build("week-2.csv", "run-2", "--json", code=3).out)
    assert told["earlier"] == {"new": 1, "built": 1, "changed": 1, "gone": 1}
    assert told["held_by_kind"] == {"changed-since": 1}


def test_jobs_of_another_name_are_another_family(shop: Shop) -> None:
    shop.build(shop.sheet("week-1.csv", *WEEK_1), "run-1")
    shop.swap("job.toml", 'name = "readers"', 'name = "badges"')
    assert "3 new, 0 built before" in shop.build("week-1.csv", "run-2").out


def test_check_and_preview_leave_nothing_and_preview_shows_every_row(shop: Shop) -> None:
    shop.sheet("week-1.csv", *WEEK_1)
    shop.check("week-1.csv")
    assert not (shop.path / "ledger.sqlite").exists()
    shop.build("week-1.csv", "run-1")
    before = (shop.path / "ledger.sqlite").read_bytes()
    shop.check("week-1.csv", "--changed", "print")
    done = shop.call("preview", "job.toml", "--out", "bed.png", "--workers", "1")
    assert "bed 1, 4 items" in done.out
    assert (shop.path / "ledger.sqlite").read_bytes() == before


def test_a_failed_run_leaves_nothing(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.sheet("week-1.csv", *WEEK_1)

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("vardata.output.folder._swap", refuse)
        shop.build("week-1.csv", "run-1", code=6)
    assert not (shop.path / "run-1").exists()
    with sqlite3.connect(shop.path / "ledger.sqlite") as database:
        assert database.execute("SELECT finished FROM run").fetchall() == [(None,)]
        tables = [row[0] for row in database.execute("SELECT name FROM sqlite_master")]
        for table in {"line_run", "line_piece", "line_told"} & set(tables):
            assert database.execute(f"SELECT COUNT(*) FROM {table}").fetchone() == (0,)
    assert "3 new, 0 built before" in shop.build("week-1.csv", "run-1").out


def test_a_run_that_was_overtaken_is_refused(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """While one run is made, another builds the same lines and finishes first."""
    from vardata import merge

    shop.sheet("week-1.csv", *WEEK_1)
    shop.sheet("week-2.csv", *WEEK_1, "1003,1,Ida Voss,1,")
    true = merge.write_run

    def slow(*args: object, **named: object) -> object:
        with monkeypatch.context() as patch:
            patch.setattr(merge, "write_run", true)
            shop.build("week-2.csv", "other")
        return true(*args, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(merge, "write_run", slow)
    done = shop.build("week-1.csv", "run-1", code=6)
    assert (
        "another run has built 4 of these pieces while this one was made; build again: what is "
        "built by then is skipped" in done.err
    )
    assert not (shop.path / "run-1").exists()


def test_a_run_can_be_made_again_byte_for_byte(shop: Shop) -> None:
    from exportshop import NUMBER, SERIAL

    shop.append("card.toml", NUMBER)
    shop.append("job.toml", SERIAL)
    shop.sheet("week-1.csv", *WEEK_1)
    shop.build("week-1.csv", "run-1")
    shop.sheet("week-2.csv", *WEEK_1, "1003,1,Ida Voss,1,")
    shop.build("week-2.csv", "run-2")
    for sheet, out in (("week-1.csv", "run-1"), ("week-2.csv", "run-2")):
        shop.build(sheet, "again", "--again", shop.run_id(out), "--replace")
        ours, theirs = shop.path / out, shop.path / "again"
        names = sorted(path.relative_to(ours) for path in ours.rglob("*") if path.is_file())
        assert [n for n in names if (ours / n).read_bytes() != (theirs / n).read_bytes()] == []
    assert "0 new, 4 built before" in shop.build("week-2.csv", "run-3").out


def test_decisions_that_decide_nothing_are_told(shop: Shop) -> None:
    shop.build(shop.sheet("week-1.csv", *WEEK_1), "run-1")
    assert (
        "no row '1009/1' was built before, so there is nothing to decide; name it as ORDER or "
        "ORDER/LINE, as the sheet shows them" in shop.check("week-1.csv", "--keep", "1009/1").out
    )
    done = shop.build("week-1.csv", "run-2", "--again", "0123456789ab", code=2)
    assert (
        "the ledger knows no run '0123456789ab' with lines; the id of a run stands in its "
        "run.json and in the names of its beds" in done.err
    )
    shop.swap("job.toml", 'line = "Line"\n', "")
    done = shop.build("week-1.csv", "run-2", "--changed", "keep", code=2)
    assert (
        "job.toml: without a line column no row is compared with earlier runs; name the column "
        'with "line" under [records]' in done.err
    )


def test_a_line_needs_an_order(shop: Shop) -> None:
    shop.swap("job.toml", 'order = "Order"\n', "")
    said = shop.call("check", "job.toml").err
    assert (
        "job.toml:15, records.line: a line tells the rows of an order apart, but no column gives "
        "the order; name the order's column in records.order" in said
    )
    shop.swap("job.toml", 'line = "Line"', 'changed = "keep"')
    assert (
        "records.changed: no row can be known to have changed: no column gives the line; name the "
        "line's column in records.line, or take this away" in shop.call("check", "job.toml").err
    )
