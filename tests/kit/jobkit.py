"""What whole-job tests share: a folder that holds a job, calls of the command in it, what it
answers; a jig, a bed and a picture for jobs that do not mind which."""

from __future__ import annotations

import contextlib
import csv
import io
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from click.testing import CliRunner
from PIL import Image

from vardata.cli.main import main

FOUR_SLOTS = """\
name = "four"
pocket = [60, 25]

[grid]
rows = 2
columns = 2
pitch = [70, 35]
offset = [40, 20]
"""

FLATBED = """\
name = "flatbed"
width = 150
height = 100

[modes.fine]
dpi = [720, 720]
"""

# A job of guests and the head of its tags, to be completed by a test's own tables.
GUESTS = """\
name = "guests"
layout = "layout.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"
%s
[sheet]
file = "guests.csv"

[columns]
guest = "Guest"
"""

TAG = """\
name = "tag"
width = 60
height = 25

[[plates]]
name = "Colour"
role = "colour"
"""

WHITE_UNDER = """
[[plates]]
name = "White"
role = "white"
"""


def png(red: int = 180, width: int = 80, height: int = 80) -> bytes:
    """A whole PNG of one colour."""
    file = io.BytesIO()
    Image.new("RGB", (width, height), (red, 60, 20)).save(file, "PNG")
    return file.getvalue()


class Answer(NamedTuple):
    """What a call of the command left for the shell and for a person."""

    code: int
    out: str
    err: str

    @property
    def lines(self) -> list[str]:
        return self.err.splitlines()


def called(command: Any, arguments: tuple[str, ...], name: str = "vardata") -> Answer:
    """A command in this process."""
    result = CliRunner().invoke(command, list(arguments), prog_name=name)
    # A test must see an exception that escaped, not only its exit code 1.
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return Answer(result.exit_code, result.stdout, result.stderr)


class JobBench:
    """A folder that holds a job until a test spoils it; calls are made from within it."""

    def __init__(self, path: Path, files: Mapping[str, str | bytes] | None = None) -> None:
        self.path = path
        for name, text in (files or {}).items():
            self.write(name, text)

    def write(self, name: str, text: str | bytes) -> None:
        path = self.path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())

    def swap(self, name: str, old: str, new: str) -> None:
        """Put one text in place of another, which must be there exactly once."""
        text = (self.path / name).read_text(encoding="utf-8")
        assert text.count(old) == 1, (name, old)
        self.write(name, text.replace(old, new))

    def call(self, *arguments: str) -> Answer:
        with contextlib.chdir(self.path):
            return called(main, arguments)

    def slots(self, out: str = "run") -> list[dict[str, Any]]:
        """The run's own record of its slots."""
        lines = (self.path / out / "slots.jsonl").read_text("utf-8").splitlines()
        return [json.loads(line) for line in lines]

    def table(self, name: str, out: str = "run") -> list[dict[str, str]]:
        """A table of a run, as the standard library's csv module reads it."""
        text = (self.path / out / name).read_text("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text)))
