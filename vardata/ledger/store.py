"""The ledger: a small SQLite database beside the job that remembers every run.

In: run ids and facts of finished runs. Out: when an id was first seen. Called by ``merge``
and the faces only; stages never see it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

from vardata.ledger import linefile
from vardata.ledger.session import copy_in_memory, session

SCHEMA = """
CREATE TABLE IF NOT EXISTS run (
    run_id     TEXT PRIMARY KEY,
    job        TEXT NOT NULL,
    first_seen TEXT NOT NULL,   -- UTC, ISO 8601
    finished   TEXT,            -- UTC, ISO 8601; NULL until the folder is in place
    folder     TEXT,
    records    INTEGER,
    beds       INTEGER,
    held       INTEGER,
    skipped    INTEGER
) STRICT;
"""


def folder_of(path: Path, run_id: str) -> Path | None:
    """Where a finished run was put, if the ledger knows it; the ledger is only read."""
    if not path.exists():
        return None
    memory = copy_in_memory(path, SCHEMA)
    try:
        row = memory.execute("SELECT folder FROM run WHERE run_id = ?", (run_id,)).fetchone()
    finally:
        memory.close()
    return Path(row[0]) if row and row[0] else None


class LatestRun(NamedTuple):
    run_id: str
    records: int


def latest_run(path: Path, job: str) -> LatestRun | None:
    """The latest finished run of a job that printed something; the ledger is only read."""
    memory = copy_in_memory(path, SCHEMA)
    try:
        row = memory.execute(
            "SELECT run_id, records FROM run WHERE job = ? AND records > 0"
            " ORDER BY finished DESC LIMIT 1", (job,),
        ).fetchone()  # fmt: skip
    finally:
        memory.close()
    return LatestRun(*row) if row else None


class Ledger:
    """One ledger file. Every call opens, does one transaction and closes."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def _session(self) -> AbstractContextManager[sqlite3.Connection]:
        return session(self._path, SCHEMA)

    def first_sight(self, run_id: str, job: str, now: datetime) -> datetime:
        """When this id was first seen: ``now`` (UTC) for a new one, which is noted."""
        with self._session() as connection:
            connection.execute(
                "INSERT OR IGNORE INTO run (run_id, job, first_seen) VALUES (?, ?, ?)",
                (run_id, job, now.astimezone(UTC).isoformat(timespec="seconds")),
            )
            row = connection.execute(
                "SELECT first_seen FROM run WHERE run_id = ?", (run_id,)
            ).fetchone()
        return datetime.fromisoformat(row[0])

    @contextmanager
    def finishing(
        self,
        run_id: str,
        now: datetime,
        folder: Path,
        *,
        records: int,
        beds: int,
        held: int,
        skipped: int,
        also: Callable[[sqlite3.Connection], None] | None = None,
    ) -> Iterator[None]:
        """Around the step that puts the run's folder in place: what the ledger notes of the
        run, and what ``also`` adds to it, stands if the step is done, and not otherwise."""
        with session(self._path, SCHEMA + linefile.SCHEMA) as connection:
            connection.execute(
                "UPDATE run SET finished = ?, folder = ?, records = ?, beds = ?, held = ?,"
                " skipped = ? WHERE run_id = ?",
                (
                    now.astimezone(UTC).isoformat(timespec="seconds"),
                    str(folder),
                    records,
                    beds,
                    held,
                    skipped,
                    run_id,
                ),
            )
            if also is not None:
                also(connection)
            yield
