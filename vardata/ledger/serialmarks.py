"""Marks on serial numbers that several parts of the ledger set, inside their transactions."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from datetime import datetime

from vardata.ledger import ranges
from vardata.ledger.serialfile import Block, stamp


class NotConfirmed(Exception):
    """A number may not come again: nobody has confirmed that its spoiled piece is destroyed."""

    def __init__(self, scope: str, number: int) -> None:
        super().__init__(f"the piece with number {number} of {scope!r} may still exist")
        self.scope, self.number = scope, number


def mark_printed(
    connection: sqlite3.Connection, run_id: str, block: Block, unused: Iterable[int], now: datetime
) -> None:
    """A block's reserved numbers are printed in a run, but for those named as unused.

    What a person has said of a number since (void, delivered) stays.
    """
    cut = ranges.ranges_of(unused)
    for first, last in block.ranges:
        for stretch in ranges.overlapping(connection, block.scope, first, last):
            if stretch.state == "reserved" and stretch.block == block.block:
                ranges.part(connection, block.scope, stretch, cut, "unused", "printed")
    connection.execute(
        "INSERT OR IGNORE INTO serial_run (run_id, block) VALUES (?, ?)", (run_id, block.block)
    )
    connection.execute(
        "UPDATE serial_block SET finished = COALESCE(finished, ?) WHERE block = ?",
        (stamp(now), block.block),
    )


def use_confirmation(
    connection: sqlite3.Connection, scope: str, number: int, now: datetime
) -> None:
    """Uses up the confirmation that a number's piece is destroyed. Raises ``NotConfirmed``."""
    done = connection.execute(
        "UPDATE serial_destroyed SET remade = ? WHERE scope = ? AND number = ? AND remade IS NULL",
        (stamp(now), scope, number),
    )
    if not done.rowcount:
        raise NotConfirmed(scope, number)
