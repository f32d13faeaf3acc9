"""``vardata check``: every problem of a job and its order sheet, in a table."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from vardata.alike import joined
from vardata.cli.guard import guarded, problem_as_json, say_json
from vardata.cli.options import common, deciding, job_argument
from vardata.cli.words import count, earlier_line
from vardata.problems import Exit, Problem, Severity

if TYPE_CHECKING:
    from vardata.report import CheckReport

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


def _print_table(report: CheckReport, problem_sheet: Path | None) -> None:
    """A table by kind: level, kind, how many, and the first cases below one another, those that
    say the same as one. Then where all of them can be seen, if some are not."""
    groups = [
        (str(severity), kind, report.found.get((severity, kind), len(found)), found)
        for severity, kind, found in _grouped(report.problems)
    ]
    if not groups:
        return
    wide = max(len("kind"), *(len(kind) for _, kind, _, _ in groups))
    click.echo(f"{'level':<8}{'kind':<{wide}}{'count':>7}  first cases")
    cut = False
    for severity, kind, number, found in groups:
        head = f"{severity:<8}{kind:<{wide}}{number:>7,}  "
        lines = joined(found)
        cut = cut or number > 4 * len(found)  # more than the lines of intake name
        for line in lines[:_FIRST]:
            click.echo(f"{head}{line}")
            head = " " * len(head)
            cut = cut or line.count - 1 > len(line.others)
        if more := sum(line.count for line in lines[_FIRST:]):
            click.echo(f"{head}... and {more:,} more")
            cut = True
    if cut:
        where = "--problems mend.xlsx marks them" if problem_sheet is None else problem_sheet
        click.echo(f"all of them, row by row: {where}")


@click.command("check")
@job_argument
@click.option(
    "--problems", "problem_sheet", type=click.Path(path_type=Path), metavar="FILE.xlsx",
    help="Write a copy of the order sheet with what is wrong marked in its cells.",
)
@deciding
@common
@guarded
def command(
    job: Path, problem_sheet: Path | None, changed: str | None, reprint: tuple[str, ...],
    keep: tuple[str, ...],
    sheet: Path | None, workers: int | None, quiet: bool, as_json: bool, debug: bool,
) -> int:
    """Look for problems in a job and its order sheet; write nothing.

    Reads every row and fits every record, as build would. --problems writes a workbook in which
    the office mends what is wrong; build it with --sheet.
    """
    from vardata.cli.bar import progress
    from vardata.earlier import Decisions
    from vardata.job.load import load_setup
    from vardata.merge import check

    setup = load_setup(job, sheet)
    with progress(quiet or as_json) as bar:
        decisions = Decisions(changed or "", frozenset(reprint), frozenset(keep))
        report = check(
            setup, workers=workers, decisions=decisions, problem_sheet=problem_sheet, progress=bar
        )
    if as_json:
        say_json({
            "done": True,
            **report.counts(),
            "found": [
                {"severity": str(severity), "kind": kind, "count": number}
                for (severity, kind), number in sorted(report.found.items())
            ],
            "problems": [problem_as_json(problem) for problem in report.problems],
        })
    else:
        _print_table(report, problem_sheet)
        if not quiet:
            click.echo(
                f"{count(report.rows, 'row')}: {count(report.records, 'record')} for "
                f"{count(report.beds, 'bed')}; {count(report.held_rows, 'row')} held, "
                f"{report.skipped_rows} skipped"
            )
            if report.earlier is not None:
                click.echo(earlier_line(report.earlier))
    return Exit.HELD if report.held_rows else Exit.DONE
