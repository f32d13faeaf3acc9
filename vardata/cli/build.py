"""``vardata build``: the run."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from vardata.cli.guard import guarded, print_problems, problem_as_json, say_json
from vardata.cli.options import common, deciding, job_argument
from vardata.cli.readback import as_answer, print_failures, summary
from vardata.cli.words import count, earlier_line
from vardata.problems import CallError, Exit, fail

if TYPE_CHECKING:
    from vardata.readback.report import ReadbackReport
    from vardata.report import RunReport


def moment(text: str | None) -> datetime | None:
    """The date of --at."""
    if text is None:
        return None
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        raise fail(
            CallError, "bad-date", f"--at {text!r} is no date",
            'write it as "2026-10-31" or "2026-10-31T18:00:00+00:00"',
        ) from None
    return found if found.tzinfo else found.replace(tzinfo=UTC)  # the same bytes everywhere


@click.command("build")
@job_argument
@click.option(
    "--out", type=click.Path(path_type=Path),
    help="The run's folder; default: the job's name with -run, where you are.",
)
@click.option("--replace", is_flag=True, help="Swap an earlier run at --out for this one.")
@click.option("--at", metavar="DATE", help="The date on papers, in UTC; default: when first built.")
@click.option(
    "--readback", is_flag=True,
    help="Render and read the finished beds again; a run that fails is not called ready.",
)
@deciding
@click.option(
    "--again", metavar="RUN",
    help="Make this run's folder again, as if it had not been built: its folder or its id.",
)
@click.option(
    "--new-sizes", is_flag=True,
    help="Give groups of texts that share one size a new one, whatever earlier runs gave them.",
)
@click.option(
    "--sizes-of", metavar="RUN",
    help="Give groups of texts that share one size those of this run: for a supplement to it.",
)
@common
@guarded
def command(
    job: Path, out: Path | None, replace: bool, at: str | None, readback: bool,
    changed: str | None, reprint: tuple[str, ...], keep: tuple[str, ...], again: str | None,
    new_sizes: bool, sizes_of: str | None, sheet: Path | None, workers: int | None, quiet: bool,
    as_json: bool, debug: bool,
) -> int:
    """Make the beds, the pick list and the list of held records.

    The folder appears whole or not at all. The same input gives the same bytes.
    """
    from vardata.cli.bar import progress
    from vardata.earlier import Decisions
    from vardata.finished import run_id_named
    from vardata.grouping import Sizes
    from vardata.job.load import load_setup
    from vardata.merge import build

    day = moment(at)
    setup = load_setup(job, sheet)
    target = out or Path(f"{setup.job.name}-run")
    again = again and run_id_named(again)
    decisions = Decisions(changed or "", frozenset(reprint), frozenset(keep), again)
    if new_sizes and sizes_of:
        raise fail(CallError, "two-sizes", "--new-sizes and --sizes-of each say which sizes groups "
                   "of texts have", "give one of them")  # fmt: skip
    of_run = again if sizes_of is None else run_id_named(sizes_of)
    sizes = Sizes(new_sizes, None if new_sizes else of_run)
    with progress(quiet or as_json) as bar:
        run = build(
            setup, target, at=day, workers=workers, replace=replace, readback=readback,
            decisions=decisions, sizes=sizes, progress=bar,
        )
    if as_json:
        say_json(run_as_json(run))
    return finished(run, quiet, as_json)


def run_as_json(run: RunReport) -> dict[str, object]:
    """A finished run for machines."""
    return {
        "done": True,
        "folder": str(run.folder),
        **run.counts(),
        "run_id": run.run_id,
        "held_by_kind": dict(sorted(run.kinds.items())),
        "problems": [problem_as_json(note) for note in run.notes],
        **({"readback": as_answer(run.readback)} if run.readback else {}),
    }


def finished(run: RunReport, quiet: bool, as_json: bool) -> Exit:
    """Says what a finished run is, if people want to hear it; gives the exit code."""
    if not (quiet or as_json):
        print_problems(run.notes)
        _summary(run)
    if run.readback is not None:
        return _read_back(run, run.readback, quiet or as_json)
    return Exit.HELD if run.held_rows else Exit.DONE


def _read_back(run: RunReport, found: ReadbackReport, quiet: bool) -> Exit:
    """Says what the read-back found; its failure outweighs held records."""
    if not quiet:
        print_failures(found)
        click.echo(summary(found))
    if found.failures:
        click.echo("this run is not ready: do not print it", err=True)
        return Exit.READBACK
    return Exit.HELD if run.held_rows else Exit.DONE


def _summary(run: RunReport) -> None:
    click.echo(
        f"run {run.run_id}: {count(run.records, 'record')} on {count(run.beds, 'bed')} "
        f"-> {run.folder}"
    )
    if not run.records:
        click.echo("nothing is printed: every row is held or skipped")
    if run.earlier is not None:
        click.echo(earlier_line(run.earlier))
    if run.skipped_rows:
        click.echo(f"{count(run.skipped_rows, 'row')} skipped: see {run.folder / 'skipped.csv'}")
    if run.held_rows:
        kinds = ", ".join(f"{number} {kind}" for kind, number in sorted(run.kinds.items()))
        click.echo(
            f"{count(run.held_rows, 'row')} held ({kinds}): see {run.folder / 'held.csv'}"
        )
