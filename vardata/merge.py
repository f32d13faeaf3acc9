"""The engine: an order sheet becomes beds and papers, as one list of named stages.

In: a ``Setup`` (job, layout, jig, bed, all checked) and a folder. Out: the run's folder and
a few facts. The stages are the folders of this package, in the same order; what each of them
does is written there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from datetime import UTC, date, datetime
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from vardata.earlier import Decisions
from vardata.forgotten import forgotten
from vardata.gather import Gathered, gather
from vardata.grouping import PRESENT, Grouping, Sizes, grouping_of
from vardata.impose.checks import check_slots
from vardata.impose.facing import check_facing, lying
from vardata.impose.sides import check_sides, of_side_b
from vardata.impose.slots import usable_slots
from vardata.intake.findings import Findings
from vardata.job.model import CodeField, Setup
from vardata.ledger.serials import Serials
from vardata.ledger.session import check_ledger
from vardata.ledger.store import Ledger
from vardata.numbering import Numbered, Printable, RecordSource, number_records
from vardata.output.folder import as_output_error, refuse_existing, run_folder
from vardata.output.problemsheet import refuse_name, write_problem_sheet
from vardata.personal import personal_of
from vardata.pool import Pool, worker_count
from vardata.problems import JobError, OutputError, Problem, Severity, fail
from vardata.products import all_names
from vardata.progress import Progress, Silent
from vardata.report import CheckReport, RunReport
from vardata.resolve.templates import field_columns
from vardata.rows import all_rows, ledger_file, open_sheet, opened, precedence_of
from vardata.runid import identify, inputs_key, pictures_key, versions
from vardata.work.worker import make_worker
from vardata.write import arranged, write_run

if TYPE_CHECKING:
    import sqlite3

    from vardata.readback.report import ReadbackReport


def build(
    setup: Setup,
    out: Path,
    *,
    at: datetime | None = None,
    workers: int | None = None,
    replace: bool = False,
    readback: bool = False,
    decisions: Decisions | None = None,
    sizes: Sizes = PRESENT,
    progress: Progress | None = None,
) -> RunReport:
    """Makes the run's folder ``out`` and gives its facts.

    ``at`` is the date on papers (default: when the ledger first saw this run). ``readback``
    reads the finished beds again before the folder is put in place; a run that fails it is
    there to be looked at, but the ledger does not count it as finished. ``decisions`` are a
    person's on rows that earlier runs built. ``sizes`` says which sizes the groups of texts
    that share one have. Raises ``JobError``, ``SheetError`` or
    ``OutputError``; then nothing is left behind.
    """
    progress = progress or Silent()
    refuse_existing(out, replace)
    problems = check_setup(setup)  # 1 job
    now = datetime.now(UTC)
    serials = Serials(ledger_file(setup))
    with (
        ExitStack() as sealed,  # folder and ledger: both or neither
        run_folder(out, replace, around=sealed) as folder,
        scratch_folder(folder.parent, out) as scratch,
        opened(setup, decisions) as rows,  # 2 intake
    ):
        unknown = tuple(forgotten(setup, ledger_file(setup), rows.supplement))
        with _fitted(  # 3 resolve, 4 fit
            setup, rows.source, serials, scratch, workers, progress, (at or now).date(), sizes
        ) as (numbered, pool, found, spools, grouping):
            report = make_files(  # 5 impose, 6 dress, 7 output, 8 readback
                setup, numbered, pool, found, folder, spools, progress, at=at, now=now,
                workers=workers, readback=readback, notes=problems,
                sizes=grouping.state() if grouping else "",
            )
        # The ledger's state is no part of the input: the run's own files do not speak of it.
        report = report._replace(earlier=rows.earlier(), notes=(*unknown, *report.notes))
        also = rows.placed(folder / "slots.jsonl", found, report.run_id, grouping)
        seal(sealed, setup, report, out, also)
    return settle(numbered, found, report, out)


def make_files(
    setup: Setup, numbered: Printable, pool: Pool, found: Gathered, folder: Path, spools: Path,
    progress: Progress, *, at: datetime | None, now: datetime, workers: int | None,
    readback: bool, notes: Sequence[Problem], origin: Mapping[str, object] | None = None,
    sizes: str = "",
) -> RunReport:
    """Stages 5 to 8 into a hidden folder. ``origin`` says of a remake what it makes again,
    ``sizes`` what groups of texts are set with."""
    facts = numbered.facts()
    told = {**facts, "remake": origin} if origin else facts
    run_id = identify(setup, found.pictures, told, numbered.state, sizes)
    first_seen = Ledger(ledger_file(setup)).first_sight(run_id, setup.job.name, now)
    personal = personal_of(setup, numbered.names, numbered.headings)
    report = write_run(
        setup, numbered, found, pool, folder, spools, progress, run_id=run_id,
        at=at or first_seen, notes=(*notes, *personal.all_masked(found.notes)), serials=facts,
        origin=origin, also=personal.facts(),
    )
    if readback or any(map(_odd_codes, setup.all_sides())):
        return report._replace(readback=_read_back(folder, workers, progress))
    return report


def seal(
    sealed: ExitStack, setup: Setup, report: RunReport, out: Path,
    also: Callable[[sqlite3.Connection], None] | None = None,
) -> None:
    """Lets the ledger note the run in the step that puts its folder in place, unless its
    read-back failed."""
    if report.readback is None or not report.readback.failures:
        sealed.enter_context(
            Ledger(ledger_file(setup)).finishing(
                report.run_id, datetime.now(UTC), out.resolve(), records=report.records,
                beds=report.beds, held=report.held_rows, skipped=report.skipped_rows, also=also,
            )
        )


def settle(numbered: Printable, found: Gathered, report: RunReport, out: Path) -> RunReport:
    """The run's folder stands at ``out``: its serials are printed, unless it failed."""
    if report.readback is not None:
        report = report._replace(readback=report.readback._replace(folder=out))
        if report.readback is not None and report.readback.failures:
            return report._replace(folder=out)
    numbered.finish(report.run_id, found.held_at, datetime.now(UTC))
    return report._replace(folder=out)


