"""One size for texts that are brought closer, bent or set in columns: all pieces of a group carry
what its hardest text needs, judged by each built alone; the ledger keeps it, an older one too."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

import pytest
from test_one_size import Shop

from vardata.fit.fontbook import FontBook
from vardata.fit.groupsize import GroupSize
from vardata.fit.oncurve import CurveFitter
from vardata.fit.result import TextFit
from vardata.job.model import TextField
from vardata.ledger.groupsizes import stored_sizes
from vardata.problems import Problem

ALL = 'one_size = "batch"'
SHAPES = {
    "closer": 'fit = ["shrink", "tracking", "squeeze", "smaller"]\ntightest = -60\n',
    "bent": 'arc = { radius = 13, sweep = 300 }\nvalign = "top"\n',
    "columns": 'direction = "down"\n',
}


def shop(folder: Path, keys: str) -> Shop:
    folder.mkdir()
    made = Shop(folder, keys)
    layout = (folder / "layout.toml").read_text(encoding="utf-8")
    layout = layout.replace("height = 30", "height = 40")
    layout = layout.replace("[2, 2, 36, 20]", "[2, 2, 36, 36]")
    if "arc" in keys:
        layout = layout.replace("lines = 2\n", "")
    if "down" in keys:
        layout = layout.replace("squeeze = 80\n", "").replace('"6pt"', '"3pt"')
    (folder / "layout.toml").write_text(layout)
    jig = (folder / "jig.toml").read_text(encoding="utf-8")
    (folder / "jig.toml").write_text(jig.replace("pitch = [45, 35]", "pitch = [45, 45]"))
    return made


@pytest.mark.parametrize("kind", sorted(SHAPES))
def test_a_group_carries_what_its_hardest_text_needs(tmp_path: Path, kind: str) -> None:
    alone = shop(tmp_path / "alone", SHAPES[kind]).build("run")
    group = shop(tmp_path / "group", SHAPES[kind] + ALL)
    found = group.build("run")
    assert found.keys() == alone.keys()
    assert len({one[:2] for one in alone.values()}) > 1  # or nothing is shown
    want = min(one[0] for one in alone.values()), min(one[1] for one in alone.values())
    assert {one[:2] for one in found.values()} == {want}
    group.rows([("Fernhollow", "Red", "Eve")])  # a supplement keeps it
    assert group.build("more")["Eve"][:2] == want


def test_letters_are_as_close_as_the_hardest_text_needs(tmp_path: Path) -> None:
    group = shop(tmp_path / "group", SHAPES["closer"] + ALL)
    group.build("run")
    (size,) = stored_sizes(group.home / "ledger.sqlite", "medals")
    assert size.tracking is not None and size.tracking < 0
    again = group.digests("run")
    group.build("second", "--workers", "2")
    assert group.digests("second") == again


def test_a_ledger_from_before_is_read_and_kept(tmp_path: Path) -> None:
    """Tables as they were made before texts of a group could differ in tracking."""
    group = shop(tmp_path / "group", SHAPES["closer"] + ALL)
    group.build("run")
    ledger = sqlite3.connect(group.home / "ledger.sqlite")
    for table in ("group_size", "group_size_of_run"):
        ledger.execute(f"ALTER TABLE {table} DROP COLUMN tracking")
    ledger.commit()
    (size,) = stored_sizes(group.home / "ledger.sqlite", "medals")
    assert size.tracking is None
    group.rows([("Fernhollow", "Red", "Eve")])
    assert group.build("more")["Eve"][:2] == (size.size_pt, size.squeeze)
    (size,) = stored_sizes(group.home / "ledger.sqlite", "medals")
    assert size.tracking == 0  # the field's own, from now on


def ring(**keys: Any) -> CurveFitter:
    font = Path(__file__).resolve().parents[2] / "fonts" / "NotoSans-Regular.ttf"
    given: dict[str, Any] = {"box": (0, 0, 40, 40), "size": "14pt", "font": "any", **keys}
    field = TextField(type="text", name="ring", text="", **given)
    return CurveFitter(field, FontBook({"sans": font}).chain(["sans"]))


def test_a_bent_text_that_passes_its_box_at_the_groups_size_is_held() -> None:
    """A line with a hump near the box's edge: of smaller letters a tall one may come to stand on
    the hump. Never printed outside, and never in another size than its group."""
    sizes = [GroupSize(size, 1.0, 1, 0.0) for size in (14, 13, 12, 11, 10, 8, 6)]
    hump = "M 2 35 L 7 35 C 8.6 35 9.4 37 11 37 C 12.6 37 13.4 35 15 35 L 38 35"
    kinds = set()
    for text in ("xxxl", "xxxxl", "xxxxxl", "xxxxxxl", "Ada King", "jolly"):
        for line in (hump, "M 2 36 L 38 28", "M 4 30 C 15 37 25 37 36 30"):
            for align in ("left", "right", "centre"):
                fitter = ring(along=line, align=align)
                alone = fitter.fit(text)
                for size in sizes:
                    if isinstance(alone, Problem) or size.size_pt > alone.size_pt:
                        continue
                    fit = fitter.fit_as(text, size)
                    kinds.add(type(fit))
                    if isinstance(fit, TextFit):
                        assert fit.size_pt == size.size_pt
                        assert fit.ink[0] >= 0 and fit.ink[2] <= 40 and fit.ink[3] <= 40
    assert kinds == {TextFit, Problem}


def test_what_is_said_of_such_a_text() -> None:
    fitter = ring(along="M 2 30 L 38 30", align="left")
    assert isinstance(fitter.fit("Ada"), TextFit)
    problem = fitter.fit_as("Ada", GroupSize(40, 0.95, 1, 0.0))  # printed so large before
    assert isinstance(problem, Problem)
    assert str(problem) == (
        "'Ada' passes its line or its box at its group's size, 40 pt squeezed to 95 %; enlarge the "
        "box, or move the line that the text stands on away from its edge; if the group was "
        "printed before, build with --new-sizes to give all groups new sizes"
    )
    assert problem.kind == "group-size"
