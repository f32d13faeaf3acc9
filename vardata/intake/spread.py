"""Headings that are merged over several columns, of which the job uses only some.

In: where such headings stand, the plan of the columns, the sheet's rows. Out: a fault for each
whose other columns hold texts: they would be lost without a word. Columns that are merged only
to look wide hold nothing and are left alone; only then is the sheet read to its end here.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple

from vardata.intake.columns import Plan
from vardata.intake.source import Source
from vardata.intake.tally import quoted
from vardata.letters import letters
from vardata.problems import Problem, Severity, Where


class Spread(NamedTuple):
    """A heading over several columns (indexes on the sheet) in the heading row ``row``."""

    heading: str
    columns: tuple[int, ...]
    row: int


def spread_faults(source: Source, plan: Plan, named: Collection[str]) -> list[Problem]:
    """``named`` are names of columns that the job gives itself: what becomes of those is known."""
    spreads: list[Spread] = getattr(source, "spreads", [])
    if not spreads:
        return []
    known = {
        plan.indexes[place] for place in range(len(plan.indexes))
        if place in plan.needed or plan.names[place] in named
    }  # fmt: skip
    doubtful = [one for one in spreads if not known.isdisjoint(one.columns)]
    lost = {column: one for one in doubtful for column in one.columns if column not in known}
    faults: dict[Spread, Problem] = {}
    for row in source.rows() if lost else ():
        for column, one in lost.items():
            filled = column < len(row.cells) and row.cells[column].strip()
            if row.number > one.row and filled and one not in faults:
                faults[one] = _fault(source.sheet, one, column, row.number)
        if len(faults) == len(set(lost.values())):
            break
    return list(faults.values())


def _fault(sheet: str, spread: Spread, column: int, row: int) -> Problem:
    first, last = letters(spread.columns[0]), letters(spread.columns[-1])
    what = (
        f"heading {quoted(spread.heading)} is merged over the columns {first} to {last}, and what "
        f"stands in {letters(column)}, as in row {row}, would not be used"
    )
    remedy = (
        f"if row {spread.row + 1} holds the headings, write header_row = {spread.row + 1} under "
        "[sheet] and use them; if not, give each column a heading of its own"
    )
    where = Where(sheet=sheet, row=spread.row, column=spread.heading)
    return Problem("merged-heading", Severity.ERROR, what, remedy, where, spread.heading)
