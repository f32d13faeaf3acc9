"""Which record of which run was made again, and as what: a trail that can be walked both ways.

In: a remake that stands, with the numbers it printed. Out: the same, asked from either end.
Marking numbers and writing the trail is one transaction.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from vardata.ledger import ranges
from vardata.ledger.serialfile import SCHEMA, Block, SerialFile, read_blocks, stamp
from vardata.ledger.serialmarks import mark_printed, use_confirmation
from vardata.ledger.session import copy_in_memory
from vardata.ledger.store import SCHEMA as RUNS

_ALL = "SELECT run_id, record, of_run, bed, slot, rule, scope, old, new, made FROM remake"


class Remade(NamedTuple):
    """One record of a remake, once for each of its serials (none: ``rule`` is "").

    ``bed`` and ``slot`` are those of the spoiled piece in ``of_run``; ``old`` and ``new`` its
    number before and now, the same where the number was kept.
    """

    run_id: str
    record: str
    of_run: str
    bed: int
    slot: str
    rule: str
    scope: str
    old: int
    new: int
    made: str = ""


def remade_runs(path: Path) -> list[tuple[str, str, str]]:
    """Every remake: its id, the id of the run that it is of, and its folder, empty if that is not
    known. The ledger is only read. Raises ``OutputError``."""
    memory = copy_in_memory(path, SCHEMA + RUNS)
    try:
        return memory.execute(
            "SELECT DISTINCT remake.run_id, of_run, coalesce(run.folder, '') FROM remake"
            " LEFT JOIN run ON run.run_id = remake.run_id ORDER BY run.first_seen, 1, 2"
        ).fetchall()
    finally:
        memory.close()


class SerialRemakes(SerialFile):
    """Remakes in one ledger."""

    def blocks_of_run(self, run_id: str) -> list[Block]:
        """The blocks that a run took its numbers from, oldest first."""
        with self._session() as connection:
            of_run = "block IN (SELECT block FROM serial_run WHERE run_id = ?)"
            return read_blocks(connection, of_run, (run_id,))

    def made_in(self, run_id: str) -> list[Remade]:
        """What a run made again, by record and serial."""
        with self._session() as connection:
            return _read(connection, "run_id = ?", (run_id,))

    def made_of(self, run_id: str, record: str) -> list[Remade]:
        """What became of a run's record later, oldest first."""
        with self._session() as connection:
            return _read(connection, "of_run = ? AND record = ?", (run_id, record))

    def made_of_numbers(self, scope: str) -> dict[int, list[Remade]]:
        """What became of a counter's numbers whose pieces were spoiled, oldest first."""
        found: dict[int, list[Remade]] = {}
        with self._session() as connection:
            for row in _read(connection, "scope = ?", (scope,)):
                found.setdefault(row.old, []).append(row)
        return found

    def finish_remake(
        self, run_id: str, rows: Iterable[Remade], held: Collection[str],
        blocks: Iterable[Block], now: datetime,
    ) -> None:
        """A remake's folder stands. Records that are ``held`` are not in it: their new numbers
        stay reserved for the remake to come, and of them no trail is kept; ``blocks`` are those
        of the new numbers.

        Raises ``NotConfirmed`` where a number is kept without a confirmation.
        """
        done = [row for row in rows if row.record not in held]
        printed = {(row.scope, row.new) for row in done}
        with self._session() as connection:
            for block in blocks:
                if all((block.scope, n) in printed for n in block.numbers()):
                    mark_printed(connection, run_id, block, (), now)
            for row in done:
                if row.rule and row.old == row.new:
                    use_confirmation(connection, row.scope, row.old, now)
                    ranges.mark(
                        connection, row.scope, row.old, row.old, "printed", ("delivered",)
                    )
                connection.execute(
                    "INSERT OR IGNORE INTO remake (run_id, record, of_run, bed, slot, rule, scope,"
                    " old, new, made) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    (*row[:-1], stamp(now)),
                )


def _read(connection: sqlite3.Connection, where: str, values: tuple[str, ...]) -> list[Remade]:
    rows = connection.execute(f"{_ALL} WHERE {where} ORDER BY made, run_id, record, rule", values)
    return [Remade(*row) for row in rows]
