"""The same input gives the same bytes, whoever builds it, where, when and with how many workers."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

from run_kit import AT, DONE, HELD, Run, build, call, copied, digests, shortened

SOONER = "2024-02-29T23:59:58+00:00"


def test_the_number_of_workers_cannot_be_seen(medals: Run, tmp_path: Path) -> None:
    one = build(copied("medals", tmp_path / "job"), tmp_path / "run", "--at", AT, "--workers", "1")
    assert (one.code, one.stderr) == (HELD, medals.stderr)
    assert digests(one.out) == digests(medals.out)


def test_chunks_that_end_in_another_order_cannot_be_seen(tags: Run, tags_by_three: Run) -> None:
    """5,000 records are many chunks for fitting and several for beds."""
    assert digests(tags_by_three.out) == digests(tags.out)
    assert len(digests(tags.out)) > len(tags.beds)


def test_place_time_zone_language_and_hash_seed_cannot_be_seen(medals: Run, tmp_path: Path) -> None:
    """Called from elsewhere by a relative path, east of the date line's other side."""
    home = copied("medals", tmp_path / "Another place, naïve")
    code, _, complaint = call(
        "build", f"{home.name}/job.toml", "--out", "elsewhere", "--at", AT, cwd=tmp_path,
        TZ="Pacific/Auckland", LC_ALL="C", LANG="C", PYTHONHASHSEED="42", COLUMNS="40",
    )  # fmt: skip
    assert code == HELD, complaint
    assert digests(tmp_path / "elsewhere") == digests(medals.out)


def test_the_ledger_remembers_the_first_date(tmp_path: Path) -> None:
    """Built again without --at, a run has the date of its first sight. Python's sqlite3 reads
    the ledger, and moves that date into the past to show that no clock is asked."""
    home = shortened(copied("tags", tmp_path / "job"), 100)
    first = build(home, tmp_path / "run")
    assert first.code == DONE, first.stderr
    before = digests(first.out)
    ((run_id, date),) = runs_in(home)
    facts = facts_of(first)
    assert (facts["run_id"], facts["at"]) == (run_id, date)

    assert build(home, first.out, "--replace").code == DONE
    assert digests(first.out) == before

    with sqlite3.connect(home / "ledger.sqlite") as ledger:
        ledger.execute("UPDATE run SET first_seen = ?", (SOONER,))
    ledger.close()
    third = build(home, tmp_path / "third")
    assert facts_of(third)["at"] == SOONER
    assert runs_in(home) == [(run_id, SOONER)]
    beds = {path.name for path in (third.out / "beds").iterdir()}
    assert beds == {path.name for path in (first.out / "beds").iterdir()}
    assert digests(third.out) != before, "the date is on the papers"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["job", "run", "third"]


def test_another_input_is_another_run(medals: Run, medals_apart: Run) -> None:
    ids = {facts_of(run)["run_id"] for run in (medals, medals_apart)}
    assert len(ids) == 2


def runs_in(home: Path) -> list[tuple[str, str]]:
    with sqlite3.connect(home / "ledger.sqlite") as ledger:
        found = ledger.execute("SELECT run_id, first_seen FROM run").fetchall()
    ledger.close()
    return found


def facts_of(run: Run) -> dict[str, str]:
    found: dict[str, str] = json.loads((run.out / "run.json").read_text(encoding="utf-8"))
    return found
