"""What is said once of the texts of a whole job: letters over letters, fonts that stand in for
others, uneven sizes. Judged by the fonts' own tables (fontTools) and the slots of the run."""

from __future__ import annotations

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from jobkit import FLATBED, FOUR_SLOTS, GUESTS, TAG, Answer, JobBench

FONTS = Path(__file__).parents[2] / "fonts"
JOB = GUESTS % 'blank = "card"\n' + """\
role = "Role"

[blanks.card]
surface = "light"
"""
WHO = """
[[fields]]
type = "text"
name = "who"
text = "{{ guest }}"
font = ["DancingScript-Regular", "NotoSans-Regular"]
box = [3, 12, 54, 8]
size = "14pt"
min_size = "7pt"
"""
ROLE = """
[[fields]]
type = "text"
name = "role"
text = "{{ role }}"
font = "NotoSans-Regular"
box = [3, 3, 54, 8]
size = "8pt"
"""


@pytest.fixture
def job(tmp_path: Path) -> JobBench:
    return JobBench(tmp_path, {
        "job.toml": JOB, "layout.toml": TAG + WHO + ROLE, "jig.toml": FOUR_SLOTS,
        "bed.toml": FLATBED, "guests.csv": "Guest,Role\nJory,reader\n",
    })  # fmt: skip


def lines(told: Answer, kind: str) -> list[str]:
    """What ``check`` prints of one kind."""
    return [line.split("  ")[-1] for line in told.out.splitlines() if f" {kind} " in line]


def test_texts_that_another_font_sets_are_counted_by_field(job: JobBench) -> None:
    names = ["Jory", "Ярослава", "Ada", "Λέων", "Zoë", "Нина 7"]
    script, sans = (
        TTFont(FONTS / name)["cmap"].getBestCmap()
        for name in ("DancingScript-Regular.otf", "NotoSans-Regular.ttf")
    )
    lacking = [name for name in names if any(ord(c) not in script for c in name)]
    assert lacking == ["Ярослава", "Λέων", "Нина 7"]
    assert all(ord(c) in sans for name in names for c in name)
    job.write("guests.csv", "Guest,Role\n" + "".join(f"{n},reader\n" for n in names))
    said = (
        "layout.toml, field 'who': 3 texts are set, all or in part, in another font, because "
        "DancingScript-Regular lacks letters: NotoSans-Regular (3), first in row 3; look at a "
        "proof; a first font that has all letters sets all texts alike"
    )
    for workers in ("1", "2"):
        told = job.call("check", "job.toml", "--workers", workers)
        assert told.code == 0 and lines(told, "other-font") == [said]
    built = job.call("build", "job.toml", "--out", "run")
    assert said in built.err
    fonts = {s["texts"][0]["text"]: s["texts"][0]["font"] for s in job.slots()}
    assert [name for name, font in fonts.items() if "DancingScript" not in font] == lacking


def test_one_text_in_another_font(job: JobBench) -> None:
    job.write("guests.csv", "Guest,Role\nJory,reader\nЯрослава,reader\n")
    assert lines(job.call("check", "job.toml"), "other-font") == [
        "layout.toml, field 'who': 1 text is set, all or in part, in another font, because "
        "DancingScript-Regular lacks letters: NotoSans-Regular (1), in row 3; look at a proof; a "
        "first font that has all letters sets all texts alike"
    ]
    job.swap("layout.toml", '["DancingScript-Regular", "NotoSans-Regular"]', '"NotoSans-Regular"')
    assert lines(job.call("check", "job.toml"), "other-font") == []


def test_clearly_different_sizes_are_told_by_check_alone(job: JobBench) -> None:
    long = "Ottilie Wilhelmina Brandvold-Ness of Fernhollow Libraries"
    job.write("guests.csv", f"Guest,Role\nJory,reader\n{long},reader\nAda,reader\n")
    told = job.call("check", "job.toml")
    built = job.call("build", "job.toml", "--out", "run")
    assert told.code == built.code == 0
    sizes = [slot["texts"][0]["size_pt"] for slot in job.slots()]
    assert sizes[0] == sizes[2] == 14 and 14 / sizes[1] > 1.3
    assert lines(told, "uneven-sizes") == [
        f"layout.toml, field 'who': its texts came out in sizes from {sizes[1]:.3g} pt (row 3) to "
        '14 pt (row 2); one_size = "batch" or "order" sets all alike, if they are to be seen '
        "together"
    ]
    assert "came out in sizes" not in built.err
    job.swap("layout.toml", 'min_size = "7pt"\n', 'min_size = "7pt"\none_size = "batch"\n')
    assert lines(job.call("check", "job.toml"), "uneven-sizes") == []


def test_sizes_that_nobody_tells_apart_are_not_told(job: JobBench) -> None:
    job.write("guests.csv", "Guest,Role\nJory,reader\nOttilie Wilhelmina Brandvold-N,reader\n")
    assert lines(job.call("check", "job.toml"), "uneven-sizes") == []


def test_letters_over_letters_are_counted_by_pair(job: JobBench) -> None:
    # The box of the role reaches into that of the name; only high letters, or two lines, meet.
    job.swap("layout.toml", "box = [3, 3, 54, 8]", "box = [3, 12, 54, 8]\nalign = \"left\"")
    job.swap("layout.toml", 'min_size = "7pt"\n', 'min_size = "7pt"\nalign = "right"\n')
    job.write("guests.csv", (
        "Guest,Role\nJory,reader\nOttilie Brandvold-Ness,a reader of many long books\nAda,reader\n"
        "Philippa Featherstonehaugh,a reader of many long books\n"
    ))  # fmt: skip
    said = (
        "layout.toml, field 'role': its letters run into those of field 'who' in 2 records, first "
        "in row 3; move one of their two boxes or make it smaller, so that they lie apart"
    )
    told = job.call("check", "job.toml")
    assert told.code == 0 and lines(told, "text-over-text") == [said]
    built = job.call("build", "job.toml", "--out", "run")
    assert built.code == 0 and said in built.err and len(job.slots()) == 4
    job.write("guests.csv", "Guest,Role\nAda,x\nPhilippa Featherstonehaugh,many long books here\n")
    assert lines(job.call("check", "job.toml"), "text-over-text") == [
        "layout.toml, field 'role': its letters run into those of field 'who' in 1 record, in row "
        "3; move one of their two boxes or make it smaller, so that they lie apart"
    ]
