"""QR codes with a window for a logo: built, read back, and refused where too much is gone."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image
from readback_runs import ON_BLACK, build_job, found, lines, read

from vardata.fit.codes.window import window_of

JOB = ON_BLACK % "badges"
LAYOUT = """
name = "badge"
width = 40
height = 40
[[fields]]
type = "code"
name = "code"
text = "{{ text }}"
symbology = "qr"
level = "H"
window = %d
box = [2, 2, 36, 36]
module = 0.5
[[fields]]
type = "picture"
name = "logo"
file = "logo.png"
box = [18.5, 18.5, 3, 3]
"""
JIG = 'name = "one"\n[[slots]]\nname = "s"\nx = 50\ny = 50\n'
BED = 'name = "small"\nwidth = 100\nheight = 100\n[modes.fine]\ndpi = [720, 720]\n'


LINK = "https://badges.fernhollow.example/7"


def badge(tmp_path: Path, window: int, layout: str = LAYOUT, text: str = LINK) -> Path:
    job = tmp_path / "job"
    job.mkdir()
    (job / "sheet.csv").write_text(f"text\n{text}\n", encoding="utf-8")
    for name, content in (("job", JOB), ("layout", layout % window), ("jig", JIG), ("bed", BED)):
        (job / f"{name}.toml").write_text(content, encoding="utf-8")
    Image.new("RGB", (60, 60), (200, 30, 30)).save(job / "logo.png")
    return build_job(job)


def test_a_logo_in_its_window_reads(tmp_path: Path) -> None:
    run = badge(tmp_path, 20)
    assert (run / "readback.jsonl").is_file()  # without being asked
    report = read(run)
    assert found(report) == set()
    (line,) = lines(report)
    assert line["codes"][0]["read"] == LINK
    assert 0.25 <= line["codes"][0]["unused_correction"] < 1.0


def test_a_window_that_is_too_large_fails(tmp_path: Path) -> None:
    # Version 1-H mends 8 of 26 codewords; 7 by 7 modules of 21 by 21 touch about that many.
    report = read(badge(tmp_path, 40, text="7"))
    kinds = {kind for _, _, kind in found(report)}
    assert kinds and kinds <= {"code-window", "code-unreadable"}
    assert report.exit_code == 7


def test_a_logo_without_a_window_is_held(tmp_path: Path) -> None:
    layout = LAYOUT.replace("window = %d", "columns = %d").replace("columns = %d\n", "# %d\n")
    run = badge(tmp_path, 0, layout)
    assert (run / "slots.jsonl").read_text() == ""
    assert "logo" in (run / "held.csv").read_text("utf-8-sig").splitlines()[1]


@pytest.mark.parametrize(
    # By hand: 20 % of 25 modules are 5, of 29 5.8, so 5; of 33 6.6, 6 are not centred, so 5.
    ("percent", "modules", "first", "count"),
    [(20, 25, 10, 5), (20, 29, 12, 5), (20, 33, 14, 5), (30, 21, 8, 5), (3, 25, 12, 0)],
)
def test_windows_by_hand(percent: float, modules: int, first: int, count: int) -> None:
    hole = window_of(percent, modules)
    assert len(hole) == count
    assert not hole or (hole.start == first and hole.start == modules - hole.stop)
