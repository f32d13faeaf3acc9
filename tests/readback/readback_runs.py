"""Small runs for read-back, and how a test looks at what it found."""

from __future__ import annotations

import hashlib
import json
import shutil
from pathlib import Path
from typing import Any

from vardata.job.load import load_setup
from vardata.merge import build
from vardata.readback.run import ReadbackReport, read_back

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
# A job on one black blank; its layout, jig and sheet are the test's own.
ON_BLACK = """
name = "%s"
layout = "layout.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"
blank = "black"
[sheet]
file = "sheet.csv"
[blanks.black]
surface = "dark"
"""


def build_job(job: Path) -> Path:
    """Builds ``job/job.toml`` beside it and gives the run's folder."""
    run = job.parent / "run"
    build(load_setup(job / "job.toml", None), run, workers=1)
    return run


def copied(run: Path, to: Path) -> Path:
    """A copy to be spoiled."""
    shutil.copytree(run, to / "spoiled")
    return to / "spoiled"


def bed_file(run: Path, bed: int = 1) -> Path:
    return sorted((run / "beds").iterdir())[bed - 1]


def reseal(run: Path) -> None:
    """Writes the files' hashes anew, so that only what they show can give a sabotage away."""
    facts = json.loads((run / "run.json").read_text(encoding="utf-8"))
    for entry in facts["files"]:
        data = (run / entry["file"]).read_bytes()
        entry["sha256"] = hashlib.sha256(data).hexdigest()
    (run / "run.json").write_text(json.dumps(facts), encoding="utf-8")


def read(run: Path, **options: Any) -> ReadbackReport:
    return read_back(run, out=run.parent / "found", workers=1, replace=True, **options)


def found(report: ReadbackReport) -> set[tuple[str, str, str]]:
    """(slot, field, kind) of every failure."""
    return {(p.where.slot, p.where.field, p.kind) for p in report.problems}


def lines(report: ReadbackReport) -> list[dict[str, Any]]:
    text = (report.folder / "readback.jsonl").read_text(encoding="utf-8")
    return [json.loads(line) for line in text.splitlines()]


JOB = """\
name = "codes"
layout = "layout.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"

[sheet]
file = "rows.csv"

[columns]
n = { heading = "No", kind = "code" }
kind = "Blank"

[records]
blank = "Blank"

[blanks.dark]
surface = "dark"
substrate = "#101010"

[blanks.pale]
surface = "light"
substrate = "#f4efe2"
white = "none"

[output]
pages = "apart"
beds_per_file = 2
"""

BED = """\
name = "bed"
width = 300
height = 260

[modes.fine]
dpi = [600, 900]
"""

JIG = """\
name = "jig"
pocket = [80, 80]

[[slots]]
name = "north"
x = 60
y = 60
rotation = 0

[[slots]]
name = "west"
x = 180
y = 60
rotation = 90

[[slots]]
name = "south"
x = 60
y = 180
rotation = 180

[[slots]]
name = "east"
x = 180
y = 180
rotation = 270
"""

LAYOUT = """\
name = "codes"
width = 78
height = 78

[[plates]]
name = "Colour"
role = "colour"

[[plates]]
name = "White"
role = "white"
cover = "art"

[[plates]]
name = "Gloss"
role = "gloss"
cover = "fields"

[[fields]]
type = "text"
name = "title"
text = "No {{ n }}"
font = "NotoSans-Bold"
box = [2, 70, 30, 6]
size = "12pt"
rotation = 5

[[fields]]
type = "code"
name = "qr"
text = "Größe {{ n }} – 漢"
symbology = "qr"
level = "Q"
box = [2, 40, 26, 26]
rotation = 90

[[fields]]
type = "code"
name = "c128"
text = "A\\t{{ n }}"
symbology = "code128"
box = [34, 62, 42, 12]

[[fields]]
type = "code"
name = "c39"
text = "A-{{ n }}"
symbology = "code39"
check_digit = true
box = [30, 48, 47, 12]

[[fields]]
type = "code"
name = "itf"
text = "00{{ n }}"
symbology = "itf"
box = [30, 34, 46, 12]
rotation = 180

[[fields]]
type = "code"
name = "ean"
text = "4006381333931"
symbology = "ean13"
text_line = true
box = [2, 2, 36, 20]

[[fields]]
type = "code"
name = "upc"
text = "036000291452"
symbology = "upca"
box = [40, 2, 36, 20]
"""


def write_codes_job(folder: Path) -> Path:
    job = folder / "job"
    job.mkdir()
    for name, text in (("job", JOB), ("bed", BED), ("jig", JIG), ("layout", LAYOUT)):
        (job / f"{name}.toml").write_text(text, encoding="utf-8")
    rows = [f"{1100 + i},{'dark' if i % 2 else 'pale'}\n" for i in range(10)]
    (job / "rows.csv").write_text("No,Blank\n" + "".join(rows), encoding="utf-8")
    return job
