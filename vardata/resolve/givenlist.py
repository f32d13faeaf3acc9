"""The values of a given list, in its order: what a customer gave to be printed once each.

In: a job's serial with a ``list``. Out: its values, never touched. The file is read as an order
sheet is (csv or workbook, a row of headings first); anything doubtful in it stops the run, for
a value that cannot be printed would be missed by the customer.
"""

from __future__ import annotations

from vardata.intake import Intake, open_intake
from vardata.intake.record import HeldRow, Record
from vardata.job.model import Column, Expect, Records, Setup, Sheet
from vardata.job.near import nearest
from vardata.job.sheetchecks import VALUES_ONLY
from vardata.problems import JobError, Problem, Severity, SheetError, Where, fail

_SAVE = "save it as CSV in UTF-8, with commas and a row of headings first"
_SHOWN = 40  # faults of a list that are reported


def list_values(setup: Setup, name: str) -> list[str]:
    """The values of the list of serial ``name``. Raises ``SheetError`` or ``JobError``."""
    rule = setup.job.serials[name]
    assert rule.list is not None
    return column_values(setup.model_copy(update={"sheet_file": setup.lists[name]}), rule.column,
                         f"serials.{name}.column")  # fmt: skip


def column_values(setup: Setup, heading: str | None, key: str) -> list[str]:
    """The values of one column of ``setup.sheet_file``, each once; empty cells are passed over.

    Without a heading the file must have one column; ``key`` is where a heading can be written.
    """
    file = setup.sheet_file
    if not file.is_file():
        there = {path.stem: path.name for path in sorted(file.parent.glob("*"))}
        near = nearest(file.stem, there)
        remedy = f"did you mean {there[near]!r}?" if near else "name a file that is there"
        raise fail(SheetError, "no-file", "the file is not there", remedy, file=file.name)
    try:
        intake, name = _opened(setup, heading, key)
        return _values(intake, intake.names.index(name), file.name)
    except SheetError as error:
        raise SheetError(
            problem._replace(
                where=problem.where._replace(file=file.name, sheet=""),
                # What can be told of an order sheet cannot be told of a list of values.
                remedy=_SAVE if "[sheet]" in problem.remedy else problem.remedy,
            )
            for problem in error.problems
        ) from None


def _opened(setup: Setup, heading: str | None, key: str) -> tuple[Intake, str]:
    job = setup.job.model_copy(
        update={
            "sheet": Sheet(file=setup.sheet_file.name), "records": Records(), "blanks": {},
            "blank": None, "columns": {}, "serials": {}, "checks": VALUES_ONLY, "expect": Expect(),
        }
    )  # fmt: skip
    plain = setup.model_copy(update={"job": job})
    if heading is None:
        names = open_intake(plain).names
        if len(names) != 1:
            raise fail(
                JobError, "list-column", f"{setup.sheet_file.name!r} has {len(names)} columns",
                "say which one holds the values with column", file=setup.job_file.name, key=key,
            )  # fmt: skip
        return open_intake(plain, frozenset(names), frozenset(names)), names[0]
    columns = {"value": Column(heading=heading, kind="code")}
    plain = setup.model_copy(update={"job": job.model_copy(update={"columns": columns})})
    wanted = frozenset(("value",))
    return open_intake(plain, wanted, wanted), "value"


def _values(intake: Intake, place: int, file: str) -> list[str]:
    found: dict[str, int] = {}
    faults: list[Problem] = []
    column = intake.headings[place]
    for row in intake:
        if isinstance(row, HeldRow):
            faults += [p._replace(severity=Severity.ERROR) for p in row.problems]
        elif isinstance(row, Record) and row.values[place].strip():
            value = row.values[place]
            first = found.setdefault(value, row.row)
            if first != row.row:
                what = f"the list holds {value!r} twice, first in row {first}"
                where = Where(file=file, row=row.row, column=column)
                faults.append(
                    Problem("list-twice", Severity.ERROR, what, "keep one of them", where, value)
                )
    if faults:
        raise SheetError(faults[:_SHOWN])
    return list(found)
