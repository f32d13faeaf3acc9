"""The ledger remembers when a run was first seen, whoever asks, and says so when it cannot."""

from __future__ import annotations

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from vardata.ledger.store import Ledger
from vardata.problems import OutputError

NOON = datetime(2026, 10, 31, 12, 0, tzinfo=UTC)


def test_the_first_sight_stays(tmp_path: Path) -> None:
    ledger = Ledger(tmp_path / "ledger.sqlite")
    assert ledger.first_sight("a1", "job", NOON) == NOON
    assert ledger.first_sight("a1", "job", NOON + timedelta(days=9)) == NOON
    assert ledger.first_sight("b2", "job", NOON + timedelta(days=9)) == NOON + timedelta(days=9)


def test_many_at_once_agree(tmp_path: Path) -> None:
    path = tmp_path / "ledger.sqlite"

    def ask(second: int) -> datetime:
        return Ledger(path).first_sight("a1", "job", NOON + timedelta(seconds=second))

    with ThreadPoolExecutor(8) as pool:
        assert len(set(pool.map(ask, range(40)))) == 1


def test_a_finished_run_is_written_down(tmp_path: Path) -> None:
    path = tmp_path / "ledger.sqlite"
    ledger = Ledger(path)
    ledger.first_sight("a1", "job", NOON)
    with ledger.finishing("a1", NOON, tmp_path / "run", records=5, beds=1, held=2, skipped=0):
        pass
    with sqlite3.connect(path) as database:
        row = database.execute("SELECT finished, records, beds, held FROM run").fetchone()
    assert row == ("2026-10-31T12:00:00+00:00", 5, 1, 2)


def test_a_file_that_is_no_ledger_is_one_clear_line(tmp_path: Path) -> None:
    path = tmp_path / "ledger.sqlite"
    path.write_bytes(b"this is a letter, not a database, and long enough to be read as one" * 20)
    with pytest.raises(OutputError) as error:
        Ledger(path).first_sight("a1", "job", NOON)
    assert str(error.value) == (
        f"{path}: this file is no ledger: it is not a SQLite database; move it away, or name "
        'another with "ledger" in the job'
    )
    assert path.read_bytes().startswith(b"this is a letter")
