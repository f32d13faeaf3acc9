"""How every command ends: one line a problem, a documented exit code, never a traceback."""

from __future__ import annotations

import functools
import json
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from types import FrameType
from typing import Any

import click

from vardata.alike import joined
from vardata.cli.start import STOPS, end_at_once, words
from vardata.problems import Exit, Problem, Severity, VardataError, Where

SHOWN = 40  # lines printed in full; the rest is counted
UNHEARD = 141  # 128 + SIGPIPE, as shells have it
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
    """One line for all that say the same, the first ``SHOWN``."""
    stream = stream or sys.stderr
    lines = joined(problems)
    for line in lines[:SHOWN]:
        click.echo(str(line), file=stream)
    if more := sum(line.count for line in lines[SHOWN:]):
        click.echo(f"... and {more} more", file=stream)


def say_json(value: dict[str, object]) -> None:
    click.echo(json.dumps(value, ensure_ascii=False, indent=2))


class _Stopped(BaseException):
    """Told to end by another program: unwinds as Ctrl-C does, so that all is tidied up."""


_heard: list[int] = []  # the signal that a command was told to stop by


def _stop(number: int, _frame: FrameType | None) -> None:
    _heard.append(number)
    for stop in STOPS:  # a second Ctrl-C must not cut the tidying up short
        signal.signal(stop, signal.SIG_IGN)
    raise _Stopped(number)


@contextmanager
def _stoppable() -> Iterator[None]:
    """In the block the first signal to stop raises, and any further one is ignored."""
    _heard.clear()
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    # What the caller wants ignored stays ignored (nohup does so with SIGHUP).
    stops = [stop for stop in STOPS if signal.getsignal(stop) != signal.SIG_IGN]
    before = [signal.signal(stop, _stop) for stop in stops]
    try:
        yield
    finally:
        for stop, handler in zip(stops, before):
            # The program's own start says "nothing was left behind", which is over now.
            signal.signal(stop, signal.SIG_IGN if handler == end_at_once else handler)


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
        except (KeyboardInterrupt, _Stopped) as stopped:
            code = _ended(*stopped.args)
        except BrokenPipeError:  # the reader of our words has gone, so no more are said
            _hush()
            code = UNHEARD
        except click.Abort:  # a question that was answered with the end of input
            click.echo(err=True)
            code = _ended()
        except click.ClickException:
            raise
        except Exception as error:
            if _heard:  # a library has made an error of its own of the stop
                code = _ended(*_heard)
            elif options.get("debug"):
                raise
            else:
                problem, code = _unforeseen(error)
                _say_failure((problem,), code, as_json)
        sys.exit(int(code))

    return run


def _ended(number: int = signal.SIGINT) -> int:
    """Says that a signal ended the command; gives the exit code."""
    click.echo(words(number), err=True)
    return 128 + number


def _hush() -> None:
    """Lets what is still to be printed go nowhere, or Python would complain at its end."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


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
