"""A small job whose rows are told apart by order and line, and the command run on it."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from jobkit import Answer, JobBench

JOB = """\
name = "readers"
layout = "card.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"
blank = "white"

[sheet]
file = "week-1.csv"

[columns]
reader = "Reader"

[records]
order = "Order"
line = "Line"
quantity = "Pieces"

[blanks.white]
label = "white card"
surface = "light"
"""

CARD = """\
name = "card"
width = 40
height = 12

[[plates]]
name = "Colour"
role = "colour"

[[fields]]
type = "text"
name = "reader"
text = "{{ reader }}"
font = "NotoSans-Regular"
size = "9pt"
min_size = "8pt"
box = [1, 2, 38, 8]
"""

NUMBER = """
[[fields]]
type = "text"
name = "number"
text = "{{ card }}"
font = "NotoSans-Regular"
size = "4pt"
min_size = "4pt"
box = [1, 0.2, 38, 1.8]
"""

SERIAL = """
[serials.card]
text = "FH-{{ number }}"
digits = 4
"""

JIG = """\
name = "four"

[grid]
rows = 2
columns = 2
pitch = [45, 20]
offset = [30, 20]
"""

BED = """\
name = "flatbed"
width = 120
height = 60

[modes.fine]
dpi = [720, 720]
"""

HEADING = "Order,Line,Reader,Pieces,Note\n"
TOO_LONG = "Bartholomew Featherstonehaugh-Cholmondeley of Fernhollow"


class Shop(JobBench):
    """The current folder, holding the job and its order sheets."""

    def __init__(self, path: Path) -> None:
        super().__init__(path, {
            "job.toml": JOB, "card.toml": CARD, "jig.toml": JIG, "bed.toml": BED,
        })  # fmt: skip

    def sheet(self, name: str, *rows: str) -> str:
        text = HEADING + "".join(f"{row}\n" for row in rows)
        (self.path / name).write_text(text, encoding="utf-8")
        return name

    def append(self, name: str, text: str) -> None:
        path = self.path / name
        path.write_text(path.read_text("utf-8") + text, encoding="utf-8")

    def build(self, sheet: str, out: str, *more: str, code: int = 0) -> Answer:
        done = self.call(
            "build", "job.toml", "--sheet", sheet, "--out", out, "--workers", "1", *more
        )
        assert done.code == code, done
        return done

    def check(self, sheet: str, *more: str) -> Answer:
        return self.call("check", "job.toml", "--sheet", sheet, "--workers", "1", *more)

    def printed(self, out: str) -> list[tuple[str, str, str]]:
        """Record, slot and text of each slot of a run."""
        lines = (self.path / out / "slots.jsonl").read_text("utf-8").splitlines()
        found = [json.loads(line) for line in lines]
        return [(one["record"], one["slot"], one["texts"][0]["text"]) for one in found]

    def run_id(self, out: str) -> str:
        return str(json.loads((self.path / out / "run.json").read_text("utf-8"))["run_id"])

    def table(self, out: str, name: str) -> list[dict[str, str]]:
        """A table of a run, as the standard library's csv module reads it."""
        text = (self.path / out / name).read_text("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text)))


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.chdir(tmp_path)
    return Shop(tmp_path)
