"""Opening an order sheet: all that can be checked before its rows are read.

In: a ``Setup`` and the names that templates use. Out: an ``Intake`` ready to be read. Raises
``SheetError`` with every fault found for what prevents reading, or ``JobError``
where the job's locale is not known.
"""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

from vardata.intake import locales
from vardata.intake.blankmatch import blank_table
from vardata.intake.checks.checker import Checker
from vardata.intake.checks.expected import Totals
from vardata.intake.checks.levels import CheckLevels, named_places
from vardata.intake.delimited import DelimitedSource
from vardata.intake.headings import Plan, plan_columns
from vardata.intake.locales import Locale
from vardata.intake.reader import Intake
from vardata.intake.source import SheetRow, Source
from vardata.intake.textfile import find_encoding
from vardata.intake.worksheet import WorksheetSource
from vardata.letters import letters
from vardata.problems import JobError, Problem, Severity, SheetError, Where, fail
from vardata.spreadsafe import HELD_MARK

if TYPE_CHECKING:
    from vardata.job.model import Setup

_WORKBOOKS = {".xlsx", ".xlsm"}
_TEXTS = {".csv", ".tsv", ".txt"}


def open_intake(
    setup: Setup,
    code_names: frozenset[str] = frozenset(),
    needed: frozenset[str] = frozenset(),
    *,
    thorough: bool = False,
    expecting: bool = True,
) -> Intake:
    """Open the job's order sheet and check all of it that can be checked before its rows.

    ``code_names`` are the safe names of columns that go into codes or serials: never touched,
    unless the job calls the column "text". ``needed`` are all safe names that templates use.
    ``thorough`` looks for all that only a whole column can tell, at the cost of one more reading;
    ``expecting`` holds the sheet against the totals that the job states.
    Raises ``SheetError`` with every fault found, or ``JobError``.
    """
    job = setup.job
    faults: list[Problem] = []
    locale = locales.find(job.locale)
    if locale is None:
        near = locales.nearest(job.locale)
        advice = f"did you mean {near!r}? " if near else ""
        faults.append(
            Problem(
                "unknown-locale",
                Severity.ERROR,
                f"locale {job.locale!r} is not known",
                f"{advice}allowed: {locales.known()}, or the language alone",
                Where(file=setup.job_file.name, key="locale"),
                job.locale,
            )
        )
        locale = locales.LOCALES["en_US"]
    source = _open_source(setup, locale, faults)
    header = _header(source, job.sheet.header_row, setup.sheet_file.name, faults)
    plan, column_faults, notes = plan_columns(
        header.cells, job.columns, job.records, job.work, code_names, needed,
        sheet=source.sheet, row=header.number,
    )  # fmt: skip
    table, blank_faults = _blanks(setup)
    faults += [*column_faults, *blank_faults]
    if plan is None or faults:
        jobs = faults[0].kind == "unknown-locale"
        raise (JobError if jobs else SheetError)(faults)
    checker, totals = _looks(setup, plan, thorough)
    # Rows that come round again after mending are only a part of the whole.
    whole = expecting and totals.wanted and HELD_MARK not in plan.headings
    return Intake(
        setup, source, plan, table, [*source.remarks, *notes], checker, totals if whole else None
    )


def _looks(setup: Setup, plan: Plan, thorough: bool) -> tuple[Checker, Totals]:
    """What is looked for in the rows. Raises ``SheetError`` for columns that are not there."""
    job, file = setup.job, setup.job_file.name
    own, faults = named_places(tuple(job.checks.columns), "checks", plan, file)
    expected, more = named_places(tuple(job.expect.columns), "expect", plan, file)
    if faults or more:
        raise SheetError([*faults, *more])
    levels = CheckLevels(
        job.checks, plan, {place: job.checks.columns[name] for name, place in own.items()}
    )
    allowed = {
        place: job.expect.columns[name].allowed for name, place in expected.items()
        if job.expect.columns[name].allowed
    }  # fmt: skip
    return Checker(setup, plan, levels, allowed, thorough), Totals(job, plan, expected, file)


