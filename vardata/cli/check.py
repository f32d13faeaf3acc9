"""``vardata check``: every problem of a job and its order sheet; writes nothing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

import click

from vardata.cli.guard import guarded, problem_as_json, say_json
from vardata.cli.options import common, deciding, job_argument
from vardata.cli.words import count, earlier_line
from vardata.problems import Exit, Problem, Severity

_FIRST = 3  # cases shown of each kind
_ORDER = (Severity.ERROR, Severity.HOLD, Severity.WARNING, Severity.NOTE)


def _grouped(problems: Iterable[Problem]) -> list[tuple[Severity, str, list[Problem]]]:
    """By severity, then by kind as first met."""
    groups: dict[tuple[Severity, str], list[Problem]] = {}
    for problem in problems:
        groups.setdefault((problem.severity, problem.kind), []).append(problem)
    return [
        (severity, kind, found)
        for wanted in _ORDER
        for (severity, kind), found in groups.items()
        if severity == wanted
    ]


def _print_groups(problems: Sequence[Problem]) -> None:
    for severity, kind, found in _grouped(problems):
        click.echo(f"{severity}: {kind} ({len(found)})")
        for problem in found[:_FIRST]:
            click.echo(f"  {problem}")
        if len(found) > _FIRST:
            click.echo(f"  ... and {len(found) - _FIRST} more")


@click.command("check")
@job_argument
@deciding
@common
@guarded
def command(
    job: Path, changed: str | None, reprint: tuple[str, ...], keep: tuple[str, ...],
    sheet: Path | None, workers: int | None, quiet: bool, as_json: bool, debug: bool,
) -> int:
    """Look for problems in a job and its order sheet; write nothing.

    Reads every row and fits every record, as build would.
    """
    from vardata.cli.bar import progress
    from vardata.earlier import Decisions
    from vardata.job.load import load_setup
    from vardata.merge import check

    setup = load_setup(job, sheet)
    with progress(quiet or as_json) as bar:
        decisions = Decisions(changed or "", frozenset(reprint), frozenset(keep))
        report = check(setup, workers=workers, decisions=decisions, progress=bar)
    if as_json:
        say_json({
            "done": True,
            **report.counts(),
            "problems": [problem_as_json(problem) for problem in report.problems],
        })
    else:
        _print_groups(report.problems)
        if not quiet:
            click.echo(
                f"{count(report.rows, 'row')}: {count(report.records, 'record')} for "
                f"{count(report.beds, 'bed')}; {count(report.held_rows, 'row')} held, "
                f"{report.skipped_rows} skipped"
            )
            if report.earlier is not None:
                click.echo(earlier_line(report.earlier))
    return Exit.HELD if report.held_rows else Exit.DONE
