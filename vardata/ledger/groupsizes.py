"""Sizes that groups of texts were printed with, so that supplements and remakes look the same.

In: what a finished run gave its groups. Out: the same for later runs of jobs of the same name: what
each group has now, or what one run gave it. A group is known by its field and its own name.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
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
    tracking REAL,           -- NULL in what was noted before texts could differ in it
    run_id  TEXT NOT NULL,   -- the run that printed it first
    PRIMARY KEY (job, field, name)
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS group_size_of_run (
    run_id  TEXT NOT NULL,
    field   TEXT NOT NULL,
    name    TEXT NOT NULL,
    size_pt REAL NOT NULL,
    squeeze REAL NOT NULL,
    lines   INTEGER NOT NULL,
    tracking REAL,
    PRIMARY KEY (run_id, field, name)
) STRICT, WITHOUT ROWID;
"""
_SIZE = "field, name, size_pt, squeeze, lines, tracking"
_OF_RUN = f"SELECT {_SIZE} FROM group_size_of_run WHERE run_id = ?"
_NOW = f"SELECT {_SIZE} FROM group_size WHERE job = ?"


class StoredSize(NamedTuple):
    """One group of one field."""

    field: str
    name: str
    size_pt: float
    squeeze: float
    lines: int
    tracking: float | None


def stored_sizes(path: Path, job: str, run_id: str | None = None) -> list[StoredSize]:
    """What earlier runs of jobs of this name gave their groups, the latest of each; with
    ``run_id`` those of one run come before them. The ledger is only read."""
    if not path.exists():
        return []
    memory = copy_in_memory(path, SCHEMA)
    try:
        _widened(memory)
        found = {row[:2]: StoredSize(*row) for row in memory.execute(_NOW, (job,))}
        if run_id is not None:
            of_run = memory.execute(_OF_RUN, (run_id,))
            found.update({row[:2]: StoredSize(*row) for row in of_run})
        return list(found.values())
    finally:
        memory.close()


def store_sizes(
    connection: sqlite3.Connection, job: str, run_id: str, sizes: Sequence[StoredSize],
    of_old: bool = False,
) -> None:
    """Notes what a finished run gave its groups, in place of what stood there; if those are sizes
    ``of_old``, what groups have now stays."""
    for statement in filter(str.strip, SCHEMA.split(";\n")):
        connection.execute(statement)
    _widened(connection)
    connection.executemany(
        f"INSERT OR REPLACE INTO group_size_of_run (run_id, {_SIZE}) VALUES (?, ?, ?, ?, ?, ?, ?)",
        ((run_id, *one) for one in sizes),
    )
    known = (
        " DO NOTHING" if of_old else " DO UPDATE SET size_pt = excluded.size_pt,"
        " squeeze = excluded.squeeze, lines = excluded.lines, tracking = excluded.tracking,"
        " run_id = excluded.run_id WHERE (size_pt, squeeze, lines, tracking)"
        " IS NOT (excluded.size_pt, excluded.squeeze, excluded.lines, excluded.tracking)"
    )
    connection.executemany(
        f"INSERT INTO group_size (job, run_id, {_SIZE}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
        f" ON CONFLICT (job, field, name){known}",
        ((job, run_id, *one) for one in sizes),
    )


def _widened(connection: sqlite3.Connection) -> None:
    """Gives tables of an older ledger the column that they lack."""
    for table in ("group_size", "group_size_of_run"):
        columns = {row[1] for row in connection.execute(f"PRAGMA table_info({table})")}
        if "tracking" not in columns:
            connection.execute(f"ALTER TABLE {table} ADD COLUMN tracking REAL")
