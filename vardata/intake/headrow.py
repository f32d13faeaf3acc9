"""The row of the headings: found where the job does not say, and read.

In: a ``Source`` and what the job looks for. Out: the heading row. Shops put titles, dates and
notes above their tables, so the row that has most of the job's headings is taken, and told.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from itertools import takewhile
from typing import TYPE_CHECKING

from vardata.intake.safenames import fold, safe_name
from vardata.intake.source import SheetRow, Source
from vardata.letters import letters
from vardata.problems import Problem, Severity, SheetError, Where

if TYPE_CHECKING:
    from vardata.job.model import Job, Setup

_ROLES = ("order", "line", "quantity", "blank", "product")
_LOOKED_THROUGH = 40  # rows at the top of a sheet
_TITLES = 12  # rows above a table in a text file


def own_heading_row(source: Source) -> int | None:
    """The row of the headings where the kind of the sheet says it, whatever is stated."""
    row: int | None = getattr(source, "own_heading_row", None)
    return row


def wanted_headings(job: Job, names: frozenset[str]) -> list[frozenset[str]]:
    """What is looked for: each as a heading folded, or as a safe name."""
    mapped = {
        name: column if isinstance(column, str) else column.heading
        for name, column in job.columns.items()
    }
    records = job.records
    roles = [getattr(records, role) for role in _ROLES]
    texts = [mapped.get(name, name) for name in (*mapped, *sorted(names - mapped.keys()))]
    texts += [mapped.get(role, role) for role in roles if isinstance(role, str)]
    return [frozenset((fold(text), safe_name(text))) for text in texts]


def find_heading_row(
    setup: Setup, source: Source, wanted: Sequence[frozenset[str]], again: Callable[[Setup], Source]
) -> int:
    """The row with most of what is wanted; 1 where no row has at least half of it."""
    if (own := own_heading_row(source)) is not None:
        return own
    row, hits = best_heading_row(setup, source, wanted, again)
    return row if hits and hits * 2 >= len(wanted) else 1


def best_heading_row(
    setup: Setup, source: Source, wanted: Sequence[frozenset[str]], again: Callable[[Setup], Source]
) -> tuple[int, int]:
    """The first row with the most of what is wanted, and how much it has.

    Below titles a text file may be cut by another delimiter than at its start: where nothing is
    found, it is opened once more for each of the first rows.
    """
    row, hits = _best(source, wanted)
    if not hits and source.delimited and setup.job.sheet.delimiter is None:
        for start in range(2, _TITLES):
            with suppress(SheetError):
                row, hits = _best(again(with_heading_row(setup, start)), wanted)
                if hits:
                    break
    return row, hits


def _best(source: Source, wanted: Sequence[frozenset[str]]) -> tuple[int, int]:
    best, row = 0, 1
    for found in takewhile(lambda row: row.number <= _LOOKED_THROUGH, source.rows()):
        hits = heading_hits(found.cells, wanted)
        below = best > 0 and hits == best and found.number == row + 1  # headings of two rows
        if hits > best or below:
            best, row = hits, found.number
        if hits == len(wanted):
            break
    return row, best


def heading_hits(row: Sequence[str], wanted: Sequence[frozenset[str]]) -> int:
    """How much of what is wanted stands in a row."""
    cells = {fold(cell) for cell in row if cell.strip()}
    cells |= {safe_name(cell) for cell in row if cell.strip()}
    return sum(not names.isdisjoint(cells) for names in wanted)


def with_heading_row(setup: Setup, row: int) -> Setup:
    """The same setup, with the row stated."""
    sheet = setup.job.sheet.model_copy(update={"header_row": row})
    return setup.model_copy(update={"job": setup.job.model_copy(update={"sheet": sheet})})


def found_note(sheet: str, row: int) -> Problem:
    return Problem(
        "found-headings", Severity.NOTE, f"the headings are taken from row {row}",
        "set header_row under [sheet] if another row holds them", Where(sheet=sheet, row=row),
    )  # fmt: skip


def heading_row(source: Source, wanted: int, file: str, faults: list[Problem]) -> SheetRow:
    """The heading row. Looks on for the first row of data, so that its lack is known early."""
    header: SheetRow | None = None
    last = 0
    for row in source.rows():
        last = row.number
        if row.number == wanted:
            header = row
        elif row.number > wanted and (row.faults or any(cell.strip() for cell in row.cells)):
            break
    else:
        where = Where(file=file, sheet=source.sheet)
        if last < wanted:
            what = f"the sheet ends at row {last}, before its heading row {wanted}"
            remedy = "set header_row under [sheet] to the row that holds the headings"
            if not last:
                what, remedy = "the sheet is empty", "check that it is the right sheet and file"
                if others := getattr(source, "others", ()):
                    remedy = f"name another under [sheet]: {', '.join(map(repr, others))}"
            raise SheetError([*faults, Problem("no-headings", Severity.ERROR, what, remedy, where)])
        what = f"there is no row of data below the headings in row {wanted}"
        remedy = "check sheet and header_row under [sheet]"
        faults.append(Problem("no-rows", Severity.ERROR, what, remedy, where))
    if header is None:
        return SheetRow(wanted, [])
    if hasattr(source, "merged_headings"):
        header = header._replace(cells=source.merged_headings(header))
    for fault in header.faults:
        column = letters(fault.column) if fault.column >= 0 else ""
        where = Where(sheet=source.sheet, row=wanted, column=column)
        faults.append(Problem(fault.kind, Severity.ERROR, fault.what, fault.remedy, where))
    return header
