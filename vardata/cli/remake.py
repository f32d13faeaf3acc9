"""``vardata remake``: spoiled pieces of a run, printed again."""

from __future__ import annotations

from itertools import count as count_from
from pathlib import Path
from typing import TYPE_CHECKING

import click

from vardata.cli.build import finished, moment, run_as_json
from vardata.cli.guard import guarded, print_problems, problem_as_json, say_json
from vardata.cli.options import common, job_argument

if TYPE_CHECKING:
    from vardata.renumbering import Change

_PATH = click.Path(path_type=Path)


@click.command("remake")
@job_argument
@click.argument("run", type=_PATH, metavar="RUN")
@click.option(
    "--slot", "slots", multiple=True, required=True, metavar="BED/SLOT",
    help="A spoiled piece, such as 2/B4; say it once for each.",
)
@click.option(
    "--destroyed", is_flag=True,
    help="Confirm that these pieces exist no more: their serials may come again where the job "
    'says remake = "same-when-destroyed".',
)
@click.option("--out", type=_PATH, help="The new run's folder; default: RUN-remake, beside it.")
@click.option("--replace", is_flag=True, help="Swap an earlier run at --out for this one.")
@click.option("--at", metavar="DATE", help="The date on papers, in UTC; default: when first built.")
@click.option(
    "--readback", is_flag=True,
    help="Render and read the finished beds again; a run that fails is not called ready.",
)
@common
@guarded
def command(
    job: Path, run: Path, slots: tuple[str, ...], destroyed: bool, out: Path | None, replace: bool,
    at: str | None, readback: bool, sheet: Path | None, workers: int | None, quiet: bool,
    as_json: bool, debug: bool,
) -> int:
    """Print spoiled pieces of a finished RUN again, as a small run of their own.

    Each keeps its record and its order. A serial is void and the next one is taken, unless the
    job allows it to come again and --destroyed confirms that the spoiled piece is gone.
    """
    from vardata.cli.bar import progress
    from vardata.finished import run_folder_named
    from vardata.job.load import load_setup
    from vardata.remake import remake
    from vardata.rows import ledger_file

    setup = load_setup(job, sheet)
    run = run_folder_named(run, (job.parent,), ledger_file(setup))
    target = out or _next_folder(run, replace)
    with progress(quiet or as_json) as bar:
        made = remake(
            setup, run, slots, target, destroyed=destroyed, at=moment(at), workers=workers,
            replace=replace, readback=readback, progress=bar,
        )
    if as_json:
        changes = [_as_json(change) for change in made.changes]
        remarks = [problem_as_json(remark) for remark in made.remarks]
        say_json({**run_as_json(made.run), "remade": changes, "remarks": remarks})
    elif not quiet:
        print_problems(made.remarks)
        for change in made.changes:
            click.echo(_told(change))
    return finished(made.run, quiet, as_json)


def _told(change: Change) -> str:
    """One line for people: where the piece lay, and what became of its serial."""
    row = change.row
    piece = f"bed {row.bed}, slot {row.slot}, record {row.record}"
    if not row.rule:
        return f"{piece}: made again"
    if row.old == row.new:
        return f"{piece}: {row.rule} {change.before} stays"
    return f"{piece}: {row.rule} {change.before} is void, now {change.after}"


def _as_json(change: Change) -> dict[str, object]:
    row = change.row
    return {
        "record": row.record, "bed": row.bed, "slot": row.slot, "serial": row.rule,
        "before": change.before, "after": change.after,
    }  # fmt: skip


def _next_folder(run: Path, replace: bool) -> Path:
    """Beside the run: RUN-remake, or the first free of RUN-remake-2, -3 and so on."""
    first = run.parent / f"{run.resolve().name}-remake"
    if replace or not first.exists():
        return first
    later = (first.with_name(f"{first.name}-{number}") for number in count_from(2))
    return next(path for path in later if not path.exists())
