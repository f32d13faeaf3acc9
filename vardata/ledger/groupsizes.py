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
    PRIMARY KEY (run_id, field, name)
) STRICT, WITHOUT ROWID;
"""
_OF_RUN = "SELECT field, name, size_pt, squeeze, lines FROM group_size_of_run WHERE run_id = ?"
_NOW = "SELECT field, name, size_pt, squeeze, lines FROM group_size WHERE job = ?"


class StoredSize(NamedTuple):
    """One group of one field."""

    field: str
    name: str
    size_pt: float
    squeeze: float
    lines: int


def stored_sizes(path: Path, job: str, run_id: str | None = None) -> list[StoredSize]:
    """What earlier runs of jobs of this name gave their groups, the latest of each; with
    ``run_id`` those of one run come before them. The ledger is only read."""
    if not path.exists():
        return []
    memory = copy_in_memory(path, SCHEMA)
    try:
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
    connection.executemany(
        "INSERT OR REPLACE INTO group_size_of_run VALUES (?, ?, ?, ?, ?, ?)",
        ((run_id, *one) for one in sizes),
    )
    known = (
        " DO NOTHING" if of_old else " DO UPDATE SET size_pt = excluded.size_pt,"
        " squeeze = excluded.squeeze, lines = excluded.lines, run_id = excluded.run_id"
        " WHERE (size_pt, squeeze, lines) <> (excluded.size_pt, excluded.squeeze, excluded.lines)"
    )
    connection.executemany(
        "INSERT INTO group_size VALUES (?, ?, ?, ?, ?, ?, ?) ON CONFLICT (job, field, name)"
        + known, ((job, one.field, one.name, *one[2:], run_id) for one in sizes),
    )  # fmt: skip
