"""Sizes that groups of texts were printed with, so that supplements and remakes look the same.

In: what a finished run gave its groups. Out: the same for later runs of jobs of the same name.
A group is known by its field and its own name.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from vardata.ledger.session import copy_in_memory

SCHEMA = """
CREATE TABLE IF NOT EXISTS group_size (
    job     TEXT NOT NULL,
    field   TEXT NOT NULL,
    name    TEXT NOT NULL,   -- of the group: an order, a value; empty for the batch
    size_pt REAL NOT NULL,
    squeeze REAL NOT NULL,
    lines   INTEGER NOT NULL,
    run_id  TEXT NOT NULL,   -- the run that printed it first
    PRIMARY KEY (job, field, name)
) STRICT, WITHOUT ROWID;
"""


class StoredSize(NamedTuple):
    """One group of one field."""

    field: str
    name: str
    size_pt: float
    squeeze: float
    lines: int


def stored_sizes(path: Path, job: str) -> list[StoredSize]:
    """What earlier runs of jobs of this name gave their groups; the ledger is only read."""
    if not path.exists():
        return []
    memory = copy_in_memory(path, SCHEMA)
    try:
        rows = memory.execute(
            "SELECT field, name, size_pt, squeeze, lines FROM group_size WHERE job = ?", (job,)
        )
        return [StoredSize(*row) for row in rows]
    finally:
        memory.close()


def store_sizes(
    connection: sqlite3.Connection, job: str, run_id: str, sizes: Iterable[StoredSize]
) -> None:
    """Notes what a finished run gave its groups, in place of what stood there."""
    connection.execute(SCHEMA)
    connection.executemany(
        "INSERT INTO group_size VALUES (?, ?, ?, ?, ?, ?, ?)"
        " ON CONFLICT (job, field, name) DO UPDATE SET size_pt = excluded.size_pt,"
        " squeeze = excluded.squeeze, lines = excluded.lines, run_id = excluded.run_id"
        " WHERE (size_pt, squeeze, lines) <> (excluded.size_pt, excluded.squeeze, excluded.lines)",
        ((job, one.field, one.name, *one[2:], run_id) for one in sizes),
    )
