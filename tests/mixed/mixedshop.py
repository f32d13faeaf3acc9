"""The shipped mixed job, copied into a folder of its own, and the command run on it."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from click.testing import CliRunner

from vardata.cli.main import main

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "mixed"


class Answer(NamedTuple):
    code: int
    out: str
    err: str


class Shop:
    """The current folder with the mixed job in it."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def swap(self, name: str, old: str, new: str) -> None:
        path = self.path / name
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, (name, old)
        path.write_text(text.replace(old, new), encoding="utf-8")

    def call(self, *arguments: str) -> Answer:
        result = CliRunner().invoke(main, list(arguments), prog_name="vardata")
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Answer(result.exit_code, result.stdout, result.stderr)

    def build(self, out: str = "run", *more: str, code: int = 3) -> Answer:
        done = self.call("build", "job.toml", "--out", out, "--at", "2026-07-01", *more)
        assert done.code == code, done
        return done

    def slots(self, out: str = "run") -> list[dict[str, Any]]:
        lines = (self.path / out / "slots.jsonl").read_text("utf-8").splitlines()
        return [json.loads(line) for line in lines]

    def table(self, name: str, out: str = "run") -> list[dict[str, str]]:
        text = (self.path / out / name).read_text("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text)))

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
