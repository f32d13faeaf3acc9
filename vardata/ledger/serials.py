"""Serial numbers that are never given twice.

In: a counter's name, how many numbers, and a key (a hash of what they are for). Out: a
``Block``. The same key gets the same block for ever; another key gets numbers that nobody
ever had. A block is written down before its first number is used, so numbers of a run that
was killed stay with its key and are listed as gaps. Texts are ``resolve.serial``'s business.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime

from vardata.ledger import ranges
from vardata.ledger.ranges import Range, Stretch
from vardata.ledger.serialbook import SerialBook
from vardata.ledger.serialfates import SerialFates
from vardata.ledger.serialfile import Block, SerialFile
from vardata.ledger.serialmarks import mark_printed
from vardata.ledger.serialremakes import SerialRemakes
from vardata.ledger.serialtake import ScopeMixed, UsedUp, Wish, counter_next, last_given, take

__all__ = ["Block", "ScopeMixed", "Serials", "UsedUp"]

_PAGE = 2000  # given values read at once


class Serials(SerialBook, SerialFates, SerialRemakes, SerialFile):
    """The serial numbers in one ledger."""

    def reserve(
        self,
        scope: str,
        count: int,
        key: str,
        *,
        start: int = 1,
        last: int | None = None,
        given: bool = False,
        job: str = "",
        rule: str = "",
        pattern: str = "",
        day: date | None = None,
        now: datetime | None = None,
    ) -> Block:
        """The block of ``count`` numbers that belongs to ``key``, reserved if it is new.

        ``start`` and ``last`` bound a counter's numbers; with ``given`` they are positions of
        the values offered. ``day`` and ``pattern`` are kept with a new block: a number has one
        text for ever. Raises ``UsedUp``, ``ScopeMixed``, ``ValueError`` for a key that was
        asked for with another count, ``OutputError`` for a ledger that cannot be used.
        """
        now = now or datetime.now(UTC)
        wish = Wish(scope, count, key, start, last, given, job, rule, pattern, day or now.date())
        with self._session() as connection:
            return take(connection, wish, now)

    # ------------------------------------------------------------ given values

    def offer(self, scope: str, texts: Iterable[str]) -> int:
        """Values of a list, in its order: those not yet known are added at the end.

        Gives their number. Raises ``ScopeMixed``.
        """
        with self._session() as connection:
            counter_next(connection, scope, True)
            return _add_given(connection, scope, texts)

    def given(self, scope: str, wanted: Sequence[Range]) -> Iterator[str]:
        """The values at these positions, read page by page."""
        for first, last in wanted:
            for start in range(first, last + 1, _PAGE):
                with self._session() as connection:
                    rows = connection.execute(
                        "SELECT text FROM serial_given WHERE scope = ? AND position BETWEEN ?"
                        " AND ? ORDER BY position",
                        (scope, start, min(last, start + _PAGE - 1)),
                    ).fetchall()
                yield from (row[0] for row in rows)

    # ------------------------------------------------------------ a run's course

    def bind(self, blocks: Sequence[Block], pictures: str) -> bool:
        """Ties reserved blocks to the pictures printed with them, told by a hash.

        False, and nothing changed, if they are tied to others already: then the numbers belong
        to pieces that look different, and a fresh block is due.
        """
        with self._session() as connection:
            ids = [block.block for block in blocks]
            marks = ", ".join("?" * len(ids))
            tied = connection.execute(
                f"SELECT DISTINCT pictures FROM serial_block WHERE block IN ({marks})", ids
            ).fetchall()
            if any(row[0] not in ("", pictures) for row in tied):
                return False
            connection.execute(
                f"UPDATE serial_block SET pictures = ? WHERE block IN ({marks})", (pictures, *ids)
            )
            return True

    def finish(
        self, run_id: str, used: Iterable[tuple[Block, Iterable[int]]], now: datetime
    ) -> None:
        """A run's folder stands: its numbers are printed, but for those named as unused.

        What a person has said of a number since (void, delivered) stays.
        """
        with self._session() as connection:
            for block, unused in used:
                mark_printed(connection, run_id, block, unused, now)

    def import_used(self, scope: str, numbers: Iterable[int]) -> tuple[int, list[Stretch]]:
        """Numbers that were used elsewhere, so that they are never given.

        Gives how many are new here, and the stretches that were known already, left as they are.
        """
        with self._session() as connection:
            counter_next(connection, scope, False)
            return _import(connection, scope, numbers)

    def import_given(self, scope: str, texts: Iterable[str]) -> tuple[int, list[Stretch]]:
        """The same for values of a list; one that no list has held yet is remembered too."""
        wanted = list(dict.fromkeys(texts))
        with self._session() as connection:
            counter_next(connection, scope, True)
            _add_given(connection, scope, wanted)
            find = "SELECT position FROM serial_given WHERE scope = ? AND text = ?"
            numbers = [connection.execute(find, (scope, t)).fetchone()[0] for t in wanted]
            return _import(connection, scope, numbers)


def _add_given(connection: sqlite3.Connection, scope: str, texts: Iterable[str]) -> int:
    before = last = last_given(connection, scope)
    for text in texts:
        done = connection.execute(
            "INSERT OR IGNORE INTO serial_given (scope, position, text) VALUES (?, ?, ?)",
            (scope, last + 1, text),
        )
        last += done.rowcount
    return last - before


def _import(
    connection: sqlite3.Connection, scope: str, numbers: Iterable[int]
) -> tuple[int, list[Stretch]]:
    new = 0
    known: list[Stretch] = []
    for first, last in ranges.ranges_of(numbers):
        met = ranges.overlapping(connection, scope, first, last)
        known += [s._replace(first=max(s.first, first), last=min(s.last, last)) for s in met]
        at = first
        for stretch in [*met, Stretch(last + 1, last + 1, "", 0)]:
            if at < stretch.first:
                gap = Stretch(at, stretch.first - 1, "imported", 0)
                ranges.insert(connection, scope, gap)
                new += gap.size
            at = stretch.last + 1
    return new, known
