"""Headings that are merged over several columns, of which the job uses only some.

In: where such headings stand, the plan of the columns, the sheet's rows. Out: a fault for each
whose other columns hold texts: they would be lost without a word. Columns that are merged only
to look wide hold nothing and are left alone; only then is the sheet read to its end here. A text
file knows no merged cells: there a column without a heading that is filled as its neighbour is
counts as one that was merged.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from itertools import islice
from typing import NamedTuple

from vardata.intake.columns import Plan
from vardata.intake.source import Source
from vardata.intake.tally import quoted
from vardata.letters import letters
from vardata.problems import Problem, Severity, Where

_LOOKED_THROUGH = 40  # rows below the headings of a text file


class Spread(NamedTuple):
    """A heading over several columns (indexes on the sheet) in the heading row ``row``."""

    heading: str
    columns: tuple[int, ...]
    row: int


def spread_faults(
    source: Source, plan: Plan, named: Collection[str], row: int
) -> list[Problem]:
    """``named`` are names of columns that the job gives itself: what becomes of those is known;
    the headings stand in ``row``."""
    spreads: list[Spread] = getattr(source, "spreads", [])
    if source.delimited:
        spreads = _unmerged(source, plan, row)
    if not spreads:
        return []
    known = {
        plan.indexes[place] for place in range(len(plan.indexes))
        if place in plan.needed or plan.names[place] in named
    }  # fmt: skip
    doubtful = [one for one in spreads if not known.isdisjoint(one.columns)]
    lost = {column: one for one in doubtful for column in one.columns if column not in known}
    faults: dict[Spread, Problem] = {}
    for read in source.rows() if lost else ():
        for column, one in lost.items():
            if read.number > one.row and _filled(read.cells, column) and one not in faults:
                faults[one] = _fault(source, one, column, read.number)
        if len(faults) == len(set(lost.values())):
            break
    return list(faults.values())


def _filled(cells: Sequence[str], column: int) -> bool:
    return column < len(cells) and bool(cells[column].strip())


def _unmerged(source: Source, plan: Plan, row: int) -> list[Spread]:
    """Headings of a text file with columns to their right that have none of their own and are
    filled in most of the first rows in which the heading's own is."""
    ends = [*plan.indexes[1:], plan.span]
    wide = {
        start: tuple(range(start, end)) for start, end in zip(plan.indexes, ends) if end > start + 1
    }
    if not wide:
        return []
    own: Counter[int] = Counter()
    filled: Counter[int] = Counter()
    below = (read for read in source.rows() if read.number > row)
    for read in islice(below, _LOOKED_THROUGH):
        for start, columns in wide.items():
            if _filled(read.cells, start):
                own[start] += 1
                filled.update(column for column in columns[1:] if _filled(read.cells, column))
    headings = dict(zip(plan.indexes, plan.headings))
    return [
        Spread(headings[start], columns, row) for start, columns in wide.items()
        if any(2 * filled[column] > own[start] for column in columns[1:])
    ]  # fmt: skip


def _fault(source: Source, spread: Spread, column: int, row: int) -> Problem:
    first, last = letters(spread.columns[0]), letters(spread.columns[-1])
    how = f"is merged over the columns {first} to {last}"
    if source.delimited:
        how = f"is the only one over the columns {first} to {last}"
    what = (
        f"heading {quoted(spread.heading)} {how}, and what stands in {letters(column)}, as in row "
        f"{row}, would not be used"
    )
    remedy = (
        f"if row {spread.row + 1} holds the headings, write header_row = {spread.row + 1} under "
        "[sheet] and use them; if not, give each column a heading of its own"
    )
    where = Where(sheet=source.sheet, row=spread.row, column=spread.heading)
    return Problem("merged-heading", Severity.ERROR, what, remedy, where, spread.heading)
