"""Reading the serials of a ledger: counters, gaps, and what each number has become."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from vardata.ledger import ranges
from vardata.ledger.ranges import Stretch
from vardata.ledger.serialfile import Block, SerialFile, read_blocks

GAPS = ("reserved", "unused", "void")


class Counter(NamedTuple):
    """A counter and how many of its numbers are in which state."""

    scope: str
    given: bool
    next: int  # no number below it will be given again
    states: dict[str, int]
    values: int  # of a list of given values: how many there are


class SerialBook(SerialFile):
    """Looking, without changing anything."""

    def counters(self) -> list[Counter]:
        """Every counter of the ledger, by name."""
        with self._session() as connection:
            rows = connection.execute(
                "SELECT scope, given, next, (SELECT COUNT(*) FROM serial_given g"
                " WHERE g.scope = c.scope) FROM serial_counter c ORDER BY scope"
            ).fetchall()
            out = []
            for scope, given, after, values in rows:
                states = connection.execute(
                    "SELECT state, SUM(last - first + 1) FROM serial_range WHERE scope = ?"
                    " GROUP BY state ORDER BY state",
                    (scope,),
                )
                out.append(Counter(scope, bool(given), after, dict(states), values))
        return out

    def blocks(self, scope: str) -> list[Block]:
        """All blocks of a counter, oldest first."""
        with self._session() as connection:
            return read_blocks(connection, "scope = ?", (scope,))

    def block(self, block: int) -> Block:
        """A block by its number in the ledger."""
        with self._session() as connection:
            return read_blocks(connection, "block = ?", (block,))[0]

    def runs(self) -> list[str]:
        """The ids of all runs that printed serials."""
        with self._session() as connection:
            rows = connection.execute(
                "SELECT run_id FROM serial_run"
                " UNION SELECT run_id FROM remake WHERE rule <> '' ORDER BY run_id"
            )
            return [row[0] for row in rows]

    def runs_of(self, block: int) -> list[str]:
        """The runs that a block's numbers were printed in."""
        with self._session() as connection:
            rows = connection.execute(
                "SELECT run_id FROM serial_run WHERE block = ? ORDER BY run_id", (block,)
            )
            return [row[0] for row in rows]

    def stretches(self, scope: str) -> list[Stretch]:
        """Every number of a counter that has a state, as ranges in order."""
        with self._session() as connection:
            return list(ranges.stretches(connection, scope))

    def gaps(self, scope: str) -> list[Stretch]:
        """Numbers that no customer will see: reserved and not printed, unused, void."""
        return [stretch for stretch in self.stretches(scope) if stretch.state in GAPS]

    def state(self, scope: str, number: int) -> Stretch | None:
        """What one number has become, and its block."""
        with self._session() as connection:
            found = ranges.overlapping(connection, scope, number, number)
        return found[0] if found else None

    def nth_printed(self, block: Block, before: int) -> int | None:
        """The number of a finished block's piece that has so many printed ones before it.

        Numbers follow the order of the sheet; those of records that were held are unused.
        """
        with self._session() as connection:
            found = [
                stretch for first, last in block.ranges
                for stretch in ranges.overlapping(connection, block.scope, first, last)
                if stretch.block == block.block and stretch.state != "unused"
            ]  # fmt: skip
        for stretch in found:
            if before < stretch.size:
                return stretch.first + before
            before -= stretch.size
        return None

    def positions(self, scope: str, texts: list[str]) -> Iterator[int | None]:
        """Where given values stand in their list."""
        with self._session() as connection:
            find = "SELECT position FROM serial_given WHERE scope = ? AND text = ?"
            rows = [connection.execute(find, (scope, text)).fetchone() for text in texts]
        return (row[0] if row else None for row in rows)
