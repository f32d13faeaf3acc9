"""Taking numbers from a counter: the one place where a number leaves it.

In: an open transaction and a wish. Out: a block, written down. Nothing is taken in part.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import date, datetime

from vardata.ledger import ranges
from vardata.ledger.ranges import Stretch
from vardata.ledger.serialfile import Block, read_blocks, stamp


class UsedUp(Exception):
    """A counter or a list does not hold as many numbers as were asked for; nothing was given."""

    def __init__(self, scope: str, asked: int, left: int) -> None:
        super().__init__(f"{scope!r} has {left} numbers left, {asked} were asked for")
        self.scope, self.asked, self.left = scope, asked, left


class ScopeMixed(Exception):
    """A counter of made numbers is asked for as a list of given values, or the other way."""

    def __init__(self, scope: str) -> None:
        super().__init__(f"{scope!r} cannot be a counter and a list at once")
        self.scope = scope


@dataclass(frozen=True, slots=True)
class Wish:
    """So many numbers of a counter, for a key. ``last`` is the largest allowed, if any."""

    scope: str
    count: int
    key: str
    start: int
    last: int | None
    given: bool  # numbers are positions in a list of given values
    job: str
    rule: str
    pattern: str
    day: date


def take(connection: sqlite3.Connection, wish: Wish, now: datetime) -> Block:
    """The block of the wish's key, taken if it is new.

    Raises ``UsedUp``, ``ScopeMixed``, ``ValueError`` for a key that has another count.
    """
    known = read_blocks(connection, "scope = ? AND key = ?", (wish.scope, wish.key))
    if known:
        if known[0].count != wish.count:
            raise ValueError(f"the key {wish.key!r} has {known[0].count} numbers")
        return known[0]
    first = 1 if wish.given else wish.start  # positions count from 1
    at = max(first, counter_next(connection, wish.scope, wish.given))
    last = last_given(connection, wish.scope) if wish.given else wish.last
    found, after = ranges.free(connection, wish.scope, at, wish.count)
    if last is not None and found and found[-1].last > last:
        left = sum(max(0, min(part.last, last) - part.first + 1) for part in found)
        raise UsedUp(wish.scope, wish.count, left)
    block = connection.execute(
        "INSERT INTO serial_block (scope, key, job, rule, pattern, day, count, reserved, pictures)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, '')",
        (
            wish.scope, wish.key, wish.job, wish.rule, wish.pattern, wish.day.isoformat(),
            wish.count, stamp(now),
        ),
    ).lastrowid  # fmt: skip
    assert block is not None
    for begin, end in found:
        ranges.insert(connection, wish.scope, Stretch(begin, end, "reserved", block))
    connection.execute(
        "UPDATE serial_counter SET next = ? WHERE scope = ?", (after, wish.scope)
    )
    return read_blocks(connection, "block = ?", (block,))[0]


def counter_next(connection: sqlite3.Connection, scope: str, given: bool) -> int:
    """The first number that a counter may give; the counter is made if it is new."""
    connection.execute(
        "INSERT OR IGNORE INTO serial_counter (scope, given, next) VALUES (?, ?, 0)",
        (scope, int(given)),
    )
    kind, after = connection.execute(
        "SELECT given, next FROM serial_counter WHERE scope = ?", (scope,)
    ).fetchone()
    if bool(kind) != given:
        raise ScopeMixed(scope)
    return int(after)


def last_given(connection: sqlite3.Connection, scope: str) -> int:
    """The position of a list's last value, 0 if there is none."""
    row = connection.execute(
        "SELECT MAX(position) FROM serial_given WHERE scope = ?", (scope,)
    ).fetchone()
    return int(row[0] or 0)