def _odd_codes(part: Setup) -> bool:
    """Whether codes are drawn otherwise than their standard has it, so that only reading them
    tells whether they are good."""
    fields = (field for field in part.layout.fields if isinstance(field, CodeField))
    return any(field.modules == "round" or field.window for field in fields)


def _read_back(folder: Path, workers: int | None, progress: Progress) -> ReadbackReport:
    from vardata.readback.run import read_back

    return read_back(folder, out=folder, workers=workers, progress=progress)


def check(
    setup: Setup, *, workers: int | None = None, decisions: Decisions | None = None,
    problem_sheet: Path | None = None, progress: Progress | None = None,
) -> CheckReport:
    """Stages 1 to 4 and every check of the later ones; writes nothing that stays, but for a
    copy of the order sheet with its problems marked, ``problem_sheet``, where it is asked for."""
    if problem_sheet is not None:
        refuse_name(problem_sheet)
    problems = check_setup(setup)
    sheet, findings = open_sheet(setup, thorough=True), Findings()
    sheet.tell(findings)
    with (
        opened(setup, decisions, sheet) as rows,
        _looked_at(setup, rows.source, workers, progress or Silent()) as (_, found, _spools),
    ):
        earlier = rows.earlier()
        personal = personal_of(setup, sheet.names, sheet.headings)
        fields = {k: v for part in setup.all_sides() for k, v in field_columns(part).items()}
        held: list[Problem] = []
        for row in found.aside.held():
            findings.held(row.row, row.problems, sheet.plan, fields)
            held += row.problems
    if problem_sheet is not None:
        write_problem_sheet(problem_sheet, sheet.original(), findings.marks)
    return CheckReport(
        rows=found.rows,
        records=len(found.index),
        beds=arranged(setup, found).beds,
        held_rows=found.aside.held_rows,
        held_records=found.aside.held_records,
        skipped_rows=found.aside.skipped_rows,
        problems=(*problems, *personal.all_masked([*held, *found.notes]), *found.uneven),
        earlier=earlier,
        found=findings.counts,
    )


@contextmanager
def gathered(
    setup: Setup, *, workers: int | None = None, progress: Progress | None = None
) -> Iterator[tuple[RecordSource, Gathered, Path]]:
    """Stages 1 to 4 for a face that wants to look at records; the folder lives in the block.

    All rows are there, also those that earlier runs built, or that changed since an approval.
    """
    check_setup(setup)
    source = all_rows(setup, expecting=False)
    with _looked_at(setup, source, workers, progress or Silent()) as looked_at:
        yield looked_at


