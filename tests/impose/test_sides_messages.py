"""Two sides that do not belong together: exact words, before anything is written."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from vardata.cli.main import main

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "keys"
Change = Callable[..., list[str]]
AXIS = 'axis = "horizontal"'
PIECES = 'turn = "pieces"'
BACK = 'path = "M 50 0 L 0 0 L 0 28 L 50 28 L 60 18 L 60 10 Z"'
FRONT = 'path = "M 10 0 L 60 0 L 60 28 L 10 28 L 0 18 L 0 10 Z"'


LONG = "f" * 71


@pytest.fixture
def faults(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Change:
    """Changes files of the key tags and gives what a build then says; it writes nothing."""
    folder = tmp_path / "keys"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("ledger*"))
    monkeypatch.chdir(folder)

    def call(*changes: tuple[str, str, str], code: int = 4) -> list[str]:
        for name, old, new in changes:
            path = folder / name
            text = path.read_text("utf-8") if path.exists() else ""
            assert old in text, (name, old)
            path.write_text(text.replace(old, new, 1) if old else new, encoding="utf-8")
        done = CliRunner().invoke(main, ["build", "job.toml", "--out", "run"], prog_name="vardata")
        assert done.exit_code == code, done.output
        assert (folder / "run").exists() == (code == 0)
        return [line for line in done.stderr.splitlines() if line.strip()]

    return call


def test_the_example_is_good(faults: Change) -> None:
    assert faults(code=0) == []


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ([("back.toml", "width = 60\nheight = 28", "width = 62\nheight = 28")],
         "back.toml, width: side B is 62 x 28 mm, and side A is 60 x 28 mm; give both layouts the "
         "piece's size"),
        ([("back.toml", BACK, FRONT)],
         "back.toml, outline: the outline is that of side A as it is, and not with left and right "
         "changed; write the outline as side B is seen"),
        ([("back.toml", BACK, 'path = "M 40 0 L 0 0 L 0 28 L 50 28 L 60 18 L 60 10 Z"')],
         "back.toml, outline: the outline is not that of side A seen from behind, with left and "
         "right changed; write the outline as side B is seen"),
        ([("job.toml", AXIS, 'axis = "vertical"')],
         "job.toml, side_b.axis: the item's left and right differ, so turned about its vertical "
         'axis it does not fit its pocket; write axis = "horizontal"'),
        ([("front.toml", FRONT, 'path = "M 10 0 L 60 0 L 60 28 L 10 28 L 0 18 L 0 2 Z"'),
          ("back.toml", BACK, 'path = "M 50 0 L 0 0 L 0 28 L 50 28 L 60 18 L 60 2 Z"')],
         "job.toml, side_b.axis: the item's top and bottom differ, so turned about its horizontal "
         'axis it does not fit its pocket; turn the whole jig (turn = "jig"), or name a jig that '
         "was cut mirrored, with face_down = true in its file, as jig under [side_b]"),
        ([("job.toml", AXIS, 'axis = "horizontal"\njig = "jig-b.toml"'),
          ("jig-b.toml", "", (EXAMPLE / "tag-jig.toml").read_text("utf-8").replace(
              "[grid]", "face_down = true\n\n[grid]"))],
         "job.toml, side_b.axis: the pockets of side B are cut mirrored from left to right, and a "
         "piece turned about its horizontal axis does not fit them; "
         'write axis = "vertical"'),
        ([("job.toml", AXIS, 'axis = "horizontal"\naxis_at = 90')],
         "job.toml:26, side_b.axis_at: axis_at says where the axis of a turned jig lies, and here "
         'each piece is turned; write turn = "jig", or take it away'),
        ([("job.toml", PIECES, 'turn = "jig"'),
          ("job.toml", AXIS, 'axis = "horizontal"\njig = "tag-jig.toml"')],
         "job.toml:26, side_b.jig: the whole jig is turned over with its pieces, so side B has no "
         'jig of its own; write turn = "pieces", or take it away'),
        ([("job.toml", AXIS, 'axis = "horizontal"\njig = "jig-b.toml"'),
          ("jig-b.toml", "", 'name = "small"\n[grid]\nrows = 4\ncolumns = 2\npitch = [70, 36]\n'
           'offset = [65, 36]\n')],
         "job.toml:26, side_b.jig: slots E1, E2 of side A have no counterpart in the jig 'small'; "
         "name the slots of both jigs alike, or block what has no counterpart on side A"),
        ([("back.toml", 'outline = "path"', 'surface = "second"\noutline = "path"'),
          ("job.toml", 'surface = "light"', 'surface = "clear"')],
         "back.toml:5, surface: each side of a two-sided piece is looked at itself, and this is "
         "'second'; give it surface = \"first\", or take [side_b] out of the job"),
        ([("back.toml", 'name = "found"', f'name = "{LONG}"')],
         f"back.toml:26, fields[1].name, field '{LONG}': on side B a field's name has at most "
         "70 characters, and this has 71; shorten it"),
        ([("job.toml", 'layout = "back.toml"', 'layout = "bakc.toml"')],
         "job.toml:23, side_b.layout: there is no file 'bakc.toml'; did you mean 'back.toml'?"),
        ([("job.toml", PIECES, 'turn = "piece"')],
         "job.toml:24, side_b.turn: unknown value 'piece'; did you mean 'pieces'? "
         "allowed: pieces, jig"),
        ([("job.toml", 'layout = "back.toml"\n', "")],
         "job.toml:22, side_b.layout: the key 'layout' is missing; add it: the layout of side B, "
         "written as that side is seen: a layout file, or a shipped one's name"),
    ],
)  # fmt: skip
def test_one_fault_is_one_line(
    faults: Change, changes: list[tuple[str, str, str]], line: str
) -> None:
    assert faults(*changes) == [line]


def test_slots_that_leave_the_bed_when_the_jig_is_turned(faults: Change) -> None:
    found = faults(
        ("job.toml", PIECES, 'turn = "jig"'),
        ("job.toml", AXIS, 'axis = "vertical"\naxis_at = 120'),
        ("tag-jig.toml", "rows = 5", "rows = 1"),
    )
    # A1 lies at 65, so it comes to 2 x 120 - 65 = 175, and reaches to 205 of 200.
    assert found == [
        "tag-jig.toml, slot A1: on side B the item with its bleed reaches 5.00 mm over the right "
        "edge of the bed (200 x 220 mm); move or block the slot, or choose a larger bed"
    ]
