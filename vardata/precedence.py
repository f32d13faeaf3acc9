"""The order of work: which orders are due first, and how records lie within an order.

In: rows of a sheet whose job has a table ``[work]``. Out: the same rows, each record with its
``rank`` (the smaller, the earlier), rows whose date or priority cannot be read as held; and,
kept beside the index until beds are planned, ranks and the order of the sort columns. A job
without the table never comes here. Sort keys wait on disk: memory holds 12 bytes a record.
"""

from __future__ import annotations

import sqlite3
import unicodedata
from array import array
from collections.abc import Sequence
from typing import TYPE_CHECKING

from vardata.intake.blankmatch import fold_value
from vardata.intake.locales import LOCALES, find
from vardata.intake.record import HeldRow, Record
from vardata.intake.shipby import parse_day, shown, two_ways
from vardata.judged import Judged
from vardata.output.picklist_orders import natural_key
from vardata.problems import Problem, Severity, Where

if TYPE_CHECKING:
    from vardata.index import Index
    from vardata.intake.columns import Plan
    from vardata.job.model import Setup
    from vardata.numbering import RecordSource

_CACHE = 10_000
_NO_DAY = 3_999_999  # after every date: date.max is day 3,652,059
_DAYS = 4_000_000  # ranks of one priority
_BATCH = 1000


class Ranked(Judged):
    """An intake whose records know their rank. Read it as often as wanted."""

    def __init__(self, setup: Setup, plan: Plan, rows: RecordSource) -> None:
        assert setup.job.work is not None
        super().__init__(rows)
        self.plan = plan
        self.names, self.headings = rows.names, rows.headings
        self.sheet = getattr(rows, "sheet", "")
        self._locale = find(setup.job.locale) or LOCALES["en_US"]
        self._written = setup.job.work.priorities
        self._priorities = {fold_value(word): at for at, word in enumerate(self._written)}
        self._known: dict[tuple[str, str], int | Problem] = {}

    def _judge(self, record: Record) -> Record | Problem:
        rank = self._rank(record.values)
        if isinstance(rank, Problem):
            return rank
        return record._replace(rank=rank) if rank else record

    def _rank(self, values: tuple[str, ...]) -> int | Problem:
        plan = self.plan
        priority = "" if plan.priority is None else values[plan.priority]
        day = "" if plan.ship_by is None else values[plan.ship_by]
        known = self._known.get((priority, day))
        if known is None:
            if len(self._known) >= _CACHE:
                self._known.clear()
            known = self._known[priority, day] = self._judged(priority.strip(), day.strip())
        return known

    def _judged(self, priority: str, day: str) -> int | Problem:
        level = len(self._priorities)  # what says nothing comes after what says something
        if priority:
            found = self._priorities.get(fold_value(priority))
            if found is None:
                what = f"there is no priority {priority!r}"
                remedy = f"write one of {', '.join(self._written)}, or leave it empty"
                return self._problem("unknown-priority", self.plan.priority, what, remedy)
            level = found
        number = _NO_DAY
        if day:
            date = parse_day(day, self._locale)
            if date is None:
                what = f"{day!r} is no date to ship by"
                if two_ways(day, self._locale):
                    what = f"{day!r} is two dates, as day and month can be read either way"
                remedy = f"write it as 2026-12-24 or {shown(self._locale)}, or leave it empty"
                return self._problem("bad-ship-by", self.plan.ship_by, what, remedy)
            number = date.toordinal()
        return level * _DAYS + number

    def _problem(self, kind: str, place: int | None, what: str, remedy: str) -> Problem:
        column = "" if place is None else self.plan.label(place)
        return Problem(kind, Severity.HOLD, what, remedy, Where(column=column))

    def _held(self, record: Record, problem: Problem) -> HeldRow:
        where = problem.where._replace(sheet=self.sheet, row=record.row)
        place = record.key.rpartition("#")[0]
        problems = (problem._replace(where=where),)
        return HeldRow(record.row, place, record.order, record.values, problems)


def _plain(text: str) -> str:
    """A text without its accents, which do not count where people sort names."""
    if text.isascii():
        return text
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))


class Precedence:
    """What decides the order of work, record by record, until the beds are planned."""

    def __init__(self, sort: Sequence[int]) -> None:
        self._sort = tuple(sort)
        self._ranks = array("Q")
        self._waiting: list[tuple[int, str]] = []
        self._keys: sqlite3.Connection | None = None
        if self._sort:  # a database of its own on disk, gone with the connection
            self._keys = sqlite3.connect("", isolation_level=None)
            self._keys.execute("PRAGMA journal_mode = OFF")
            self._keys.execute("CREATE TABLE sorted (n INTEGER PRIMARY KEY, key TEXT) STRICT")

    def add(self, record: Record) -> None:
        """The next record of the sheet."""
        if self._keys is not None:
            values = record.values
            key = "\0".join([natural_key(_plain(values[place])) for place in self._sort])
            self._waiting.append((len(self._ranks), key.encode("utf-8", "replace").decode()))
            if len(self._waiting) == _BATCH:
                self._flush()
        self._ranks.append(record.rank)

    def _flush(self) -> None:
        assert self._keys is not None
        self._keys.executemany("INSERT INTO sorted VALUES (?, ?)", self._waiting)
        self._waiting.clear()

    def settle(self, held_at: Sequence[int], index: Index) -> None:
        """All records have passed; those at ``held_at`` are not in the index."""
        import numpy

        fits = numpy.ones(len(self._ranks), dtype=bool)
        fits[numpy.array(held_at, dtype=numpy.int64)] = False
        ranks = numpy.frombuffer(self._ranks, dtype=numpy.uint64)
        index.ranks = array("Q", ranks[fits].tobytes())
        if self._keys is None:
            return
        self._flush()
        places = numpy.zeros(len(self._ranks), dtype=numpy.uint32)
        for at, (n,) in enumerate(self._keys.execute("SELECT n FROM sorted ORDER BY key, n")):
            places[n] = at
        index.sorts = array("I", places[fits].tobytes())
        self._keys.close()
