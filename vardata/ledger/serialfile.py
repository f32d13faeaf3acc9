"""The serials' tables in a ledger, and a session on them: the ground for ``ledger.serials``."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Self

from vardata.ledger import ranges
from vardata.ledger.ranges import Range
from vardata.ledger.session import copy_in_memory, immediate, session

SCHEMA = ranges.SCHEMA + """
CREATE TABLE IF NOT EXISTS serial_counter (
    scope TEXT PRIMARY KEY,
    given INTEGER NOT NULL,       -- 1: numbers are positions in a list of given values
    next  INTEGER NOT NULL        -- no number below it will be given again
) STRICT;
CREATE TABLE IF NOT EXISTS serial_block (
    block    INTEGER PRIMARY KEY,
    scope    TEXT NOT NULL,
    key      TEXT NOT NULL,       -- hash of the inputs that the numbers were reserved for
    job      TEXT NOT NULL,
    rule     TEXT NOT NULL,       -- the rule's name in the job
    pattern  TEXT NOT NULL,       -- the rule itself, JSON: how the numbers are written
    day      TEXT NOT NULL,       -- the date in the texts, ISO 8601
    count    INTEGER NOT NULL,
    reserved TEXT NOT NULL,       -- UTC, ISO 8601
    pictures TEXT NOT NULL,       -- hash of the pictures printed with them; '' until known
    finished TEXT,                -- UTC, ISO 8601; NULL until a run's folder stood
    UNIQUE (scope, key)
) STRICT;
CREATE TABLE IF NOT EXISTS serial_run (
    run_id TEXT NOT NULL,
    block  INTEGER NOT NULL,
    PRIMARY KEY (run_id, block)
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS serial_given (
    scope    TEXT NOT NULL,
    position INTEGER NOT NULL,    -- from 1, in the order of the lists
    text     TEXT NOT NULL,
    PRIMARY KEY (scope, position),
    UNIQUE (scope, text)
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS serial_destroyed (
    scope     TEXT NOT NULL,
    number    INTEGER NOT NULL,
    confirmed TEXT NOT NULL,      -- UTC, ISO 8601
    remade    TEXT,               -- when the number was used again; NULL until then
    PRIMARY KEY (scope, number, confirmed)
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS remake (
    run_id TEXT NOT NULL,         -- the run that printed the record again
    record TEXT NOT NULL,
    of_run TEXT NOT NULL,         -- the run whose piece was spoiled, its bed and slot there
    bed    INTEGER NOT NULL,
    slot   TEXT NOT NULL,
    rule   TEXT NOT NULL,         -- '' for a record without serials
    scope  TEXT NOT NULL,
    old    INTEGER NOT NULL,      -- the number of the spoiled piece, 0 without serials
    new    INTEGER NOT NULL,      -- its number now; the same if it was kept
    made   TEXT NOT NULL,         -- UTC, ISO 8601
    PRIMARY KEY (run_id, record, rule)
) STRICT, WITHOUT ROWID;
CREATE INDEX IF NOT EXISTS remake_of ON remake (of_run, record);
"""

_BLOCK = "SELECT block, scope, key, job, rule, pattern, day, count, reserved, finished"


@dataclass(frozen=True, slots=True)
class Block:
    """Numbers reserved together. Mostly one range; more where used numbers lay in the way."""

    block: int
    scope: str
    key: str
    job: str
    rule: str
    pattern: str
    day: date
    count: int
    reserved: str
    finished: str | None
    ranges: tuple[Range, ...]

    def numbers(self) -> Iterator[int]:
        """The numbers in order: that of record 0, of record 1, ..."""
        for first, last in self.ranges:
            yield from range(first, last + 1)

    def number(self, index: int) -> int:
        """The number of record ``index``, counted from 0."""
        for first, last in self.ranges:
            if index <= last - first:
                return first + index
            index -= last - first + 1
        raise IndexError(index)


class SerialFile:
    """One ledger file, or a copy of it in memory. Every call is one transaction."""

    def __init__(self, path: Path, memory: sqlite3.Connection | None = None) -> None:
        self._path = path
        self._memory = memory

    @contextmanager
    def _session(self) -> Iterator[sqlite3.Connection]:
        if self._memory is None:
            with session(self._path, SCHEMA) as connection:
                yield connection
        else:
            with immediate(self._memory):
                yield self._memory

    @contextmanager
    def rehearsal(self) -> Iterator[Self]:
        """The same on a copy in memory, for those who only look: nothing is used up."""
        memory = copy_in_memory(self._path, SCHEMA)
        try:
            yield type(self)(self._path, memory)
        finally:
            memory.close()


def stamp(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="seconds")


def read_blocks(
    connection: sqlite3.Connection, where: str, values: Iterable[object]
) -> list[Block]:
    """Blocks with their ranges, oldest first. ``where`` is SQL of ours, never a person's."""
    rows = connection.execute(
        f"{_BLOCK} FROM serial_block WHERE {where} ORDER BY block", tuple(values)
    ).fetchall()
    return [
        Block(
            block, scope, key, job, rule, pattern, date.fromisoformat(day), count, reserved,
            finished, tuple(ranges.of_block(connection, block)),
        )
        for block, scope, key, job, rule, pattern, day, count, reserved, finished in rows
    ]  # fmt: skip
