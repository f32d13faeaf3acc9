"""Columns that a job or a layout asks for and the heading row does not have.

In: each of them as it is met. Out: one ``Problem`` for all, with the headings shown once, and
with the row or the sheet where the headings seem to stand, if that is another than the job's.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from vardata.intake.headrow import best_heading_row, heading_hits, with_heading_row
from vardata.intake.source import Source
from vardata.intake.tally import quoted
from vardata.job.near import listed
from vardata.problems import Problem, Severity, SheetError, Where

if TYPE_CHECKING:
    from vardata.job.model import Setup

_KINDS = ("no-column", "no-headings", "no-rows")


class Missing(NamedTuple):
    """One column: in a sentence of its own, in a list, and what may be meant instead of it."""

    what: str
    listed: str
    wanted: str
    near: str  # empty where nothing is near
    otherwise: str
    value: str


def missing_problem(found: Sequence[Missing], headings: Sequence[str], where: Where) -> Problem:
    """One line for all missing columns."""
    first = found[0]
    shown = "the headings are " + listed(map(quoted, headings))
    if len(found) == 1:
        what, otherwise = first.what, first.otherwise
        guess = f"did you mean {first.near}? If not, " if first.near else ""
    else:
        what = f"{len(found)} columns are not there: {', '.join(one.listed for one in found)}"
        otherwise = "write each heading in the job and the layout as it is in the sheet"
        near = [f"{one.near} for {one.wanted}" for one in found if one.near]
        guess = f"did you mean {', '.join(near)}? If not, " if near else ""
    value = ", ".join(one.value for one in found)
    return Problem("no-column", Severity.ERROR, f"{what}; {shown}", guess + otherwise, where, value)


def elsewhere(
    setup: Setup, wanted: Sequence[frozenset[str]], faults: Sequence[Problem],
    again: Callable[[Setup], Source],
) -> list[Problem]:
    """One fault for all of the heading row, if the headings seem to stand elsewhere in the file.

    ``again`` opens the sheet as if the headings were in the row that a setup says. Gives the
    faults as they are where none of them is about headings, or no row of the sheet, nor of another
    in the file, has more of what is ``wanted`` than the stated one.
    """
    stated = setup.job.sheet.header_row
    about = [fault for fault in faults if fault.kind in _KINDS]
    if not about:
        return list(faults)
    try:
        setup = with_heading_row(setup, 1)
        source = again(setup)
        row, hits = best_heading_row(setup, source, wanted, again)
        there = next((found.cells for found in source.rows() if found.number == stated), [])
    except SheetError:
        return list(faults)
    least = max(heading_hits(there, wanted) + 1, len(wanted) / 2)
    if row != stated and hits >= least:
        remedy = f"the headings seem to stand in row {row}: write header_row = {row} under [sheet]"
    elif name := _another_sheet(setup, source, wanted, least, again):
        shown = json.dumps(name, ensure_ascii=False)  # as TOML has it
        remedy = f"the headings seem to stand in sheet {name!r}: "
        remedy += f"write sheet = {shown} under [sheet]"
    else:
        return list(faults)
    told = about[-1] if about[0].kind == "no-rows" else about[0]  # the columns say more
    others = [fault for fault in faults if fault not in about and fault.where.row != stated]
    return [*others, told._replace(remedy=remedy)]


def _another_sheet(
    setup: Setup, source: Source, wanted: Sequence[frozenset[str]], least: float,
    again: Callable[[Setup], Source],
) -> str:
    """The first other sheet of a workbook with a row that has at least so much of what is wanted;
    empty if there is none."""
    for name in getattr(source, "others", ()):
        sheet = setup.job.sheet.model_copy(update={"sheet": name})
        other = setup.model_copy(update={"job": setup.job.model_copy(update={"sheet": sheet})})
        try:
            hits = best_heading_row(other, again(other), wanted, again)[1]
        except SheetError:
            continue
        if hits >= least:
            return str(name)
    return ""
