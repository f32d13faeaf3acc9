"""Whole jobs whose letters come across a code, as a person sees them told."""

from __future__ import annotations

from pathlib import Path

import zxingcpp
from jobkit import FLATBED, FOUR_SLOTS, GUESTS, TAG, WHITE_UNDER, JobBench
from PIL import Image

JOB = GUESTS % 'blank = "slate"\n' + """
[blanks.slate]
surface = "dark"
"""

LAYOUT = TAG + WHITE_UNDER + """
[[fields]]
type = "text"
name = "who"
text = "{{ guest }}"
font = "NotoSans-Regular"
box = [3, 8, 48, 8]
size = "14pt"
align = "left"
colour = "#e0a526"

[[fields]]
type = "code"
name = "seat"
text = "SEAT/{{ guest }}"
symbology = "qr"
box = [38, 3, 19, 19]
"""


def bench(path: Path) -> JobBench:
    return JobBench(path, {
        "job.toml": JOB, "layout.toml": LAYOUT, "jig.toml": FOUR_SLOTS, "bed.toml": FLATBED,
        "guests.csv": "Guest\nJory\nOttilie Brandvold-Ness\nAda\n",
    })  # fmt: skip


def test_only_the_names_that_reach_the_code_are_held(tmp_path: Path) -> None:
    job = bench(tmp_path)
    told = job.call("build", "job.toml", "--out", "run", "--at", "2026-10-31")
    assert told.code == 3
    (held,) = job.table("held.csv")
    assert held["Guest"] == "Ottilie Brandvold-Ness"
    what = held["held: what"]
    assert what.startswith("the ground of the code 'seat' covers ") and what.endswith(" mm of it")
    assert held["held: how to mend"] == (
        "move one of their two boxes or make it smaller, so that they lie apart"
    )
    assert held["held: place"].endswith("field 'who'")
    assert [slot["texts"][0]["text"] for slot in job.slots()] == ["Jory", "Ada"]
    # The foreign reader finds a code for each of the two that are printed.
    assert job.call("preview", "job.toml", "--out", "bed.png").code in (0, 3)
    with Image.open(tmp_path / "bed.png") as picture:
        found = {code.text for code in zxingcpp.read_barcodes(picture.convert("L"))}
    assert found == {"SEAT/Jory", "SEAT/Ada"}


def test_a_box_that_ends_before_the_code_lets_all_through(tmp_path: Path) -> None:
    job = bench(tmp_path)
    job.swap("layout.toml", "box = [3, 8, 48, 8]", "box = [3, 8, 35, 8]")
    assert job.call("check", "job.toml").code == 0