def _open_source(setup: Setup, locale: Locale, faults: list[Problem]) -> Source:
    path, sheet = setup.sheet_file, setup.job.sheet
    suffix = path.suffix.lower()
    if suffix not in _WORKBOOKS | _TEXTS:
        raise SheetError([*faults, _unreadable(path.name, suffix)])
    try:
        if not path.is_file():
            near = difflib.get_close_matches(
                path.name, [p.name for p in path.parent.glob("*") if p.is_file()], 1
            )
            raise fail(
                SheetError, "no-file", "the order sheet is not there",
                f"did you mean {near[0]!r}?" if near else "check file under [sheet]",
                file=str(path),
            )  # fmt: skip
        if path.stat().st_size == 0:
            raise fail(
                SheetError, "empty-file", "the file is empty", "save it again", file=path.name
            )
        if suffix in _WORKBOOKS:
            return WorksheetSource(
                path, sheet.sheet, sheet.header_row, locale,
                locale_stated="locale" in setup.job.model_fields_set,
            )  # fmt: skip
        with path.open("rb") as file:
            if file.read(4) == b"PK\x03\x04":
                raise fail(
                    SheetError, "wrong-suffix", f"the file is a workbook, not a {suffix} text",
                    "rename it to end in .xlsx", file=path.name,
                )  # fmt: skip
        encoding = find_encoding(path, sheet.encoding, locale.language)
        return DelimitedSource(path, encoding, sheet.delimiter, sheet.header_row)
    except OSError as error:
        raise fail(
            SheetError, "no-file", f"the order sheet cannot be opened ({error.strerror})",
            "check file under [sheet] and whether you may read it", file=path.name,
        ) from None  # fmt: skip


def _unreadable(name: str, suffix: str) -> Problem:
    kind = {
        ".xls": "an old .xls workbook", ".xlsb": "a binary workbook (.xlsb)",
        ".ods": "an OpenDocument sheet (.ods)", ".numbers": "a Numbers sheet",
        ".pdf": "a PDF",
    }.get(suffix, f"a {suffix} file" if suffix else "a file without a suffix")  # fmt: skip
    return Problem(
        "unknown-suffix",
        Severity.ERROR,
        f"{kind} cannot be read as an order sheet",
        "save it as .xlsx, or export it as .csv in UTF-8",
        Where(file=name),
        suffix,
    )


def _header(source: Source, wanted: int, file: str, faults: list[Problem]) -> SheetRow:
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
            raise SheetError([*faults, Problem("no-headings", Severity.ERROR, what, remedy, where)])
        what = f"there is no row of data below the headings in row {wanted}"
        remedy = "check sheet and header_row under [sheet]"
        faults.append(Problem("no-rows", Severity.ERROR, what, remedy, where))
    if header is None:
        return SheetRow(wanted, [])
    for fault in header.faults:
        column = letters(fault.column) if fault.column >= 0 else ""
        where = Where(sheet=source.sheet, row=wanted, column=column)
        faults.append(Problem(fault.kind, Severity.ERROR, fault.what, fault.remedy, where))
    return header


def _blanks(setup: Setup) -> tuple[dict[str, str], list[Problem]]:
    """The values that name a blank, and what is wrong with the job's blanks."""
    job = setup.job
    table, clashes = blank_table(job.blanks)
    where = Where(file=setup.job_file.name, key="blanks")
    faults = [
        Problem(
            "double-blank", Severity.ERROR, line,
            "give each value to one blank, under match or label", where,
        )
        for line in clashes
    ]  # fmt: skip
    known = ", ".join(job.blanks)
    if job.records.blank is not None:
        if not job.blanks:
            what = f"column {job.records.blank!r} gives the blank, but the job has no blanks"
            faults.append(
                Problem("no-blanks", Severity.ERROR, what, "add a table [blanks.<name>]", where)
            )
    elif job.blank is not None and job.blanks and job.blank not in job.blanks:
        faults.append(
            Problem(
                "unknown-blank", Severity.ERROR, f"there is no blank {job.blank!r}",
                f"the blanks are {known}", Where(file=setup.job_file.name, key="blank"), job.blank,
            )
        )  # fmt: skip
    elif job.blank is None and job.blanks and not (
        job.products and all(product.blank is not None for product in job.products.values())
    ):
        what = "the job has blanks, but nothing says which one a record is printed on"
        remedy = f"set blank to one of {known}, or blank under [records] to a column"
        faults.append(Problem("no-blank", Severity.ERROR, what, remedy, where))
    return table, faults
