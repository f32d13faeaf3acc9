"""Every finding of a reading with its place: how many of each kind, and which cells.

In: what intake tells of each cell, and the problems of held rows. Out: counts by level and kind,
and the cells to be marked in a copy of the sheet. Cells are kept up to a bound; counts always.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from vardata.intake.cellfault import CellFault
from vardata.intake.checks.repeats import Repeat, joined
from vardata.intake.columns import Plan
from vardata.problems import Problem, Severity

_MOST_CELLS = 20_000  # marked cells: more than anybody mends by hand


class Mark(NamedTuple):
    """One cell to be marked. ``column`` counts from 0 on the sheet."""

    row: int
    column: int
    severity: Severity
    text: str


class Findings:
    """Listens to one reading; a later one starts it afresh."""

    def __init__(self) -> None:
        self.begin()

    def begin(self) -> None:
        """A reading starts."""
        self.counts: Counter[tuple[Severity, str]] = Counter()
        self.marks: list[Mark] = []
        self.unmarked = 0  # cells beyond the bound

    def hear(self, row: int, fault: CellFault, severity: Severity) -> None:
        """A finding that holds no row."""
        self.counts[severity, fault.kind] += 1
        self._mark(row, fault.column, severity, fault.what, fault.remedy)

    def again(self, repeats: Sequence[Repeat], line: Problem) -> None:
        """Rows that repeat others, of which one line is said."""
        self.counts[line.severity, line.kind] += len(repeats)
        for one in repeats:
            self._mark(one.row, 0, line.severity, joined([one]), line.remedy)

    def held(
        self, row: int, problems: Sequence[Problem], plan: Plan, fields: Mapping[str, Sequence[str]]
    ) -> None:
        """The problems of a held row. ``fields`` are the columns that each field is made of."""
        for problem in problems:
            self.counts[problem.severity, problem.kind] += 1
            for column in _columns(problem, plan, fields):
                self._mark(row, column, problem.severity, problem.what, problem.remedy)

    def _mark(self, row: int, column: int, severity: Severity, what: str, remedy: str) -> None:
        if len(self.marks) >= _MOST_CELLS:
            self.unmarked += 1
            return
        text = f"{severity}: {what}" + (f"; {remedy}" if remedy else "")
        self.marks.append(Mark(row, max(column, 0), severity, text))


def _columns(problem: Problem, plan: Plan, fields: Mapping[str, Sequence[str]]) -> list[int]:
    """The sheet's columns that a problem is about; the first of all where it names none."""
    where = problem.where
    if where.column in plan.headings:
        return [plan.indexes[plan.headings.index(where.column)]]
    names = [name for name in fields.get(where.field, ()) if name in plan.names]
    places = [plan.names.index(name) for name in names]
    return [plan.indexes[plan.own(place)] for place in places] or [plan.indexes[0]]
