"""A small valid job in a folder of its own, to be spoiled by the tests."""

from __future__ import annotations

from pathlib import Path

import pytest
from jobkit import JobBench

from vardata.job.load import load_setup
from vardata.job.model import Setup
from vardata.problems import JobError, Problem, SheetError

JOB = """\
name = "tags"
layout = "tag.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"
blank = "black"

[sheet]
file = "orders.csv"
header_row = 2

[columns]
number = { heading = "Asset no", kind = "code" }
owner = "Owner"

[records]
order = "owner"
quantity_max = 20

[blanks.black]
label = "Black tag"
match = ["black", "dark"]
surface = "dark"

[blanks.steel]
surface = "light"
white = "none"

[output]
pages = "apart"
page_order = ["Colour", "White", "Gloss"]
"""

LAYOUT = """\
name = "tag"
width = 60
height = "2.5cm"
outline = "rounded"
corner = "3mm"
bleed = 0.5
fonts.body = ["NotoSans-Regular", "NotoSerif-Regular"]

[[plates]]
name = "Colour"
role = "colour"

[[plates]]
name = "White"
role = "white"
cover = "art"
choke = 0.06

[[plates]]
name = "Gloss"
role = "gloss"
cover = "fields"

[[art]]
file = "art/logo.svg"
box = [40, 2, 16, 8]

[[fields]]
type = "text"
name = "owner"
text = "{{ owner }}"
font = "body"
size = "10pt"
min_size = "6pt"
box = [22, 14, 34, 6]
lines = 2
colour = "White"

[[fields]]
type = "code"
name = "number"
text = "{{ number }}"
symbology = "qr"
level = "Q"
box = [
    2,
    3.5,
    18,
    18,
]

[[fields]]
type = "shape"
name = "frame"
shape = "rectangle"
stroke = [0, 50, 100, 0]
box = [1, 1, 58, 23]
gloss = true
"""

JIG = """\
name = "six"
pocket = [60, 25]
blocked = ["B3"]
fill = "serpentine"

[grid]
rows = 2
columns = 3
pitch = [70, 35]
offset = [40, 20]
"""

BED = """\
name = "flatbed"
width = 400
height = "30cm"
anchor_marks = false

[modes.fine]
dpi = [720, 1440]

[modes.draft]
dpi = [720, 720]

[plate_names]
White = "Undercoat"
"""

GOOD = {"job.toml": JOB, "tag.toml": LAYOUT, "jig.toml": JIG, "bed.toml": BED}


class JobFolder(JobBench):
    """The current folder, holding a job."""

    def __init__(self, path: Path) -> None:
        super().__init__(path, GOOD)
        self.write("orders.csv", "\nAsset no,Owner\n00042,Ada\n")
        self.write("art/logo.svg", '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 1"/>')

    def change(self, name: str, *swaps: tuple[str, str]) -> None:
        """Put one text in place of another, which must be there exactly once."""
        text = (self.path / name).read_text(encoding="utf-8")
        for old, new in swaps:
            assert text.count(old) == 1, (name, old)
            text = text.replace(old, new)
        self.write(name, text)

    def load(self, sheet: str | None = None) -> Setup:
        return load_setup(Path("job.toml"), None if sheet is None else Path(sheet))

    def problems(self, sheet: str | None = None) -> tuple[Problem, ...]:
        try:
            self.load(sheet)
        except (JobError, SheetError) as error:
            return error.problems
        return ()

    def faults(self, sheet: str | None = None) -> list[str]:
        """What a person reads, one line for each fault."""
        return [str(problem) for problem in self.problems(sheet)]


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> JobFolder:
    monkeypatch.chdir(tmp_path)
    return JobFolder(tmp_path)
