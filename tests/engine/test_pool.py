"""The pool: order kept, failures raised, memory bounded, whatever the number of workers."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from vardata.pool import Pool, WorkerFailure
from vardata.problems import JobError, OutputError, fail


def squares(_number: int) -> Callable[[Any], Any]:
    return lambda task: task * task


def failing(_number: int) -> Callable[[Any], Any]:
    def work(task: int) -> int:
        if task == 5:
            raise fail(JobError, "five", "five is not allowed", "use six")
        if task == 7:
            raise OSError(28, "No space left on device", "x.pdf")
        if task == 9:
            raise ZeroDivisionError("by nine")
        if task == 11:
            os.kill(os.getpid(), signal.SIGKILL)
        return task

    return work


@pytest.mark.parametrize("workers", [1, 2, 3])
def test_results_come_in_the_order_of_the_tasks(workers: int) -> None:
    with Pool(squares, workers) as pool:
        assert list(pool.map(range(500))) == [n * n for n in range(500)]
        assert list(pool.map([])) == []
        assert list(pool.map([3])) == [9]


def test_a_large_task_and_a_large_result_do_not_block() -> None:
    big = "x" * 5_000_000
    with Pool(lambda _n: lambda task: task + task, 2) as pool:
        assert [len(r) for r in pool.map([big] * 6)] == [10_000_000] * 6


def test_the_stream_is_not_read_far_ahead() -> None:
    read = 0

    def tasks() -> Iterator[int]:
        nonlocal read
        for task in range(10_000):
            read += 1
            yield task

    with Pool(squares, 2) as pool:
        results = pool.map(tasks())
        next(results)
        assert read < 50


@pytest.mark.parametrize("workers", [1, 2])
def test_a_failure_reaches_the_caller_as_itself(workers: int) -> None:
    with Pool(failing, workers) as pool, pytest.raises(JobError, match="five is not allowed"):
        list(pool.map([5]))
    with Pool(failing, workers) as pool, pytest.raises(OSError) as error:
        list(pool.map([7]))
    assert (error.value.errno, error.value.filename) == (28, "x.pdf")


def test_an_unexpected_failure_keeps_its_traceback() -> None:
    with Pool(failing, 2) as pool, pytest.raises(WorkerFailure, match="by nine"):
        list(pool.map([9]))


def test_a_killed_worker_is_one_clear_line() -> None:
    with Pool(failing, 2) as pool, pytest.raises(OutputError, match="ended from outside"):
        list(pool.map([1, 2, 11, 3]))
