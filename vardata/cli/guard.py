"""How every command ends: one line a problem, a documented exit code, never a traceback."""

from __future__ import annotations

import functools
import json
import sys
from collections.abc import Callable, Iterable
from typing import Any

import click

from vardata.problems import Exit, Problem, VardataError

SHOWN = 40  # problems printed in full; the rest is counted
INTERRUPTED = 130  # 128 + SIGINT, as shells have it
INTERNAL = 1


def problem_as_json(problem: Problem) -> dict[str, object]:
    """A problem for machines: empty parts left out."""
    where = {key: value for key, value in problem.where._asdict().items() if value}
    return {
        "kind": problem.kind,
        "severity": str(problem.severity),
        "what": problem.what,
        "remedy": problem.remedy,
        "value": problem.value,
        "where": where,
        "line": str(problem),
    }


def print_problems(problems: Iterable[Problem], stream: Any = None) -> None:
    """One line each, the first ``SHOWN``."""
    stream = stream or sys.stderr
    for number, problem in enumerate(problems):
        if number == SHOWN:
            click.echo(f"... and {len(tuple(problems)) - SHOWN} more", file=stream)
            return
        click.echo(str(problem), file=stream)


def say_json(value: dict[str, object]) -> None:
    click.echo(json.dumps(value, ensure_ascii=False, indent=2))


def guarded(command: Callable[..., int | None]) -> Callable[..., None]:
    """Wraps a command: its return value or its error becomes the exit code."""

    @functools.wraps(command)
    def run(**options: Any) -> None:
        as_json = options.get("as_json", False)
        try:
            code = command(**options) or Exit.DONE
        except VardataError as error:
            if as_json:
                say_json({
                    "done": False,
                    "exit_code": int(error.exit_code),
                    "problems": [problem_as_json(problem) for problem in error.problems],
                })
            else:
                print_problems(error.problems)
            code = error.exit_code
        except KeyboardInterrupt:
            click.echo("interrupted; nothing was left behind", err=True)
            code = INTERRUPTED
        except click.ClickException:
            raise
        except Exception as error:
            if options.get("debug"):
                raise
            click.echo(
                f"internal error ({type(error).__name__}: {_first_line(error)}); nothing was "
                "left behind; run again with --debug and report what it prints",
                err=True,
            )
            code = INTERNAL
        sys.exit(int(code))

    return run


def _first_line(error: Exception) -> str:
    lines = str(error).strip().splitlines()
    return lines[-1] if lines else ""
