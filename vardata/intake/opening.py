"""Opening an order sheet: all that can be checked before its rows are read.

In: a ``Setup`` and the names that templates use. Out: an ``Intake`` ready to be read. Raises
``SheetError`` with every fault found for what prevents reading, or ``JobError``
where the job's locale is not known.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from vardata.intake import locales
from vardata.intake.blankmatch import blank_table
from vardata.intake.checks.checker import Checker
from vardata.intake.checks.expected import Totals
from vardata.intake.checks.levels import CheckLevels, named_places
from vardata.intake.checks.phrases import Phrase
from vardata.intake.columns import Plan
from vardata.intake.headings import plan_columns
from vardata.intake.headrow import (
    find_heading_row,
    found_note,
    heading_row,
    own_heading_row,
    wanted_headings,
    with_heading_row,
)
from vardata.intake.heldsheet import as_held
from vardata.intake.missing import elsewhere
from vardata.intake.reader import Intake
from vardata.intake.sources import open_source
from vardata.intake.spread import spread_faults
from vardata.problems import JobError, Problem, Severity, SheetError, Where
from vardata.spreadsafe import HELD_MARK

if TYPE_CHECKING:
    from vardata.job.model import Setup


def open_intake(
    setup: Setup,
    code_names: frozenset[str] = frozenset(),
    needed: frozenset[str] = frozenset(),
    text_names: frozenset[str] = frozenset(),
    phrases: Sequence[Phrase] = (),
    *,
    thorough: bool = False,
    expecting: bool = True,
) -> Intake:
    """Open the job's order sheet and check all of it that can be checked before its rows.

    ``code_names`` are the safe names of columns that go into codes or serials: never touched,
    unless the job calls the column "text". ``needed`` are all safe names that templates use,
    ``text_names`` those that people read: such a column is checked as a text, whatever else it is;
    ``phrases`` are lines of templates that an empty cell leaves half.
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
    setup = as_held(setup, lambda s: open_source(s, locale, []))
    job, source = setup.job, open_source(setup, locale, faults)
    if (own := own_heading_row(source)) is not None:
        setup = with_heading_row(setup, own)
        job = setup.job
    wanted = wanted_headings(job, needed | code_names)
    if own is None and "header_row" not in job.sheet.model_fields_set:
        row = find_heading_row(setup, source, wanted, lambda s: open_source(s, locale, faults))
        if row != 1:
            setup = with_heading_row(setup, row)
            job, source = setup.job, open_source(setup, locale, faults)
            source.remarks.append(found_note(source.sheet, row))
    stated = setup

    def moved(found: Sequence[Problem]) -> list[Problem]:
        return elsewhere(stated, wanted, found, lambda s: open_source(s, locale, []))

    try:
        header = heading_row(source, job.sheet.header_row, setup.sheet_file.name, faults)
    except SheetError as error:
        raise SheetError(moved(error.problems)) from None
    plan, column_faults, notes = plan_columns(
        header.cells, job.columns, job.records, job.work, code_names, needed, text_names,
        sheet=source.sheet, row=header.number,
    )  # fmt: skip
    table, blank_faults = _blanks(setup)
    faults += column_faults
    if faults:
        faults = moved(faults)
    faults += blank_faults
    if plan is not None and not faults:
        faults = spread_faults(source, plan, job.columns, header.number)
    if plan is None or faults:
        jobs = faults[0].kind == "unknown-locale"
        raise (JobError if jobs else SheetError)(faults)
    checker, totals = _looks(setup, plan, thorough, phrases)
    # Rows that come round again after mending are only a part of the whole.
    whole = expecting and totals.wanted and HELD_MARK not in plan.headings
    return Intake(
        setup, source, plan, table, [*source.remarks, *notes], checker, totals if whole else None
    )


def _looks(
    setup: Setup, plan: Plan, thorough: bool, phrases: Sequence[Phrase]
) -> tuple[Checker, Totals]:
    """What is looked for in the rows. Raises ``SheetError`` for columns that are not there."""
    job, file = setup.job, setup.job_file.name
    own, faults = named_places(tuple(job.checks.columns), "checks", plan, file)
    expected, more = named_places(tuple(job.expect.columns), "expect", plan, file)
    _, unknown = named_places(job.personal, "personal", plan, file)
    if faults or more or unknown:
        raise SheetError([*faults, *more, *unknown])
    levels = CheckLevels(
        job.checks, plan, {place: job.checks.columns[name] for name, place in own.items()}
    )
    allowed = {
        place: job.expect.columns[name].allowed for name, place in expected.items()
        if job.expect.columns[name].allowed
    }  # fmt: skip
    checker = Checker(setup, plan, levels, allowed, thorough, phrases)
    return checker, Totals(job, plan, expected, file)


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
