"""A small job of badges in a folder of its own, calls of the command, and looks at its proofs."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
from jobkit import Answer, JobBench

LAYOUT = """\
name = "badge"
width = 60
height = 30
safe = 3

[[fields]]
type = "text"
name = "reader"
text = "{{ reader }}"
font = "NotoSerif-Regular"
box = [5, 12, 50, 14]
size = "20pt"
min_size = "6pt"
squeeze = 70
colour = "black"

[[fields]]
type = "text"
name = "branch"
text = "{{ branch }}"
font = "NotoSans-Regular"
box = [5, 3, 50, 6]
size = "9pt"
optional = true
"""
JIG = 'name = "jig"\n[grid]\nrows = 3\ncolumns = 3\npitch = [65, 35]\noffset = [40, 30]\n'
BED = 'name = "bench"\nwidth = 300\nheight = 220\nmodes.fine.dpi = [720, 720]\n'
JOB = """\
name = "badges"
layout = "layout.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"
blank = "card"
sheet.file = "readers.csv"
[records]
order = "Order"
[columns]
reader = "Reader"
branch = "Branch"
shelf = "Shelf"
[blanks.card]
surface = "light"
substrate = "#3060c0"
"""
ROWS = [
    ("F1", "Ada King", "Fernhollow", "1"),
    ("F1", "Bo Li", "Fernhollow", "2"),
    ("F2", "Wilhelmina Featherstonehaugh-Millbrook", "Millbrook", "3"),
    ("F2", "Jo", "", "4"),
    ("F3", "דוד לוי", "Fernhollow", "5"),
    ("F3", "Eve May", "Fernhollow", "6"),
]
KEYS = [f"readers!{row}#1" for row in range(2, 8)]
DPI = 150


class Desk(JobBench):
    """The current folder with the job in it."""

    def __init__(self, home: Path) -> None:
        super().__init__(
            home, {"layout.toml": LAYOUT, "jig.toml": JIG, "bed.toml": BED, "job.toml": JOB}
        )
        self.home = home
        self.rows(ROWS)

    def rows(self, rows: list[tuple[str, str, str, str]]) -> None:
        lines = ["Order,Reader,Branch,Shelf", *(",".join(row) for row in rows)]
        (self.home / "readers.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")

    def call(self, *words: str) -> Answer:
        return super().call(words[0], "job.toml", *words[1:])

    def good(self, *words: str) -> str:
        done = self.call(*words)
        assert done.code == 0, done.err
        return done.out

    def proof(self, name: str, *more: str) -> Path:
        self.good("proof", "--out", name, "--at", "2026-10-31", *more)
        return self.home / name

    def held(self, out: str) -> list[str]:
        done = self.call("build", "--quiet", "--out", out)
        assert done.code in (0, 3), done.err
        path = self.home / out / "held.csv"
        return path.read_text(encoding="utf-8-sig").splitlines()[1:] if path.exists() else []


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    monkeypatch.chdir(tmp_path)
    return Desk(tmp_path)


def text(path: Path) -> str:
    done = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True)
    return done.stdout.decode()


def picture(path: Path, page: int = 0) -> Any:
    return np.asarray(pypdfium2.PdfDocument(path)[page].render(scale=DPI / 72).to_pil())


def near(image: Any, colour: tuple[int, int, int], by: int = 40) -> Any:
    return (abs(image.astype(int) - colour) <= by).all(axis=2)
