"""How every command ends: one line a problem, a documented exit code, never a traceback."""

from __future__ import annotations

import functools
import json
import signal
import sys
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from types import FrameType
from typing import Any

import click

from vardata.problems import Exit, Problem, Severity, VardataError, Where

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


class _Stopped(BaseException):
    """Told to end by another program: unwinds as Ctrl-C does, so that all is tidied up."""


# A system may lack some of them.
_STOPS = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)


def _stop(number: int, _frame: FrameType | None) -> None:
    for stop in _STOPS:  # a second Ctrl-C must not cut the tidying up short
        signal.signal(stop, signal.SIG_IGN)
    raise KeyboardInterrupt if number == signal.SIGINT else _Stopped(number)


@contextmanager
def _stoppable() -> Iterator[None]:
    """In the block the first signal to stop raises, and any further one is ignored."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    # What the caller wants ignored stays ignored (nohup does so with SIGHUP).
    stops = [stop for stop in _STOPS if signal.getsignal(stop) != signal.SIG_IGN]
    before = [signal.signal(stop, _stop) for stop in stops]
    try:
        yield
    finally:
        for stop, handler in zip(stops, before):
            signal.signal(stop, handler)


def guarded(command: Callable[..., int | None]) -> Callable[..., None]:
    """Wraps a command: its return value or its error becomes the exit code."""

    @functools.wraps(command)
    def run(**options: Any) -> None:
        as_json = options.get("as_json", False)
        code: int
        try:
            with _stoppable():
                code = command(**options) or Exit.DONE
        except VardataError as error:
            _say_failure(error.problems, error.exit_code, as_json)
            code = error.exit_code
        except KeyboardInterrupt:
            click.echo("interrupted; nothing was left behind", err=True)
            code = INTERRUPTED
        except _Stopped as stopped:
            click.echo("stopped; nothing was left behind", err=True)
            code = 128 + stopped.args[0]
        except (click.ClickException, BrokenPipeError):  # the reader of our words is gone
            raise
        except Exception as error:
            if options.get("debug"):
                raise
            problem, code = _unforeseen(error)
            _say_failure((problem,), code, as_json)
        sys.exit(int(code))

    return run


def _say_failure(problems: Sequence[Problem], code: int, as_json: bool) -> None:
    if not as_json:
        print_problems(problems)
        return
    say_json({
        "done": False,
        "exit_code": int(code),
        "problems": [problem_as_json(problem) for problem in problems],
    })


def _unforeseen(error: Exception) -> tuple[Problem, int]:
    """What no stage has seen coming: the system refuses a file, or a mistake of ours."""
    if isinstance(error, OSError):
        what = f"the system refuses: {error.strerror or error}"
        remedy = "see that the file or folder is there, and that you may use it"
        where = Where(file=str(error.filename or ""))
        return Problem("system", Severity.ERROR, what, remedy, where), Exit.OUTPUT
    what = f"internal error ({type(error).__name__}: {_last_line(error)}); nothing was left behind"
    remedy = "run again with --debug and report what it prints"
    return Problem("internal", Severity.ERROR, what, remedy), INTERNAL


def _last_line(error: Exception) -> str:
    lines = str(error).strip().splitlines()
    return lines[-1] if lines else ""
