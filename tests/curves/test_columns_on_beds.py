"""Text in columns on a finished bed: ink inside each field's box by PDFium at 600 dpi,
mirrored too, read back and proofed; scripts that join are held."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

LAYOUT = """\
name = "bookmark"
width = 40
height = 80

[[plates]]
name = "Colour"
role = "colour"

[[plates]]
name = "White"
role = "white"
cover = "none"

[[fields]]
type = "text"
name = "left"
text = "{{ name }}"
font = "NotoSans-Bold"
box = [3, 4, 14, 70]
size = "22pt"
min_size = "5pt"
lines = 2
direction = "down"

[[fields]]
type = "text"
name = "right"
text = "{{ name }}"
font = "NotoSerif-Regular"
box = [23, 4, 14, 70]
size = "22pt"
min_size = "5pt"
direction = "down"
mirror = true
valign = "top"
"""
NAMES = [
    "Ottilie Brandvold", "\u03a8\u03b1\u03c1\u03ac\u03c2 \u039b.",
    "\u042f\u0440\u043e\u0441\u043b\u0430\u0432\u0430 \u0412.", "Ng\u1ecdc \u00c1nh",
    "\u05e9\u05dc\u05d5\u05dd", "\u0645\u062d\u0645\u062f",
]  # fmt: skip
DPI = 600


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("bookmarks")
    files = {
        "layout.toml": LAYOUT,
        "jig.toml": 'name = "j"\n[grid]\nrows = 1\ncolumns = 5\npitch = [45, 85]\n'
                    'offset = [25, 45]\n',
        "bed.toml": 'name = "b"\nwidth = 230\nheight = 90\nmodes.fine.dpi = [600, 600]\n',
        "job.toml": 'name = "marks"\nlayout = "layout.toml"\njig = "jig.toml"\nbed = "bed.toml"\n'
                    'print_mode = "fine"\nsheet.file = "r.csv"\n',
        "r.csv": "\n".join(["name", *NAMES]) + "\n",
    }  # fmt: skip
    for name, text in files.items():
        (home / name).write_text(text, encoding="utf-8")
    for words, code in (  # the Arabic name is held
        (["build", "job.toml", "-q", "--readback", "--out", "run"], 3),
        (["proof", "job.toml", "-q", "--out", "proof.pdf"], 0),
    ):
        done = subprocess.run([sys.executable, "-m", "vardata.cli.main", *words], cwd=home,
                              capture_output=True, text=True, check=False)  # fmt: skip
        assert done.returncode == code, done.stderr
    return home


def test_ink_lies_in_the_boxes(run: Path) -> None:
    lines = [json.loads(line) for line in
             (run / "run" / "slots.jsonl").read_text(encoding="utf-8").splitlines()]  # fmt: skip
    assert len(lines) == 5
    (bed,) = (run / "run" / "beds").iterdir()
    with pypdfium2.PdfDocument(bed) as document:
        page = document[0].render(scale=DPI / 72, grayscale=True).to_pil()
    dark = np.asarray(page) < 128
    mm = DPI / 25.4
    dot = 1  # a pixel on either side
    for line in lines:
        x, y, w, h = line["box_mm"]
        item = dark[round((90 - y - h) * mm) : round((90 - y) * mm),
                    round(x * mm) : round((x + w) * mm)]  # fmt: skip
        for left, right in ((3, 17), (23, 37)):
            box = np.zeros_like(item)
            box[round(6 * mm) - dot : round(76 * mm) + dot,
                round(left * mm) - dot : round(right * mm) + dot] = True  # fmt: skip
            middle = slice(round((left - 2) * mm), round((right + 2) * mm))
            assert item[:, middle].any()
            assert not (item & ~box)[:, middle].any(), line["record"]
        rows = np.nonzero(item[:, round(23 * mm) :].any(axis=1))[0]
        assert rows.min() == pytest.approx(6 * mm, abs=2)  # valign = "top"
        columns, rows = np.nonzero(item)[1], np.nonzero(item)[0]
        assert np.ptp(rows) > 1.5 * (columns[columns < 18 * mm].max() - columns.min())


def test_the_name_that_joins_is_held_with_its_reason(run: Path) -> None:
    with (run / "run" / "held.csv").open(encoding="utf-8-sig", newline="") as file:
        (row,) = list(csv.DictReader(file))
    assert row["name"] == NAMES[-1]
    told = " ".join(row.values())
    assert "letters of Arabic cannot stand one under the other" in told


def test_the_proof_shows_columns(run: Path) -> None:
    with pypdfium2.PdfDocument(run / "proof.pdf") as document:
        assert len(document) >= 1
        text = document[0].get_textpage().get_text_range()
    assert "Ottilie Brandvold" in text or "longest text" in text
