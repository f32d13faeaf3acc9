"""Rows set aside: ``held.csv``, ``held.xlsx`` and ``skipped.csv``, ready to be mended.

In: the order sheet's own headings and the rows, each with what is wrong. Out: files whose
first columns are the order sheet as it was, so that a mended file can stand in for it; the
reasons come after, under headings that no job asks for (all begin with ``held: `` or
``skipped: ``), and a seal by which a row that nobody mended is known. A file that comes round
again loses its old reasons before it gets new ones.

The xlsx holds each text exactly. In the CSV a cell that could run as a formula carries an
apostrophe (see ``spreadsafe``), which whoever reads it back takes off with ``unguard``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from vardata.intake.heldseal import HELD_HEADINGS, SKIPPED_HEADINGS, reason_places, seals
from vardata.output.tables import BOM, csv_rows
from vardata.output.xlsxfile import Form, write_rows
from vardata.problems import Problem

_REASON_WIDTHS = (10.0, 24.0, 44.0, 44.0, 12.0)


class HeldLine(NamedTuple):
    """A row of the order sheet that is not printed. ``values`` line up with the headings."""

    values: tuple[str, ...]
    row: int
    problems: tuple[Problem, ...]


class SkippedLine(NamedTuple):
    """A row that asks for nothing."""

    values: tuple[str, ...]
    row: int
    reason: str


def write_held(
    folder: Path, headings: Sequence[str], rows: Iterable[HeldLine], at: datetime
) -> int:
    """Writes ``held.csv`` and ``held.xlsx``, also when empty, and gives the number of rows.

    Lines of the same row that follow each other (its pieces) become one, each problem once.
    Raises ``OSError``, ``OutputError``.
    """
    kept = _own_columns(headings)
    own = [headings[i] for i in kept]
    titles = (*own, *HELD_HEADINGS)
    widths = (*(max(12.0, len(headings[i]) + 4.0) for i in kept), *_REASON_WIDTHS)
    with ExitStack() as stack:
        file = stack.enter_context((folder / "held.csv").open("wb"))
        file.write(BOM + csv_rows([titles]))

        def lines() -> Iterator[list[str]]:
            for line in _by_row(rows):
                cells, told = _cells(line.values, kept), _told(line.problems)
                row = [*cells, str(line.row), *_reasons(told), seals(own, cells, told)]
                file.write(csv_rows([row]))
                yield row

        return write_rows(
            folder / "held.xlsx", titles, lines(), at, Form("Held", tuple(widths), wrap=True)
        )


def write_skipped(folder: Path, headings: Sequence[str], rows: Iterable[SkippedLine]) -> int:
    """Writes ``skipped.csv``, also when empty, and gives the number of rows."""
    kept = _own_columns(headings)
    count = 0
    with (folder / "skipped.csv").open("wb") as file:
        file.write(BOM + csv_rows([(*(headings[i] for i in kept), *SKIPPED_HEADINGS)]))
        for line in rows:
            file.write(csv_rows([[*_cells(line.values, kept), str(line.row), line.reason]]))
            count += 1
    return count


def _own_columns(headings: Sequence[str]) -> list[int]:
    """The columns that are the order sheet's own, not reasons of an earlier run."""
    reasons = reason_places(headings)
    return [i for i in range(len(headings)) if i not in reasons]


def _cells(values: Sequence[str], kept: Sequence[int]) -> list[str]:
    return [values[i] if i < len(values) else "" for i in kept]


def _by_row(rows: Iterable[HeldLine]) -> Iterator[HeldLine]:
    before: HeldLine | None = None
    for line in rows:
        if before is not None and before.row == line.row:
            before = before._replace(problems=before.problems + line.problems)
            continue
        if before is not None:
            yield before
        before = line
    if before is not None:
        yield before


def _told(problems: Sequence[Problem]) -> list[Problem]:
    """Each problem once."""
    told: dict[tuple[str, str, str], Problem] = {}
    for problem in problems:
        told.setdefault(_lines(problem), problem)
    return list(told.values())


def _lines(problem: Problem) -> tuple[str, str, str]:
    return _place(problem), problem.what, problem.remedy


def _reasons(told: Sequence[Problem]) -> list[str]:
    """Place, what and how to mend; several problems are numbered alike in each of the three."""
    if len(told) < 2:
        return list(_lines(told[0])) if told else ["", "", ""]
    columns = zip(*map(_lines, told))
    return ["\n".join(f"{i}. {text}" for i, text in enumerate(column, 1)) for column in columns]


def _place(problem: Problem) -> str:
    """Where in the row: its column or field; the row has a column of its own."""
    where = problem.where
    parts = [
        f"column {where.column!r}" if where.column else "",
        f"field {where.field!r}" if where.field else "",
    ]
    return ", ".join(part for part in parts if part) or str(where)
