"""The engine: an order sheet becomes beds and papers, as one list of named stages.

In: a ``Setup`` (job, layout, jig, bed, all checked) and a folder. Out: the run's folder and
a few facts. The stages are the folders of this package, in the same order; what each of them
does is written there.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from vardata.gather import Gathered, gather
from vardata.impose.checks import check_slots
from vardata.impose.plan import bed_count
from vardata.impose.slots import usable_slots
from vardata.intake import Intake, open_intake
from vardata.job.model import Setup
from vardata.ledger.store import Ledger
from vardata.output.folder import as_output_error, refuse_existing, run_folder
from vardata.pool import Pool, worker_count
from vardata.problems import JobError, Problem, Severity
from vardata.progress import Progress, Silent
from vardata.report import CheckReport, RunReport
from vardata.resolve.templates import template_names
from vardata.runid import identify
from vardata.work.worker import make_worker
from vardata.write import write_run


def build(
    setup: Setup,
    out: Path,
    *,
    at: datetime | None = None,
    workers: int | None = None,
    replace: bool = False,
    progress: Progress | None = None,
) -> RunReport:
    """Makes the run's folder ``out`` and gives its facts.

    ``at`` is the date on papers (default: when the ledger first saw this run). Raises
    ``JobError``, ``SheetError`` or ``OutputError``; then nothing is left behind.
    """
    progress = progress or Silent()
    refuse_existing(out, replace)
    problems = check_setup(setup)  # 1 job
    with run_folder(out, replace) as folder, _scratch(folder.parent, out) as scratch:
        intake = _open(setup)  # 2 intake
        with _pool(setup, intake, scratch, workers) as pool:
            found = gather(intake, pool, scratch, progress)  # 3 resolve, 4 fit
            run_id = identify(setup, found.pictures)
            ledger = Ledger(setup.job_file.parent / setup.job.ledger)
            first_seen = ledger.first_sight(run_id, setup.job.name, datetime.now(UTC))
            report = write_run(  # 5 impose, 6 dress, 7 output
                setup, intake, found, pool, folder, scratch, progress,
                run_id=run_id, at=at or first_seen, notes=(*problems, *found.notes),
            )
    ledger.finish(
        run_id, datetime.now(UTC), out.resolve(), records=report.records, beds=report.beds,
        held=report.held_rows, skipped=report.skipped_rows,
    )
    return report._replace(folder=out)


def check(
    setup: Setup, *, workers: int | None = None, progress: Progress | None = None
) -> CheckReport:
    """Stages 1 to 4 and every check of the later ones; writes nothing that stays."""
    problems = check_setup(setup)
    with TemporaryDirectory(prefix="vardata-") as name:
        intake = _open(setup)
        with _pool(setup, intake, Path(name), workers) as pool:
            found = gather(intake, pool, Path(name), progress or Silent())
        held = [problem for row in found.aside.held() for problem in row.problems]
    slots = len(usable_slots(setup.jig))
    return CheckReport(
        rows=found.rows,
        records=len(found.index),
        beds=bed_count(len(found.index), slots),
        held_rows=found.aside.held_rows,
        held_records=found.aside.held_records,
        skipped_rows=found.aside.skipped_rows,
        problems=(*problems, *held, *found.notes),
    )


@contextmanager
def gathered(
    setup: Setup, *, workers: int | None = None, progress: Progress | None = None
) -> Iterator[tuple[Intake, Gathered, Path]]:
    """Stages 1 to 4 for a face that wants to look at records; the folder lives in the block."""
    check_setup(setup)
    with TemporaryDirectory(prefix="vardata-") as name:
        intake = _open(setup)
        with _pool(setup, intake, Path(name), workers) as pool:
            found = gather(intake, pool, Path(name), progress or Silent())
        yield intake, found, Path(name)


def check_setup(setup: Setup) -> tuple[Problem, ...]:
    """What can be wrong before a row is read. Raises ``JobError``; gives notes and warnings."""
    from vardata.dress.art import check_art
    from vardata.dress.outline import flood

    template_names(setup)
    problems = check_slots(setup, usable_slots(setup.jig), flood(setup.layout, 0.0)[1])
    problems += check_art(setup)
    errors = [problem for problem in problems if problem.severity == Severity.ERROR]
    if errors:
        raise JobError(errors)
    return tuple(problems)


def _open(setup: Setup) -> Intake:
    names = template_names(setup)
    return open_intake(setup, names.exact, names.needed)


def _pool(setup: Setup, intake: Intake, scratch: Path, workers: int | None) -> Pool:
    make = partial(make_worker, setup, intake.names, scratch)
    return Pool(make, worker_count(workers))


@contextmanager
def _scratch(parent: Path, out: Path) -> Iterator[Path]:
    """A place for spools on the disk of the run."""
    try:
        with TemporaryDirectory(prefix=f".{out.name}.work-", dir=parent) as name:
            yield Path(name)
    except OSError as error:
        raise as_output_error(error, out) from None
