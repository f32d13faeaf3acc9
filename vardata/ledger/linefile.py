"""The lines' tables in a ledger: pieces that runs have built, and contents that need no print.

In: an open transaction of a run's finish. Out: nothing; either all of a run's lines are written
or none. A line is told by its order and its line within it, inside a family of runs: all runs
of jobs of one name.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from typing import NamedTuple

SCHEMA = """
CREATE TABLE IF NOT EXISTS line_run (
    seq     INTEGER PRIMARY KEY,  -- runs in the order in which they were finished
    run_id  TEXT NOT NULL UNIQUE,
    columns TEXT NOT NULL         -- names of the columns in each content, JSON
) STRICT;
CREATE TABLE IF NOT EXISTS line_piece (
    family   TEXT NOT NULL,
    order_no TEXT NOT NULL,
    line     TEXT NOT NULL,
    piece    INTEGER NOT NULL,    -- from 1 to the row's quantity
    seq      INTEGER NOT NULL,    -- the run that built it
    content  BLOB NOT NULL,       -- a digest for each column that is printed
    quantity INTEGER NOT NULL,
    row      INTEGER NOT NULL,    -- of the order sheet
    bed      INTEGER NOT NULL,
    slot     TEXT NOT NULL,
    PRIMARY KEY (family, order_no, line, piece, seq)
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS line_told (
    family   TEXT NOT NULL,
    order_no TEXT NOT NULL,
    line     TEXT NOT NULL,
    content  BLOB NOT NULL,
    quantity INTEGER NOT NULL,    -- 0: it could not be read
    seq      INTEGER NOT NULL,
    why      TEXT NOT NULL CHECK (why IN ('held', 'settled')),
    PRIMARY KEY (family, order_no, line, content, quantity, seq)
) STRICT, WITHOUT ROWID;
"""


class BuiltLine(NamedTuple):
    """One piece that a run has put into a slot."""

    order: str
    line: str
    piece: int
    content: bytes
    quantity: int
    row: int
    bed: int
    slot: str


class ToldLine(NamedTuple):
    """A content of a line that was held, or that a person has settled otherwise."""

    order: str
    line: str
    content: bytes
    quantity: int
    why: str


def run_number(connection: sqlite3.Connection, run_id: str, columns: str) -> int:
    """The run's number in the order of runs; a run that is made again keeps its own."""
    connection.execute(
        "INSERT INTO line_run (run_id, columns) VALUES (?, ?)"
        " ON CONFLICT (run_id) DO UPDATE SET columns = excluded.columns",
        (run_id, columns),
    )
    row = connection.execute("SELECT seq FROM line_run WHERE run_id = ?", (run_id,)).fetchone()
    return int(row[0])


def write_lines(
    connection: sqlite3.Connection,
    family: str,
    seq: int,
    built: Iterable[BuiltLine],
    told: Iterable[ToldLine],
) -> None:
    """Writes what a run built and what it settled; writing the same again changes nothing."""
    connection.executemany(
        "INSERT OR REPLACE INTO line_piece (family, order_no, line, piece, seq, content, quantity,"
        " row, bed, slot) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            (family, one.order, one.line, one.piece, seq, one.content, one.quantity, one.row,
             one.bed, one.slot)
            for one in built
        ),
    )  # fmt: skip
    connection.executemany(
        "INSERT OR REPLACE INTO line_told (family, order_no, line, content, quantity, seq, why)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        ((family, one.order, one.line, one.content, one.quantity, seq, one.why) for one in told),
    )


def built_since(
    connection: sqlite3.Connection, family: str, after: int, but: int, built: Iterable[BuiltLine]
) -> int:
    """How many of these pieces runs after number ``after`` have built, run ``but`` aside."""
    newer = connection.execute(
        "SELECT 1 FROM line_run WHERE seq > ? AND seq != ?", (after, but)
    ).fetchone()
    if newer is None:
        return 0
    find = (
        "SELECT 1 FROM line_piece WHERE family = ? AND order_no = ? AND line = ? AND piece = ?"
        " AND seq > ? AND seq != ?"
    )
    return sum(
        connection.execute(
            find, (family, one.order, one.line, one.piece, after, but)
        ).fetchone() is not None
        for one in built
    )  # fmt: skip
