"""Numbers kept as ranges, each with a state: what every number ever given out has become.

In: an open ledger, a counter's name, ranges. Out: ranges again. Ranges of a counter never
overlap; the database itself refuses one that would. A state of a few numbers among many takes
a few rows, not one for each number.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import NamedTuple

SCHEMA = """
CREATE TABLE IF NOT EXISTS serial_range (
    scope TEXT NOT NULL,
    first INTEGER NOT NULL,
    last  INTEGER NOT NULL,
    state TEXT NOT NULL
          CHECK (state IN ('reserved', 'printed', 'delivered', 'void', 'unused', 'imported')),
    block INTEGER NOT NULL,       -- 0: numbers that were used elsewhere
    PRIMARY KEY (scope, first),
    CHECK (first <= last)
) STRICT, WITHOUT ROWID;
CREATE INDEX IF NOT EXISTS serial_range_block ON serial_range (block);
CREATE TRIGGER IF NOT EXISTS serial_range_once BEFORE INSERT ON serial_range
WHEN (SELECT last FROM serial_range WHERE scope = NEW.scope AND first <= NEW.last
      ORDER BY first DESC LIMIT 1) >= NEW.first
BEGIN SELECT RAISE(ABORT, 'a serial number would be given twice'); END;
"""


class Range(NamedTuple):
    """Numbers from first to last, both counted in."""

    first: int
    last: int

    @property
    def size(self) -> int:
        return self.last - self.first + 1


class Stretch(NamedTuple):
    """A range with its state and the block it belongs to (0: imported)."""

    first: int
    last: int
    state: str
    block: int

    @property
    def size(self) -> int:
        return self.last - self.first + 1


def ranges_of(numbers: Iterable[int]) -> list[Range]:
    """Numbers in any order, each perhaps more than once, as the fewest ranges."""
    out: list[Range] = []
    for number in sorted(set(numbers)):
        if out and number == out[-1].last + 1:
            out[-1] = Range(out[-1].first, number)
        else:
            out.append(Range(number, number))
    return out


def joined(ranges: Iterable[tuple[int, int]]) -> list[Range]:
    """Ranges in order, neighbours joined."""
    out: list[Range] = []
    for first, last in sorted(ranges):
        if out and first <= out[-1].last + 1:
            out[-1] = Range(out[-1].first, max(last, out[-1].last))
        else:
            out.append(Range(first, last))
    return out


def overlapping(
    connection: sqlite3.Connection, scope: str, first: int, last: int
) -> list[Stretch]:
    """Every stretch that shares a number with first to last, in order."""
    rows = connection.execute(
        "SELECT first, last, state, block FROM serial_range WHERE scope = :scope"
        " AND first <= :last AND last >= :first AND first >= COALESCE("
        "  (SELECT MAX(first) FROM serial_range WHERE scope = :scope AND first <= :first), :first)"
        " ORDER BY first",
        {"scope": scope, "first": first, "last": last},
    )
    return [Stretch(*row) for row in rows]


def free(
    connection: sqlite3.Connection, scope: str, start: int, count: int
) -> tuple[list[Range], int]:
    """The first ``count`` numbers from ``start`` that have no state yet, and the next after them.

    One range if nothing lies in the way.
    """
    out: list[Range] = []
    at, wanted = start, count
    while wanted:
        before = connection.execute(
            "SELECT last FROM serial_range WHERE scope = ? AND first <= ?"
            " ORDER BY first DESC LIMIT 1",
            (scope, at),
        ).fetchone()
        if before and before[0] >= at:
            at = before[0] + 1
            continue
        after = connection.execute(
            "SELECT MIN(first) FROM serial_range WHERE scope = ? AND first > ?", (scope, at)
        ).fetchone()[0]
        until = at + wanted - 1 if after is None else min(at + wanted, after) - 1
        out.append(Range(at, until))
        wanted -= out[-1].size
        at = until + 1
    return out, at


def insert(connection: sqlite3.Connection, scope: str, stretch: Stretch) -> None:
    """A new stretch, joined to neighbours of the same state and block."""
    first, last, state, block = stretch
    for other in overlapping(connection, scope, first - 1, last + 1):
        if (other.state, other.block) == (state, block) and (
            other.last == first - 1 or other.first == last + 1
        ):
            _delete(connection, scope, other.first)
            first, last = min(first, other.first), max(last, other.last)
    connection.execute(
        "INSERT INTO serial_range (scope, first, last, state, block) VALUES (?, ?, ?, ?, ?)",
        (scope, first, last, state, block),
    )


def mark(
    connection: sqlite3.Connection, scope: str, first: int, last: int, state: str,
    allowed: Collection[str],
) -> int:
    """Gives first to last a new state where their state is an allowed one; says how many."""
    changed = 0
    for found in overlapping(connection, scope, first, last):
        if found.state not in allowed or found.state == state:
            continue
        inside = Range(max(first, found.first), min(last, found.last))
        _delete(connection, scope, found.first)
        if found.first < inside.first:
            insert(connection, scope, found._replace(last=inside.first - 1))
        if found.last > inside.last:
            insert(connection, scope, found._replace(first=inside.last + 1))
        insert(connection, scope, Stretch(*inside, state, found.block))
        changed += inside.size
    return changed


def part(
    connection: sqlite3.Connection, scope: str, whole: Stretch, cut: Sequence[Range],
    inside: str, outside: str,
) -> None:
    """A stretch gets the state ``inside`` where it meets ``cut`` and ``outside`` elsewhere.

    ``cut`` is in order. The same as many calls of ``mark``, in one sweep.
    """
    _delete(connection, scope, whole.first)
    pieces: list[Stretch] = []
    at = whole.first
    for first, last in cut:
        first, last = max(first, at), min(last, whole.last)
        if first > last:
            continue
        if at < first:
            pieces.append(Stretch(at, first - 1, outside, whole.block))
        pieces.append(Stretch(first, last, inside, whole.block))
        at = last + 1
    if at <= whole.last:
        pieces.append(Stretch(at, whole.last, outside, whole.block))
    for end in {0, len(pieces) - 1}:  # only the ends may have neighbours of their own kind
        insert(connection, scope, pieces[end])
    connection.executemany(
        "INSERT INTO serial_range (scope, first, last, state, block) VALUES (?, ?, ?, ?, ?)",
        [(scope, *piece) for piece in pieces[1:-1]],
    )


def _delete(connection: sqlite3.Connection, scope: str, first: int) -> None:
    connection.execute("DELETE FROM serial_range WHERE scope = ? AND first = ?", (scope, first))


def stretches(connection: sqlite3.Connection, scope: str) -> Iterator[Stretch]:
    """All stretches of a counter, in order."""
    rows = connection.execute(
        "SELECT first, last, state, block FROM serial_range WHERE scope = ? ORDER BY first",
        (scope,),
    )
    return (Stretch(*row) for row in rows)


def of_block(connection: sqlite3.Connection, block: int) -> list[Range]:
    """The numbers of a block, whatever their states."""
    rows = connection.execute(
        "SELECT first, last FROM serial_range WHERE block = ? ORDER BY first", (block,)
    )
    return joined((first, last) for first, last in rows)
