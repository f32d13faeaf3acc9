"""Whole runs: the command is called on copies of the shipped examples, as a user would.

Expensive runs are made once a session and shared by all test processes. Nothing of the
program under test is imported here: it is called as a command, and its files are read.
"""

from __future__ import annotations

import fcntl
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
AT = "2026-10-31"
COMMAND = (sys.executable, "-m", "vardata.cli.main")
DONE, HELD, OUTPUT, INTERRUPTED = 0, 3, 6, 130  # exit codes, as the README lists them


class Run(NamedTuple):
    """A called build: the copy of the example, the run's folder, what the command said."""

    home: Path
    out: Path
    code: int
    stdout: str
    stderr: str

    @property
    def slots(self) -> list[dict[str, Any]]:
        return json_lines(self.out / "slots.jsonl")

    def toml(self, key: str) -> dict[str, Any]:
        """The job's file ("job"), or one that it names ("layout", "jig", "bed")."""
        job = read_toml(self.home / "job.toml")
        return job if key == "job" else read_toml(self.home / job[key])

    def bed_file(self, bed: int) -> Path:
        """The file of a bed, as ``slots.jsonl`` names it."""
        return self.out / "beds" / next(s["file"] for s in self.slots if s["bed"] == bed)

    def on_bed(self, bed: int) -> list[dict[str, Any]]:
        return [slot for slot in self.slots if slot["bed"] == bed]

    @property
    def beds(self) -> list[int]:
        return sorted({slot["bed"] for slot in self.slots})


@lru_cache(maxsize=4)
def json_lines(path: Path) -> list[dict[str, Any]]:
    with path.open(encoding="utf-8") as file:
        return [json.loads(line) for line in file]


@lru_cache(maxsize=64)
def read_toml(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def copied(example: str, home: Path) -> Path:
    """A copy of an example, without a ledger that remembers earlier runs."""
    ignore = shutil.ignore_patterns("ledger.sqlite*")
    return Path(shutil.copytree(ROOT / "examples" / example, home, ignore=ignore))


def shortened(home: Path, rows: int) -> Path:
    """Leaves the first rows of a CSV order sheet, where a small run will do."""
    path = home / read_toml(home / "job.toml")["sheet"]["file"]
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    assert len(lines) > rows + 1
    path.write_text("".join(lines[: rows + 1]), encoding="utf-8")
    return home


def environment(**changed: str) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT), **changed}


def call(*words: str | Path, cwd: Path | None = None, **changed: str) -> tuple[int, str, str]:
    """Runs the command; ``changed`` are environment variables."""
    done = subprocess.run(
        [*COMMAND, *map(str, words)], cwd=cwd or ROOT, env=environment(**changed),
        capture_output=True, check=False, timeout=600,
    )  # fmt: skip
    return done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8")


def build(home: Path, out: Path, *options: str, **changed: str) -> Run:
    """``vardata build`` of an example's copy."""
    words = ("build", home / "job.toml", "--out", out, *options)
    return Run(home, out, *call(*words, **changed))


def digests(folder: Path) -> dict[str, str]:
    """The sha256 of every file below a folder, by its name there."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in files
    }


class Shared:
    """Things made once a session, whatever the number of test processes."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir(exist_ok=True)

    def make(self, name: str, maker: Callable[[Path], Mapping[str, Any]]) -> dict[str, Any]:
        """What ``maker`` gave for its folder; the first process to ask makes it."""
        place = self._folder / name
        facts = place / "facts.json"
        with (self._folder / f"{name}.lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not facts.exists():
                shutil.rmtree(place, ignore_errors=True)
                place.mkdir()
                facts.write_text(json.dumps(maker(place), default=str), encoding="utf-8")
        found: dict[str, Any] = json.loads(facts.read_text(encoding="utf-8"))
        return found

    def run(self, name: str, maker: Callable[[Path], Run]) -> Run:
        found = self.make(name, lambda place: maker(place)._asdict())
        return Run(
            Path(found["home"]), Path(found["out"]), found["code"], found["stdout"],
            found["stderr"],
        )  # fmt: skip


def judge(*command: str | Path, quiet: bool = True) -> str:
    """Runs a foreign program; fails if it is missing, fails or complains."""
    done = subprocess.run(list(map(str, command)), capture_output=True, check=False, timeout=600)
    said = "\n".join(
        line
        for line in done.stderr.decode("utf-8", "replace").splitlines()
        # Some builds of mutool say so on every call; it tells nothing about the file.
        if line.strip() and "ICC support is not available" not in line
    )
    assert done.returncode == 0, f"{command[0]} ended with {done.returncode}: {said}"
    assert not (quiet and said), f"{command[0]} complains: {said}"
    return done.stdout.decode("utf-8", "replace")
