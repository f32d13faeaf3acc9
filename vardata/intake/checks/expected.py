"""The totals that a job expects of its order sheet.

In: every row once. Out: a problem for each total that is not met. They stop a build before
anything is made and before a serial is used.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from vardata.intake.checks.text import fold
from vardata.intake.columns import Plan
from vardata.intake.quantity import parse_quantity
from vardata.intake.record import HeldRow, Intaken, Record
from vardata.intake.tally import quoted
from vardata.job.near import listed
from vardata.problems import Problem, Severity, Where

if TYPE_CHECKING:
    from vardata.job.model import Job


class Totals:
    """Counts what the job has expectations of."""

    def __init__(self, job: Job, plan: Plan, places: dict[str, int], file: str) -> None:
        self._expect, self._plan, self._file = job.expect, plan, file
        self._private = {fold(name) for name in job.personal}  # columns that are not shown
        self._most = job.records.quantity_max
        self._places = {
            name: places[name] for name, column in job.expect.columns.items() if column.distinct
        }
        self.rows = self.records = 0
        self._orders: set[int] = set()
        self._values: dict[str, dict[str, str]] = {name: {} for name in self._places}

    @property
    def wanted(self) -> bool:
        expect = self._expect
        return bool(self._places) or any(
            total is not None for total in (expect.rows, expect.records, expect.orders)
        )

    def add(self, row: Intaken) -> None:
        """A record, or a row set aside. Pieces of one row count as one row."""
        if isinstance(row, Record):
            self.records += 1
            if row.piece > 1:
                return
        elif isinstance(row, HeldRow):
            self.records += self._asked(row)
        else:
            return
        self.rows += 1
        if row.order:
            self._orders.add(hash(row.order))
        for name, place in self._places.items():
            if row.values[place]:
                self._values[name].setdefault(fold(row.values[place]), row.values[place])

    def _asked(self, row: HeldRow) -> int:
        place = self._plan.quantity
        if place is None:
            return 1
        found = parse_quantity(" ".join(row.values[place].split()), self._most)
        return found if isinstance(found, int) else 0

    def problems(self, sheet: str) -> Iterator[Problem]:
        """What is not as expected."""
        expect = self._expect
        for key, noun, wanted, found in (
            ("rows", "row", expect.rows, self.rows),
            ("records", "record", expect.records, self.records),
            ("orders", "order", expect.orders, len(self._orders)),
        ):
            if wanted is not None and wanted != found:
                what = f"the job expects {_count(wanted, noun)}, and the order sheet has {found:,}"
                yield self._problem(sheet, key, what, "")
        for name, place in self._places.items():
            distinct, values = expect.columns[name].distinct, self._values[name]
            if distinct is not None and distinct != len(values):
                what = f"the job expects {_count(distinct, 'different value')}, and there are "
                what += f"{len(values):,}"
                shown = {fold(self._plan.names[place]), fold(self._plan.label(place))}
                if not self._private & shown:
                    what += f": {listed(map(quoted, sorted(values.values())))}"
                key = f"columns.{name}.distinct"
                yield self._problem(sheet, key, what, self._plan.label(place))

    def _problem(self, sheet: str, key: str, what: str, column: str) -> Problem:
        where = Where(file=self._file, key=f"expect.{key}", sheet=sheet, column=column)
        remedy = "compare the sheet with what was ordered, or mend [expect]"
        return Problem("unexpected-total", Severity.ERROR, what, remedy, where)


def _count(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'' if number == 1 else 's'}"
