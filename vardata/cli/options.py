"""Arguments and options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from vardata.cli.standard_input import sheet_option

F = TypeVar("F", bound=Callable[..., Any])

_PATH = click.Path(path_type=Path)


def job_argument(command: F) -> F:
    return click.argument("job", type=_PATH, metavar="JOB.toml")(command)


def common(command: F) -> F:
    """--sheet, --workers, --quiet, --json, --debug."""
    return click.option(
        "--sheet", type=_PATH, callback=sheet_option, multiple=True,
        help="Another order sheet than the job names; - is standard input. Several are pooled.",
    )(working(command))


def deciding(command: F) -> F:
    """--changed, --reprint, --keep: what becomes of rows that earlier runs built otherwise."""
    for option in (
        click.option("--keep", multiple=True, metavar="ORDER[/LINE]",
                     help="Leave this changed line as it was printed."),
        click.option("--reprint", multiple=True, metavar="ORDER[/LINE]",
                     help="Print this changed line as it is now."),
        click.option("--changed", type=click.Choice(["hold", "print", "keep"]),
                     help="What to do with lines changed since they were built; default: "
                     "changed under [records], or hold."),
    ):  # fmt: skip
        command = option(command)
    return command


def working(command: F) -> F:
    """--workers, --quiet, --json, --debug."""
    for option in (
        click.option("--debug", is_flag=True, help="Show the traceback of an internal error."),
        click.option("--json", "as_json", is_flag=True, help="Answer in JSON on standard output."),
        click.option("--quiet", "-q", is_flag=True, help="No progress bar, no summary."),
        click.option(
            "--workers", type=click.IntRange(1, 64), metavar="N",
            help="Processes to work in; default: one a core. The result does not depend on it.",
        ),
    ):
        command = option(command)
    return command
