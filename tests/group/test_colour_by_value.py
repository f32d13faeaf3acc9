"""Texts painted by a value of their record: plates of a finished bed, as Ghostscript separates
them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

LAYOUT = """\
name = "tag"
width = 30
height = 15

[[plates]]
name = "Colour"
role = "colour"

[[plates]]
name = "White"
role = "white"
cover = "art"
choke = 0.05

[[fields]]
type = "text"
name = "reader"
text = "{{ reader }}"
font = "NotoSans-Bold"
box = [2, 2, 26, 11]
size = "16pt"
colour = "black"
KEYS
"""
KEYS = """\
colour_by = "{{ team }}"
colours = { Red = [0, 100, 100, 0], "Deep Blue" = [100, 0, 0, 0] }
"""
ROWS = "reader,team\nAda,Red\nBo,deep  blue\nEve,\n"
DPI = 300


def job(home: Path, rows: str = ROWS, keys: str = KEYS) -> subprocess.CompletedProcess[str]:
    slots = "".join(
        f'[[slots]]\nname = "A{n}"\nx = {20 + 35 * (n - 1)}\ny = 20\n' for n in (1, 2, 3)
    )
    files = {
        "layout.toml": LAYOUT.replace("KEYS", keys),
        "jig.toml": f'name = "j"\n{slots}',
        "bed.toml": 'name = "b"\nwidth = 110\nheight = 40\nmodes.fine.dpi = [600, 600]\n',
        "job.toml": 'name = "t"\nlayout = "layout.toml"\njig = "jig.toml"\nbed = "bed.toml"\n'
                    'print_mode = "fine"\nsheet.file = "r.csv"\n',
        "r.csv": rows,
    }  # fmt: skip
    for name, text in files.items():
        (home / name).write_text(text, encoding="utf-8")
    command = [sys.executable, "-m", "vardata.cli.main", "build", "job.toml", "-q", "--out", "run"]
    return subprocess.run(command, cwd=home, capture_output=True, text=True, check=False)


def inked(home: Path) -> list[set[str]]:
    """The inks in each slot, from left to right."""
    (bed,) = (home / "run" / "beds").iterdir()
    subprocess.run(
        ["gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", f"-r{DPI}",
         f"-sOutputFile={home}/p.tif", str(bed)], check=True, capture_output=True,
    )  # fmt: skip
    found: list[set[str]] = [set(), set(), set()]
    for ink in ("Cyan", "Magenta", "Yellow", "Black", "White"):
        with Image.open(home / f"p({ink}).tif") as plate:
            dark = np.asarray(plate) < 128
        for slot in range(3):
            left = round((5 + 35 * slot) / 25.4 * DPI)
            if dark[:, left : left + round(30 / 25.4 * DPI)].any():
                found[slot].add(ink)
    return found


def test_each_text_has_the_colour_of_its_value_and_white_below(tmp_path: Path) -> None:
    done = job(tmp_path)
    assert done.returncode == 0, done.stderr
    assert inked(tmp_path) == [
        {"Magenta", "Yellow", "White"}, {"Cyan", "White"}, {"Black", "White"},
    ]  # fmt: skip


def test_a_value_without_a_colour_is_held(tmp_path: Path) -> None:
    assert job(tmp_path, ROWS + "Jo,Mauve\n").returncode == 3
    held = (tmp_path / "run" / "held.csv").read_text(encoding="utf-8-sig").splitlines()[1]
    assert held == (
        '"Jo","Mauve","5","field \'reader\'","there is no colour for \'Mauve\'",'
        '"mend the value, or add it to colours: Red, Deep Blue",""'
    )


@pytest.mark.parametrize(
    ("keys", "line"),
    [
        ('colour_by = "{{ team }}"\n',
         "layout.toml:23, fields[0].colour_by, field 'reader': colour_by is of no use without "
         "colours; write colours too, or take it away"),
        ('colour_by = "{{ team }}"\ncolours = { Red = "White" }\n',
         "layout.toml, fields.reader.colours.Red: a colour that a record chooses is of process "
         "inks, and so is the field's own; write it as a name such as blue, as #rrggbb or as "
         "[c, m, y, k]"),
    ],
)  # fmt: skip
def test_a_table_that_cannot_serve_is_refused(tmp_path: Path, keys: str, line: str) -> None:
    done = job(tmp_path, keys=keys)
    assert done.returncode == 4
    assert done.stderr.strip() == line
