"""Columns with data of persons: kept out of whatever is logged, and known to a finished run.

In: the job's ``personal`` columns and what the fields of its layouts are made of. Out: problems
without the values of such columns, and the names by which a run can be stripped of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from vardata.intake.parts import part_names
from vardata.intake.safenames import fold
from vardata.job.model import Setup
from vardata.problems import Problem
from vardata.resolve.templates import field_columns

_REMEDY = "see the row in the order sheet"


class Personal(NamedTuple):
    """``columns`` are headings of the sheet, ``fields`` those of the layout that show them."""

    columns: tuple[str, ...]
    fields: tuple[str, ...]
    order: bool  # the order itself is personal

    def masked(self, problem: Problem) -> Problem:
        """The same problem without the value, and without words that may hold it."""
        if not self.columns:
            return problem
        where = problem.where
        column = where.column in self.columns or where.column.startswith(
            tuple(f"{heading}: " for heading in self.columns)
        )
        if not column and where.field not in self.fields:
            return problem
        what = f"{problem.kind.replace('-', ' ')}; what the cell holds is personal and not shown"
        remedy = _REMEDY if where.row else ""
        key = where.record if where.row else ""
        return problem._replace(
            what=what, remedy=remedy, value="", where=where._replace(record=key)
        )

    def all_masked(self, problems: Iterable[Problem]) -> tuple[Problem, ...]:
        return tuple(map(self.masked, problems)) if self.columns else tuple(problems)

    def facts(self) -> dict[str, object]:
        """What the run's record says, so that it can be stripped later."""
        if not self.columns:
            return {}
        return {"personal": {"columns": self.columns, "fields": self.fields, "order": self.order}}


def personal_of(setup: Setup, names: Sequence[str], headings: Sequence[str]) -> Personal:
    """The personal columns among those of the sheet. ``names`` are for templates, those of parts
    and serials after those of the headings."""
    wanted = {key for name in setup.job.personal for key in (name, fold(name))}
    if not wanted:
        return Personal((), (), False)
    own = list(zip(names, headings))
    found = [(name, head) for name, head in own if name in wanted or fold(head) in wanted]
    hidden = {name for name, _ in found}
    for name, column in setup.job.columns.items():
        pattern = getattr(column, "parts", None)
        if pattern and name in hidden:
            hidden |= set(part_names(pattern))
    fields = [
        field
        for part in setup.all_sides()
        for field, used in field_columns(part).items()
        if not hidden.isdisjoint(used)
    ]
    order = setup.job.records.order or ""
    return Personal(
        tuple(head for _, head in found),
        tuple(dict.fromkeys(fields)),
        bool(order) and any(order == name or fold(order) == fold(head) for name, head in found),
    )
