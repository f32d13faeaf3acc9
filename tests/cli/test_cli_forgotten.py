"""What a build says where it cannot know of earlier runs, and where it prints nothing."""

from __future__ import annotations

import pytest
from badjob import Shop

BUILD = ("build", "job.toml", "--workers", "1", "--out")


def test_a_ledger_that_has_gone_is_warned_of(shop: Shop) -> None:
    assert "the ledger" not in shop.call(*BUILD, "run").err
    assert "the ledger" not in shop.call(*BUILD, "run-2").err
    (shop.path / "ledger.sqlite").unlink()
    lines = shop.call(*BUILD, "run-3").lines
    assert lines[0] == (
        "job.toml: the ledger ledger.sqlite is not there, though runs of this job lie beside it "
        "(run, run-2): a new one begins, which knows no serial and no row of theirs; put the old "
        "ledger back, if there is one"
    )
    assert "the ledger" not in shop.call(*BUILD, "run-4").err


def test_rows_that_no_line_tells_apart_are_warned_of(shop: Shop) -> None:
    shop.call(*BUILD, "run")
    shop.write("mended.csv", (shop.path / "orders.csv").read_text("utf-8"))
    found = shop.call(*BUILD, "run-2", "--sheet", "mended.csv")
    run_id = next((shop.path / "run" / "beds").glob("*.pdf")).name.split("-")[1]
    assert found.lines[0] == (
        f"job.toml: run {run_id} has built 4 records of this job, and without a line column its "
        "rows are not known again: those that are in mended.csv, too, are printed again; build its "
        'held.xlsx alone, or name the column with "line" under [records] before a run is built'
    )


def test_a_run_that_prints_nothing_says_so(shop: Shop) -> None:
    text = (shop.path / "orders.csv").read_text("utf-8")
    shop.write("orders.csv", text.splitlines()[0] + "\n1001,00043,Ada 漢,photos/ada.png,1\n")
    found = shop.call(*BUILD, "run")
    assert found.code == 3
    assert "nothing is printed: every row is held or skipped" in found.out.splitlines()


@pytest.mark.parametrize("written", ["{{ blank }}", "{{blank}}"])
def test_a_blank_that_is_a_template_is_told_the_key_for_columns(shop: Shop, written: str) -> None:
    shop.swap("job.toml", 'blank = "black"', f'blank = "{written}"')
    assert shop.call(*BUILD, "run").lines == [
        f"job.toml:6, blank: there is no blank '{written}'; to choose it by a column, write blank "
        '= "Heading" under [records] instead'
    ]


def test_remakes_find_folders_of_their_own_and_wrong_slots_are_told_first(shop: Shop) -> None:
    shop.call(*BUILD, "run")
    remake = ("remake", "job.toml", "run", "--workers", "1", "--slot")
    assert shop.call(*remake, "1/A1").code == 0
    assert shop.call(*remake, "1/B1").code == 0
    assert (shop.path / "run-remake" / "run.json").is_file()
    assert (shop.path / "run-remake-2" / "run.json").is_file()
    wrong = shop.call(*remake, "9/A1", "--out", "run-remake")
    assert wrong.lines == ["--slot '9/A1': the run has no bed 9; it has bed 1 only"]