def check_setup(setup: Setup) -> tuple[Problem, ...]:
    """What can be wrong before a row is read: gives notes and warnings.

    Raises ``JobError``, and ``OutputError`` for a ledger that is none.
    """
    from vardata.dress.art import check_art, load_art
    from vardata.dress.background import check_ground
    from vardata.dress.dresser import Dresser
    from vardata.dress.outline import flood
    from vardata.fit.featurecheck import unknown_features
    from vardata.fit.fontbook import FontBook
    from vardata.work.fixedpictures import fixed_faults
    from vardata.work.tickets import missing_cards

    check_ledger(ledger_file(setup))
    all_names(setup)
    problems: list[Problem] = []
    for part in setup.parts():
        outline = flood(part.layout, 0.0)[1]
        problems += check_slots(part, usable_slots(part.jig), lying(part, outline))
        problems += check_facing(part, outline)
        problems += check_art(part)
        problems += missing_cards(part)
        problems += check_ground(part)
        if part.side_b is not None:
            behind = flood(part.side_b.layout, 0.0)[1]
            faults = check_sides(part, outline, behind)
            slots = usable_slots(part.side_b.jig)
            problems += faults or map(of_side_b, check_slots(part.side_b, slots, behind))
            problems += (*check_art(part.side_b), *check_ground(part.side_b))
    for part in setup.all_sides():
        problems += fixed_faults(part)
    errors = [problem for problem in problems if problem.severity == Severity.ERROR]
    if not errors:  # what is static can be dressed: does its ink keep to the item?
        for part in setup.all_sides():
            book = FontBook(part.fonts, part.members, part.axes)
            dresser = Dresser(part, book, load_art(part))
            errors += dresser.problems()
            problems += (*dresser.warnings(), *unknown_features(part, book))
    if errors:
        raise JobError(dict.fromkeys(errors))
    return tuple(dict.fromkeys(problems))


def make_pool(setup: Setup, source: RecordSource, scratch: Path, workers: int | None) -> Pool:
    """The workers of a run."""
    make = partial(make_worker, setup, source.names, scratch)
    pool = Pool(make, worker_count(workers))
    versions()  # looked up for the run's id while the workers start
    return pool


@contextmanager
def _fitted(
    setup: Setup, intake: RecordSource, serials: Serials, scratch: Path, workers: int | None,
    progress: Progress, day: date, sizes: Sizes = PRESENT,
) -> Iterator[tuple[Numbered, Pool, Gathered, Path, Grouping | None]]:
    """Stages 3 and 4 with the pool, the folder of their spools, and the sizes of groups.

    Where the input's numbers belong to pieces with other pictures, all is done once more with
    fresh numbers: one number must never stand on two pieces that differ.
    """
    looks, tried = "", False
    while True:
        numbered = number_records(
            setup, intake, serials, inputs=inputs_key(setup, looks), day=day,
            now=datetime.now(UTC),
        )
        spools = scratch / (f"again-{looks[:12]}" if looks else "first")
        spools.mkdir()
        with make_pool(setup, numbered, spools, workers) as pool:
            grouping = grouping_of(setup, ledger_file(setup), sizes)
            found = gather(
                numbered, pool, spools, progress, grouping, precedence_of(intake)
            )
            seen = pictures_key(setup, found.pictures)
            if numbered.bind(seen):
                yield numbered, pool, found, spools, grouping
                return
        if tried:
            raise fail(
                OutputError, "pictures-change", "the pictures change while the run is made",
                "wait until nothing writes to them, and build again", file=str(setup.job_file),
            )
        looks, tried = seen, True


@contextmanager
def _looked_at(
    setup: Setup, intake: RecordSource, workers: int | None, progress: Progress
) -> Iterator[tuple[Numbered, Gathered, Path]]:
    """Stages 2 to 4 on a copy of the ledger's serials, so that none is used up."""
    with (
        TemporaryDirectory(prefix="vardata-") as name,
        Serials(ledger_file(setup)).rehearsal() as copy,
        _fitted(
            setup, intake, copy, Path(name), workers, progress, datetime.now(UTC).date()
        ) as (numbered, _, found, spools, _grouping_of),
    ):
        yield numbered, found, spools


@contextmanager
def scratch_folder(parent: Path, out: Path) -> Iterator[Path]:
    """A place for spools on the disk of the run."""
    try:
        with TemporaryDirectory(prefix=f".{out.name}.work-", dir=parent) as name:
            yield Path(name)
    except OSError as error:
        raise as_output_error(error, out) from None
