"""A small good job with serials, in a folder of its own, and the commands run on it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jobkit import FLATBED, FOUR_SLOTS, Answer, JobBench, called, png

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

SHEET = """\
Order,Owner,Photo,Pieces
1002,Ada,ada.png,1
1001,Grace,ada.png,2
1002,Mary,ada.png,1
"""


class SerialShop(JobBench):
    """The current folder, holding the good job."""

    def __init__(self, path: Path) -> None:
        super().__init__(path, {
            "job.toml": JOB, "tag.toml": LAYOUT, "jig.toml": FOUR_SLOTS, "bed.toml": FLATBED,
            "orders.csv": SHEET, "ada.png": png(),
        })  # fmt: skip

    def call(self, *arguments: str) -> Answer:
        if arguments[0] == "serials":  # without the command above it, which loads the others
            return called(command, arguments[1:], "vardata serials")
        return super().call(*arguments)

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
        return {
            slot["record"]: code["text"]
            for slot in self.slots(out) for code in slot["codes"] if code["field"] == field
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
