"""Work in several processes, results in order, memory bounded.

In: a stream of small tasks (keys, never items). Out: their results in the order of the
tasks, whatever process made them. At most one task waits in a worker's pipe, so a stream of
any length needs the same memory. With one worker the work is done in this process.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
from collections.abc import Callable, Iterable, Iterator
from multiprocessing.connection import Connection, wait
from typing import Any

from vardata.problems import OutputError, VardataError, fail

_AHEAD = 8  # finished results a worker may be ahead of the slowest, times the workers
Make = Callable[[int], Callable[[Any], Any]]  # worker number -> the function that does a task


class WorkerFailure(Exception):
    """An unexpected exception in a worker, with its traceback as text (for --debug)."""


def worker_count(wanted: int | None) -> int:
    """``wanted``, or as many as there are cores for this process."""
    if wanted:
        return wanted
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _serve(make: Make, number: int, pipe: Connection, inherited: tuple[Connection, ...]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent stops us
    signal.signal(signal.SIGTERM, signal.SIG_DFL)  # in this way
    for end in inherited:  # the parent's: while a copy is open here, no worker sees it gone
        end.close()
    work: Callable[[Any], Any] | None = None
    while True:
        try:
            task = pipe.recv()
        except (EOFError, ConnectionError):  # the parent is done, or gone
            return
        try:
            work = work or make(number)
            answer = (True, work(task))
        except VardataError as error:
            answer = (False, (type(error), error.problems))
        except OSError as error:
            answer = (False, (OSError, (error.errno, error.strerror, error.filename)))
        except BaseException:
            import traceback

            answer = (False, (WorkerFailure, traceback.format_exc()))
        try:
            pipe.send(answer)
        except ConnectionError:
            return


def _raise(kind: type[Exception], detail: Any) -> None:
    raise kind(*detail) if kind is OSError else kind(detail)


class Pool:
    """``make(number)`` is called once in each worker; it gives the function for tasks."""

    def __init__(self, make: Make, workers: int) -> None:
        self._make = make
        self._local: Callable[[Any], Any] | None = None
        self._pipes: list[Connection] = []
        self._processes: list[multiprocessing.process.BaseProcess] = []
        self._count = workers
        if workers > 1:
            self._start()

    def _start(self) -> None:
        # fork shares the loaded modules; where it is not safe or not there, spawn.
        methods = multiprocessing.get_all_start_methods()
        linux = "fork" in methods and os.uname().sysname == "Linux"
        context: Any = multiprocessing.get_context("fork" if linux else "spawn")
        gc.freeze()  # what is there stays: no worker writes in shared pages to look for circles
        for number in range(self._count):
            ours, theirs = context.Pipe()
            self._pipes.append(ours)
            inherited = tuple(self._pipes) if linux else ()
            process = context.Process(
                target=_serve, args=(self._make, number, theirs, inherited), daemon=True
            )
            process.start()
            theirs.close()
            self._processes.append(process)

    def map(self, tasks: Iterable[Any]) -> Iterator[Any]:
        """Results in the order of ``tasks``; a failure in a worker is raised here."""
        if not self._pipes:
            self._local = self._local or self._make(0)
            for task in tasks:
                yield self._local(task)
            return
        yield from self._ordered(iter(tasks))

    def _ordered(self, tasks: Iterator[Any]) -> Iterator[Any]:
        idle = list(self._pipes)
        busy: dict[Connection, int] = {}
        done: dict[int, Any] = {}
        sent = given = 0
        ended = False
        while True:
            while idle and not ended and sent - given < _AHEAD * len(self._pipes):
                try:
                    task = next(tasks)
                except StopIteration:
                    ended = True
                    break
                pipe = idle.pop(0)
                self._send(pipe, task)
                busy[pipe] = sent
                sent += 1
            while given in done:
                yield done.pop(given)
                given += 1
            if not busy:
                if ended:
                    return
                continue
            for ready in wait(list(busy)):
                assert isinstance(ready, Connection)
                done[busy.pop(ready)] = self._receive(ready)
                idle.append(ready)

    def _send(self, pipe: Connection, task: Any) -> None:
        try:
            pipe.send(task)
        except BrokenPipeError:
            raise self._died() from None

    def _receive(self, pipe: Connection) -> Any:
        try:
            good, answer = pipe.recv()
        except (EOFError, ConnectionResetError):
            raise self._died() from None
        if not good:
            _raise(*answer)
        return answer

    @staticmethod
    def _died() -> OutputError:
        error = fail(
            OutputError,
            "worker-died",
            "a worker process was ended from outside (most often: out of memory)",
            "free memory, or build with --workers 1",
        )
        assert isinstance(error, OutputError)
        return error

    def close(self) -> None:
        """Ends the workers; safe to call more than once."""
        for pipe in self._pipes:
            pipe.close()
        for process in self._processes:
            process.terminate()
            process.join()
        self._pipes, self._processes = [], []

    def __enter__(self) -> Pool:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()
