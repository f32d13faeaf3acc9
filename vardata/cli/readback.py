"""``vardata readback``: the finished bed files, rendered and read again."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from vardata.cli.guard import guarded, print_problems, problem_as_json, say_json
from vardata.cli.options import working
from vardata.cli.words import count

if TYPE_CHECKING:
    from vardata.readback.report import ReadbackReport

_PATH = click.Path(path_type=Path)


@click.command("readback")
@click.argument("run", type=_PATH, metavar="RUN")
@click.option("--out", type=_PATH, help="The folder to write; default: RUN-readback, beside it.")
@click.option("--replace", is_flag=True, help="Swap an earlier read-back at --out for this one.")
@click.option(
    "--all", "everything", is_flag=True,
    help="Read every code degraded too; default: those of the first bed and one a bed after it.",
)
@working
@guarded
def command(
    run: Path, out: Path | None, replace: bool, everything: bool, workers: int | None,
    quiet: bool, as_json: bool, debug: bool,
) -> int:
    """Render the bed files of a finished run and read them again.

    Every code is read as seen on its blank and compared with the run's record; what a decoder
    forgives is looked at apart. Texts: is there ink in each box and none just outside it. This
    judges the files alone: it is not a measurement of print quality. The run is not changed.
    """
    from vardata.cli.bar import progress
    from vardata.finished import run_folder_named
    from vardata.readback.run import read_back

    run = run_folder_named(run)
    with progress(quiet or as_json) as bar:
        report = read_back(
            run, out=out, workers=workers, progress=bar, everything=everything, replace=replace
        )
    if as_json:
        say_json(as_answer(report))
    else:
        print_failures(report)
        if not quiet:
            click.echo(summary(report))
    return report.exit_code


def as_answer(report: ReadbackReport) -> dict[str, object]:
    """The report for machines."""
    return {
        "done": not report.failures,
        "exit_code": int(report.exit_code),
        "folder": str(report.folder),
        "run_id": report.run_id,
        **report.counts(),
        "problems": [problem_as_json(problem) for problem in report.problems],
    }


def print_failures(report: ReadbackReport) -> None:
    """One line each on standard error, the first of them."""
    print_problems(report.problems)
    unsaid = report.failures - len(report.problems)
    if unsaid:
        click.echo(f"... and {count(unsaid, 'failure')} that are not kept", err=True)


def summary(report: ReadbackReport) -> str:
    """One line for people."""
    if not report.slots and not report.failures:
        return (
            f"run {report.run_id} read back: there was nothing to read, for no record was printed "
            f"-> {report.folder}"
        )
    read = (
        f"{count(report.beds, 'bed')}, {count(report.codes, 'code')}, "
        f"{count(report.texts, 'text')}"
    )
    verdict = f"failed, {count(report.failures, 'failure')}" if report.failures else "all read"
    return (
        f"run {report.run_id} read back: {verdict} ({read}; the files alone, not the print) "
        f"-> {report.folder}"
    )
