"""Headings in merged cells, whatever kind of workbook they stand in.

In: the heading row, the sheet's merged ranges, its rows. Out: the headings as a person reads them,
those that stretch over several columns, and a remark on such as reach below the heading row.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import takewhile
from typing import NamedTuple

from vardata.intake.ranges import Area, with_merged
from vardata.intake.source import SheetRow
from vardata.intake.spread import Spread
from vardata.problems import Problem, Severity, Where


class MergedHeadings(NamedTuple):
    """``cells`` are the headings: one of two rows counts for the lower one, one over several
    columns is numbered."""

    cells: list[str]
    spreads: list[Spread]
    remarks: list[Problem]


def merged_headings(
    sheet: str, header: SheetRow, areas: Sequence[Area], rows: Callable[[], Iterator[SheetRow]]
) -> MergedHeadings:
    """``rows`` reads the sheet anew; no more of it is read than the headings need."""
    texts = {header.number: header.cells}
    if any(area.top < header.number <= area.bottom for area in areas):
        above = takewhile(lambda row: row.number < header.number, rows())
        texts |= {row.number: row.cells for row in above}
    cells = with_merged(header, areas, texts)
    spreads = [
        Spread(cells[area.left], tuple(range(area.left, area.right + 1)), header.number)
        for area in areas
        if area.top <= header.number <= area.bottom and area.left < area.right
        and area.left < len(cells) and cells[area.left].strip()
    ]  # fmt: skip
    low = max((a.bottom for a in areas if a.top <= header.number <= a.bottom), default=0)
    below = takewhile(lambda row: row.number <= low, rows() if low > header.number else ())
    deep = any(row.number > header.number and any(map(str.strip, row.cells)) for row in below)
    return MergedHeadings(cells, spreads, [_deep(sheet, header.number, low)] if deep else [])


def _deep(sheet: str, row: int, low: int) -> Problem:
    return Problem(
        "deep-headings", Severity.WARNING,
        f"headings are merged down to row {low}, but they are read from row {row}, so what stands "
        "below it is read as orders",
        f"if row {low} holds headings, write header_row = {low} under [sheet]; if not, undo the "
        "merging", Where(sheet=sheet, row=row),
    )  # fmt: skip
