"""Two runs compared: areas by geometry, the picture by its colours."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from run_kit import AT, DONE, HELD, Run, Shared, build, call, copied, shortened


def changed(home: Path, file: str, old: str, new: str) -> Path:
    path = home / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    return home


def _run(place: Path, *changes: tuple[str, str, str]) -> Run:
    home = copied("lockers", place / "job")
    for change in changes:
        changed(home, *change)
    return build(home, place / "run", "--at", AT)


@pytest.fixture(scope="module")
def before(shared: Shared) -> Run:
    return shared.run("lockers-before", _run)


@pytest.fixture(scope="module")
def after(shared: Shared) -> Run:
    """The rule is 10 mm shorter at its right end, 0.8 mm high, on each of 7 plates."""
    return shared.run(
        "lockers-after",
        lambda place: _run(place, ("plate.toml", "box = [5, 14.6, 70, 0.8]",
                                   "box = [5, 14.6, 60, 0.8]")),
    )  # fmt: skip


def test_a_run_does_not_differ_from_itself(before: Run, tmp_path: Path) -> None:
    out = tmp_path / "d.png"
    code, stdout, _ = call("difference", before.out, before.out, "--out", out)
    assert code == DONE and stdout == "1 bed compared: every plate is the same\n"
    assert not out.exists()


def test_beds_of_one_run_only_are_not_called_the_same(before: Run, tmp_path: Path) -> None:
    home = copied("lockers", tmp_path / "job")
    sheet = home / "lockers.csv"
    head, first = sheet.read_text(encoding="utf-8").splitlines()[:2]
    sheet.write_text(f"{head}\n{first.replace(first.split(',')[1], 'W' * 300)}\n", encoding="utf-8")
    none = build(home, tmp_path / "none", "--at", AT)
    assert none.code == HELD and not none.slots
    code, stdout, _ = call("difference", before.out, none.out, "--out", tmp_path / "d.png")
    assert code == DONE and stdout == (
        "bed 1 is in one of the runs only\nno bed is in both runs: nothing is compared\n"
    )


def test_beds_in_both_runs_are_told_apart_from_those_in_one(
    shared: Shared, tmp_path: Path
) -> None:
    doors = shared.run(
        "doors-tickets", lambda place: build(copied("doors", place / "job"), place / "run",
                                             "--at", AT)
    )  # fmt: skip
    home = shortened(copied("doors", tmp_path / "job"), len(doors.on_bed(1)))
    fewer = build(home, tmp_path / "run", "--at", AT)
    assert doors.beds == [1, 2] and fewer.beds == [1]
    code, stdout, _ = call("difference", doors.out, fewer.out, "--out", tmp_path / "d.png")
    assert code == DONE and stdout == (
        "bed 2 is in one of the runs only\n"
        "1 bed compared: every plate of the beds in both runs is the same\n"
    )


def test_areas_of_each_plate_and_the_picture(before: Run, after: Run, tmp_path: Path) -> None:
    """Colour loses 7 x 10 x 0.8 mm2; white, knocked out below it, gains as much but for its
    choke of 0.08 mm on three sides."""
    out = tmp_path / "d.png"
    words = ("difference", before.out, after.out, "--out", out, "--dpi", "600", "--json")
    code, stdout, _ = call(*words)
    found = json.loads(stdout)
    assert code == DONE and found["shown"] == 1 and found["alone"] == []
    change = {one["plate"]: one for one in found["changes"]}
    assert change["Colour"]["taken"] == pytest.approx(56, rel=0.04)
    assert change["Colour"]["added"] == 0
    assert change["White"]["added"] == pytest.approx(7 * 10 * 0.64, rel=0.06)
    assert change["White"]["taken"] == 0
    picture = np.asarray(Image.open(out).convert("RGB")).astype(int)
    red, _, blue = (picture[:, :, part] for part in range(3))
    marked = abs(red - blue) > 40
    high = round(297 * 600 / 25.4)  # of the bed; below it a strip tells what colours mean
    assert 0 < picture.shape[0] - high < 120 and marked[high:].any()
    marked[high:] = False
    assert marked.any()
    scale = 600 / 25.4
    boxes = [slot["box_mm"] for slot in before.on_bed(1)]
    for x, y, _, _ in boxes:
        left, right = (int((x + mm) * scale) for mm in (64.5, 75.5))
        top, bottom = (high - int((y + mm) * scale) for mm in (15.6, 14.4))
        assert marked[top:bottom, left:right].any()
        marked[top:bottom, left:right] = False
    assert not marked.any(), "nothing else is marked"


def test_the_words_of_a_difference(before: Run, after: Run, tmp_path: Path) -> None:
    out = tmp_path / "d.png"
    _, stdout, _ = call("difference", after.out, before.out, "--out", out)
    lines = stdout.splitlines()
    assert lines[0].startswith("bed 1, Colour: ") and lines[0].endswith(" mm2 more, 0 mm2 less")
    assert lines[-1] == f"bed 1 -> {out}"


@pytest.mark.parametrize(
    ("more", "line"),
    [
        (("--bed", "2"), "there is no bed 2 in both runs; they share the beds 1 to 1"),
        (("--out", "d.jpg"), "--out 'd.jpg' is no name for a PNG; end it in .png"),
    ],
)
def test_wrong_calls(before: Run, tmp_path: Path, more: tuple[str, ...], line: str) -> None:
    words = ("difference", before.out, before.out, "--out", tmp_path / "d.png", *more)
    code, _, stderr = call(*words)
    assert code == 2 and line in stderr, stderr


def test_runs_with_other_plates_are_not_compared(before: Run, tmp_path: Path) -> None:
    other = _run(tmp_path, ("plate.toml", 'name = "White"', 'name = "Ground"'))
    code, _, stderr = call("difference", before.out, other.out, "--out", tmp_path / "d.png")
    assert code == 2
    assert stderr == (
        "bed 1 has another size or other plates in the two runs; "
        "compare runs of one machine and one layout\n"
    )


def test_a_folder_that_is_no_run(before: Run, tmp_path: Path) -> None:
    code, _, stderr = call("difference", before.out, tmp_path, "--out", tmp_path / "d.png")
    assert code == 2 and "this is not the folder of a run" in stderr
