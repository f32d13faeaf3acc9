"""A small good job with serials, in a folder of its own, and the commands run on it."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import NamedTuple

import pytest
from click.testing import CliRunner
from PIL import Image

from vardata.cli.main import main
from vardata.cli.serials import command

JOB = """\
name = "tags"
layout = "tag.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"
blank = "clear"

[blanks.clear]
surface = "light"

[sheet]
file = "orders.csv"

[records]
order = "Order"
quantity = "Pieces"

[serials.tag]
text = "FHL-{{ year }}-{{ number }}{{ check }}"
digits = 4
check = "luhn"
"""

LAYOUT = """\
name = "tag"
width = 60
height = 25

[[plates]]
name = "Colour"
role = "colour"

[[fields]]
type = "text"
name = "owner"
text = "{{ owner }}: {{ tag }}"
font = "NotoSans-Regular"
size = "6pt"
min_size = "6pt"
box = [22, 10, 36, 4]

[[fields]]
type = "code"
name = "code"
text = "{{ tag }}"
symbology = "qr"
box = [2, 3.5, 18, 18]

[[fields]]
type = "picture"
name = "photo"
file = "{{ photo }}"
box = [24, 2, 6, 6]
"""

JIG = """\
name = "four"
pocket = [60, 25]

[grid]
rows = 2
columns = 2
pitch = [70, 35]
offset = [40, 20]
"""

BED = """\
name = "flatbed"
width = 150
height = 100

[modes.fine]
dpi = [720, 720]
"""

SHEET = """\
Order,Owner,Photo,Pieces
1002,Ada,ada.png,1
1001,Grace,ada.png,2
1002,Mary,ada.png,1
"""


def png(red: int) -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (80, 80), (red, 60, 20)).save(file, "PNG")
    return file.getvalue()


class Answer(NamedTuple):
    code: int
    out: str
    err: str


class SerialShop:
    """The current folder, holding the good job."""

    def __init__(self, path: Path) -> None:
        self.path = path
        files = {"job.toml": JOB, "tag.toml": LAYOUT, "jig.toml": JIG, "bed.toml": BED,
                 "orders.csv": SHEET}  # fmt: skip
        for name, text in files.items():
            self.write(name, text)
        (path / "ada.png").write_bytes(png(180))

    def write(self, name: str, text: str) -> None:
        (self.path / name).write_text(text, encoding="utf-8", newline="")

    def swap(self, name: str, old: str, new: str) -> None:
        text = (self.path / name).read_text(encoding="utf-8")
        assert text.count(old) == 1, (name, old)
        self.write(name, text.replace(old, new))

    def call(self, *arguments: str) -> Answer:
        serials = arguments[0] == "serials"
        called, name = (command, "vardata serials") if serials else (main, "vardata")
        result = CliRunner().invoke(called, list(arguments[serials:]), prog_name=name)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Answer(result.exit_code, result.stdout, result.stderr)

    def build(self, out: str = "run", *more: str) -> str:
        """Builds (held records or not) and gives the run id."""
        answer = self.call("build", "job.toml", "--out", out, "--workers", "1",
                           "--at", "2026-10-31", *more)  # fmt: skip
        assert answer.code in (0, 3), answer
        run_id = json.loads((self.path / out / "run.json").read_text("utf-8"))["run_id"]
        assert isinstance(run_id, str)
        return run_id

    def serials(self, *arguments: str) -> Answer:
        return self.call("serials", "job.toml", *arguments)

    def codes(self, out: str = "run", field: str = "code") -> dict[str, str]:
        """What each record's code says, by the run's own record of its slots."""
        lines = (self.path / out / "slots.jsonl").read_text("utf-8").splitlines()
        return {
            slot["record"]: code["text"]
            for slot in map(json.loads, lines) for code in slot["codes"] if code["field"] == field
        }  # fmt: skip

    def files(self) -> dict[str, bytes]:
        return {
            path.relative_to(self.path).as_posix(): path.read_bytes()
            for path in sorted(self.path.rglob("*")) if path.is_file()
        }  # fmt: skip


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> SerialShop:
    folder = tmp_path / "shop"
    folder.mkdir()
    monkeypatch.chdir(folder)
    return SerialShop(folder)
