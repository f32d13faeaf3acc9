"""A build that is stopped half-way leaves nothing: no run, no part of one, no stray process."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from run_kit import (
    AT,
    COMMAND,
    DONE,
    INTERRUPTED,
    OUTPUT,
    ROOT,
    build,
    copied,
    digests,
    environment,
    shortened,
)

# What a build has written when it is at work on a stage, hidden beside the wanted folder.
STAGES = {
    "fit": ".run.work-*/**/fits-*.spool",
    "beds": ".run.partial-*/beds/*.pdf",
    "orders": ".run.partial-*/slots.jsonl",  # opened when the sheets by order are begun
}
LONGER = 4  # times the example's rows
PATIENCE = 300.0  # seconds until a build that does not come so far is given up


class Started:
    """A build in a session of its own, as a terminal would run it."""

    def __init__(self, folder: Path, example: str, *options: str) -> None:
        self.folder = folder / "out"
        self.folder.mkdir(exist_ok=True)
        home = copied(example, folder / "job")
        heading, *rows = (home / "tags.csv").read_text(encoding="utf-8").splitlines(keepends=True)
        # A few seconds of work, so that a signal comes in time on a busy machine.
        (home / "tags.csv").write_text(heading + "".join(rows) * LONGER, encoding="utf-8")
        words = ["build", home / "job.toml", "--out", self.folder / "run", "--at", AT, *options]
        self.process = subprocess.Popen(
            [*COMMAND, *map(str, words)], cwd=ROOT, env=environment(), start_new_session=True,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )  # fmt: skip

    def wait_for(self, stage: str) -> None:
        """Returns when the build is at work on the stage."""
        end = time.monotonic() + PATIENCE
        while not any(self.folder.glob(STAGES[stage])):
            assert self.process.poll() is None, f"ended before {stage}: {self.said()}"
            assert time.monotonic() < end, f"the build never comes to {stage}"
            time.sleep(0.005)

    def said(self) -> tuple[int, str, str]:
        """Exit code, standard output and standard error, when it has ended."""
        out, error = self.process.communicate(timeout=PATIENCE)
        return self.process.returncode, out.decode(), error.decode()

    def workers(self) -> list[int]:
        told = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text()
        return [int(word) for word in told.split()]

    def alive(self) -> list[int]:
        """Processes of the session that still run."""
        found = []
        for stat in Path("/proc").glob("[0-9]*/stat"):
            try:
                name, _, rest = stat.read_text().rpartition(")")
            except OSError:
                continue
            state, _parent, group = rest.split()[:3]
            if int(group) == self.process.pid and state not in "ZX":
                found.append(int(name.split()[0]))
        return found

    def left(self) -> list[str]:
        return sorted(path.name for path in self.folder.iterdir())


@pytest.fixture
def started(tmp_path: Path) -> Iterator[list[Started]]:
    """Builds that a test has started; whatever still runs at its end is ended."""
    found: list[Started] = []
    yield found
    for build_ in found:
        for process in build_.alive():
            os.kill(process, signal.SIGKILL)
        build_.process.wait()


@pytest.mark.parametrize(
    ("stage", "workers"), [("fit", "2"), ("beds", "2"), ("beds", "1"), ("orders", "2")]
)
def test_ctrl_c_leaves_nothing(
    started: list[Started], tmp_path: Path, stage: str, workers: str
) -> None:
    """A terminal sends SIGINT to every process of the session's group at once."""
    build_ = Started(tmp_path, "tags", "--workers", workers)
    started.append(build_)
    build_.wait_for(stage)
    os.killpg(build_.process.pid, signal.SIGINT)
    assert build_.said() == (INTERRUPTED, "", "interrupted; nothing was left behind\n")
    assert build_.left() == []
    assert build_.alive() == []


def test_ctrl_c_twice_does_not_cut_the_tidying_up_short(
    started: list[Started], tmp_path: Path
) -> None:
    build_ = Started(tmp_path, "tags", "--workers", "2")
    started.append(build_)
    build_.wait_for("beds")
    for _ in range(3):
        os.killpg(build_.process.pid, signal.SIGINT)
    assert build_.said()[0] in (INTERRUPTED, -signal.SIGINT)
    assert build_.left() == []
    assert build_.alive() == []


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_build_told_to_end_leaves_nothing(
    started: list[Started], tmp_path: Path, number: signal.Signals
) -> None:
    """By another program, or because its terminal is closed. 128 + the signal, as shells say."""
    build_ = Started(tmp_path, "tags", "--workers", "2")
    started.append(build_)
    build_.wait_for("beds")
    build_.process.send_signal(number)
    assert build_.said() == (128 + number, "", "stopped; nothing was left behind\n")
    assert build_.left() == []
    assert build_.alive() == []


def test_ctrl_c_while_a_run_is_replaced_keeps_the_old_one(
    started: list[Started], tmp_path: Path
) -> None:
    (tmp_path / "old").mkdir()
    old = build(shortened(copied("tags", tmp_path / "old" / "job"), 100), tmp_path / "old" / "run")
    assert old.code == DONE, old.stderr
    before = digests(old.out)
    (tmp_path / "out").mkdir()
    old.out.rename(tmp_path / "out" / "run")
    build_ = Started(tmp_path, "tags", "--replace")
    started.append(build_)
    build_.wait_for("beds")
    os.killpg(build_.process.pid, signal.SIGINT)
    assert build_.said()[0] == INTERRUPTED
    assert build_.left() == ["run"] and digests(build_.folder / "run") == before


def test_a_worker_killed_from_outside_is_one_clear_line(
    started: list[Started], tmp_path: Path
) -> None:
    """The kernel ends a process so when memory runs out."""
    build_ = Started(tmp_path, "tags", "--workers", "2")
    started.append(build_)
    build_.wait_for("beds")
    workers = build_.workers()
    assert len(workers) == 2
    os.kill(workers[0], signal.SIGKILL)
    line = (
        "a worker process was ended from outside (most often: out of memory); free memory, or "
        "build with --workers 1\n"
    )
    assert build_.said() == (OUTPUT, "", line)
    assert build_.left() == []
    assert build_.alive() == []


def test_workers_end_when_their_parent_is_killed(started: list[Started], tmp_path: Path) -> None:
    """Nobody can tidy up then, but no process stays, no run stands, and nobody complains."""
    build_ = Started(tmp_path, "tags", "--workers", "3")
    started.append(build_)
    build_.wait_for("beds")
    assert len(build_.workers()) == 3
    build_.process.kill()
    assert build_.said() == (-signal.SIGKILL, "", "")
    end = time.monotonic() + PATIENCE
    while build_.alive():
        assert time.monotonic() < end, "workers without a parent run on"
        time.sleep(0.02)
    assert "run" not in build_.left()
