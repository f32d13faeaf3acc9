"""What becomes of a serial number after it was printed, as a person says it.

In: numbers and what happened to them. Out: how many changed. A number that is void stays void;
a number used elsewhere stays so; nothing here ever makes a number free again.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime

from vardata.ledger import ranges
from vardata.ledger.serialfile import SerialFile, read_blocks, stamp
from vardata.ledger.serialmarks import NotConfirmed, use_confirmation
from vardata.ledger.serialtake import Wish, take

__all__ = ["NotConfirmed", "SerialFates"]

_LIVE = ("reserved", "printed", "delivered", "unused")


class SerialFates(SerialFile):
    """Void, delivered, destroyed, made again."""

    def void(self, scope: str, numbers: Iterable[int]) -> int:
        """Numbers that are worth nothing from now on; gives how many were not so before."""
        with self._session() as connection:
            return sum(
                ranges.mark(connection, scope, first, last, "void", _LIVE)
                for first, last in ranges.ranges_of(numbers)
            )

    def deliver(self, run_id: str) -> int | None:
        """A run went to the customer: its printed numbers are delivered.

        Gives how many; None if the ledger knows no serials of such a run.
        """
        with self._session() as connection:
            of_run = "block IN (SELECT block FROM serial_run WHERE run_id = ?)"
            blocks = read_blocks(connection, of_run, (run_id,))
            kept = connection.execute(
                "SELECT scope, new FROM remake WHERE run_id = ? AND rule <> '' AND old = new",
                (run_id,),
            ).fetchall()  # a number that was kept stands in a block of an earlier run
            if not blocks and not kept:
                return None
            parts = [
                (block.scope, stretch.first, stretch.last)
                for block in blocks
                for first, last in block.ranges
                for stretch in ranges.overlapping(connection, block.scope, first, last)
                if stretch.block == block.block
            ]
            parts += [(scope, number, number) for scope, number in kept]
            return sum(
                ranges.mark(connection, scope, first, last, "delivered", ("printed",))
                for scope, first, last in parts
            )

    def confirm_destroyed(
        self, scope: str, numbers: Iterable[int], now: datetime | None = None
    ) -> list[int]:
        """A person has seen that these pieces exist no more; good for one remake of each.

        Only a printed or delivered number has a piece: the others are given back, not noted.
        """
        now = now or datetime.now(UTC)
        refused = []
        with self._session() as connection:
            for number in sorted(set(numbers)):
                found = ranges.overlapping(connection, scope, number, number)
                if not found or found[0].state not in ("printed", "delivered"):
                    refused.append(number)
                    continue
                connection.execute(
                    "INSERT OR IGNORE INTO serial_destroyed (scope, number, confirmed)"
                    " SELECT ?, ?, ? WHERE NOT EXISTS (SELECT 1 FROM serial_destroyed"
                    " WHERE scope = ? AND number = ? AND remade IS NULL)",
                    (scope, number, stamp(now), scope, number),
                )
        return refused

    def is_destroyed(self, scope: str, number: int) -> bool:
        """Whether a confirmation is there that no remake has used yet."""
        with self._session() as connection:
            row = connection.execute(
                "SELECT 1 FROM serial_destroyed WHERE scope = ? AND number = ? AND remade IS NULL",
                (scope, number),
            ).fetchone()
        return row is not None

    def remake(
        self, scope: str, number: int, destroyed: bool = False, *, last: int | None = None,
        now: datetime | None = None,
    ) -> int:
        """The number for a piece that is made again.

        With ``destroyed`` the same one, and the confirmation is used up; without, the old number
        is void and the next one (no larger than ``last``) is reserved in its place: asked twice
        for the same number, the same answer.
        Raises ``NotConfirmed``, ``KeyError`` for a number that was never given by this ledger,
        ``UsedUp`` where the counter has no next number.
        """
        now = now or datetime.now(UTC)
        with self._session() as connection:
            found = ranges.overlapping(connection, scope, number, number)
            if not found or found[0].block == 0:
                raise KeyError(number)
            if destroyed:
                if found[0].state == "void":
                    raise NotConfirmed(scope, number)
                use_confirmation(connection, scope, number, now)
                ranges.mark(connection, scope, number, number, "printed", ("delivered",))
                return number
            ranges.mark(connection, scope, number, number, "void", _LIVE)
            old = read_blocks(connection, "block = ?", (found[0].block,))[0]
            given = connection.execute(
                "SELECT given FROM serial_counter WHERE scope = ?", (scope,)
            ).fetchone()[0]
            wish = Wish(
                scope, 1, f"remake of {number}", 0, last, bool(given), old.job, old.rule,
                old.pattern, now.date(),
            )
            return take(connection, wish, now).number(0)

    def printed(self, scope: str, numbers: Iterable[int]) -> int:
        """Reserved numbers that have been printed; gives how many."""
        with self._session() as connection:
            return sum(
                ranges.mark(connection, scope, first, last, "printed", ("reserved",))
                for first, last in ranges.ranges_of(numbers)
            )
