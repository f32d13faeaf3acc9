"""The shipped mixed job, copied into a folder of its own, and the command run on it."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

import pytest
from jobkit import Answer, JobBench

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "mixed"


class Shop(JobBench):
    """The current folder with the mixed job in it."""

    def build(self, out: str = "run", *more: str, code: int = 3) -> Answer:
        done = self.call("build", "job.toml", "--out", out, "--at", "2026-07-01", *more)
        assert done.code == code, done
        return done

    def sheet(self) -> list[dict[str, str]]:
        """The order sheet, as the standard library's csv module reads it."""
        with (self.path / "orders.csv").open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))

    def faults(self) -> list[str]:
        return self.call("check", "job.toml", "--quiet").err.splitlines()


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    folder = tmp_path / "mixed"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("ledger*"))
    monkeypatch.chdir(folder)
    return Shop(folder)
