"""Whole builds of layouts whose texts share one size: what all pieces of a team are printed with,
judged by the longest name fitted alone, from ``slots.jsonl`` of runs made by the command."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from jobkit import Answer, JobBench

LAYOUT = """\
name = "medal"
width = 40
height = 30

[[fields]]
type = "text"
name = "winner"
text = "{{ winner }}"
font = "NotoSans-Regular"
box = [2, 2, 36, 20]
size = "20pt"
min_size = "6pt"
lines = 2
squeeze = 80
GROUP
"""
SMALL = "Maximiliane Featherstonehaugh"
JIG = """\
name = "jig"
[grid]
rows = 4
columns = 4
pitch = [45, 35]
offset = [40, 30]
"""
BED = 'name = "bench"\nwidth = 300\nheight = 220\nmodes.fine.dpi = [720, 720]\n'
JOB = """\
name = "medals"
layout = "layout.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"
sheet.file = "winners.csv"
[records]
order = "Club"
[columns]
winner = "Winner"
team = "Team"
"""
ROWS = [
    ("Fernhollow", "Red", "Bo Li"),
    ("Fernhollow", "Red", "Maximiliane Featherstonehaugh"),
    ("Fernhollow", "Blue", "Ada King"),
    ("Millbrook", "Blue", "Jo"),
    ("Millbrook", "Blue", "Leopoldine-Marguerite Quill"),
    ("Millbrook", "Red", "Al"),
]


class Shop(JobBench):
    """A job's folder; ``build`` makes a run and gives the settings of each name."""

    def __init__(self, home: Path, group: str) -> None:
        super().__init__(home, {
            "layout.toml": LAYOUT.replace("GROUP", group), "jig.toml": JIG, "bed.toml": BED,
            "job.toml": JOB,
        })  # fmt: skip
        self.home = home
        self.rows(ROWS)

    def rows(self, rows: list[tuple[str, str, str]]) -> None:
        lines = ["Club,Team,Winner", *(",".join(row) for row in rows)]
        (self.home / "winners.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")

    def run(self, out: str, *more: str) -> Answer:
        return self.call("build", "job.toml", "-q", "--out", out, "--at", "2026-10-31", *more)

    def build(self, out: str, *more: str, code: int = 0) -> dict[str, tuple[float, float, int]]:
        done = self.run(out, *more)
        assert done.code == code, done.err
        found = {}
        for slot in self.slots(out):
            (text,) = slot["texts"]
            found[text["text"]] = (text["size_pt"], text["squeeze"], text["lines"])
        return found

    def held(self, out: str) -> list[str]:
        return (self.home / out / "held.csv").read_text(encoding="utf-8-sig").splitlines()[1:]

    def digests(self, out: str) -> dict[str, str]:
        return {
            str(path.relative_to(self.home / out)): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in sorted((self.home / out).rglob("*"))
            if path.is_file()
        }


def joint(alone: dict[str, Any], names: list[str]) -> tuple[float, float]:
    return min(alone[name][0] for name in names), min(alone[name][1] for name in names)


@pytest.fixture(scope="module")
def alone(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[float, float, int]]:
    """Each name fitted by itself."""
    found = Shop(tmp_path_factory.mktemp("alone"), "").build("run")
    assert len({setting[0] for setting in found.values()}) > 2  # names differ, or nothing is shown
    return found


GROUPS = [
    ('one_size = "batch"', lambda row: "all"),
    ('one_size = "order"', lambda row: row[0]),
    ('one_size = "{{ team }}"', lambda row: row[1]),
    ('one_size = "{{ team|upper }}{{ winner|length > 3 }}"', lambda row: (row[1], len(row[2]) > 3)),
]


@pytest.mark.parametrize(("key", "group"), GROUPS)
def test_a_group_carries_what_its_longest_name_needs(
    tmp_path: Path, alone: dict[str, Any], key: str, group: Any
) -> None:
    found = Shop(tmp_path, key).build("run")
    assert found.keys() == alone.keys()
    for row in ROWS:
        names = [other[2] for other in ROWS if group(other) == group(row)]
        assert found[row[2]][:2] == joint(alone, names)
        most = max(alone[name][2] for name in names)
        assert found[row[2]][2] == min(most, len(row[2].split()))


def test_the_same_input_gives_the_same_bytes_with_any_number_of_workers(tmp_path: Path) -> None:
    shop = Shop(tmp_path, 'one_size = "order"')
    shop.build("one", "--workers", "1")
    shop.build("two", "--workers", "2")  # the ledger knows the sizes by now
    assert shop.digests("one") == shop.digests("two")


def test_a_supplement_keeps_the_size_that_was_printed(
    tmp_path: Path, alone: dict[str, Any]
) -> None:
    shop = Shop(tmp_path, 'one_size = "{{ team }}"')
    first = shop.build("first")
    shop.rows([("Fernhollow", "Red", "Eve"), ("Fernhollow", "Green", "Eve May")])
    later = shop.build("later")
    assert later["Eve"][:2] == first["Bo Li"][:2]
    assert later["Eve May"][0] == 20  # a new team has a size of its own
    with sqlite3.connect(tmp_path / "ledger.sqlite") as ledger:
        rows = ledger.execute("SELECT name, size_pt FROM group_size ORDER BY name").fetchall()
    assert rows == [
        ("Blue", first["Jo"][0]), ("Green", later["Eve May"][0]), ("Red", first["Al"][0]),
    ]  # fmt: skip


def test_a_remake_keeps_the_size_that_was_printed(tmp_path: Path) -> None:
    shop = Shop(tmp_path, 'one_size = "{{ team }}"')
    first = shop.build("first")
    place = next(slot for slot in shop.slots("first") if slot["texts"][0]["text"] == "Bo Li")
    done = shop.call("remake", "job.toml", "first", "--slot", f"{place['bed']}/{place['slot']}")
    assert done.code == 0, done.err
    (slot,) = shop.slots("first-remake")
    (text,) = slot["texts"]
    assert (text["text"], text["size_pt"], text["squeeze"]) == ("Bo Li", *first["Bo Li"][:2])


def test_an_old_run_keeps_its_sizes_after_a_run_with_new_ones(tmp_path: Path) -> None:
    """By its id or its folder: made again, supplemented, and its pieces made again and again."""
    shop = Shop(tmp_path, 'one_size = "{{ team }}"')
    (tmp_path / "job.toml").write_text(
        JOB.replace('order = "Club"', 'order = "Club"\nline = "Winner"'), encoding="utf-8"
    )
    rows = [("Fernhollow", "Red", "Bo Li"), ("Fernhollow", "Blue", "Ada King")]
    shop.rows(rows)
    old = shop.build("old")
    longer = ("Millbrook", "Red", SMALL)
    shop.rows([*rows, longer])
    new = shop.build("new", "--new-sizes")
    assert new[SMALL][0] < old["Bo Li"][0]
    run_id = json.loads((tmp_path / "old" / "run.json").read_text(encoding="utf-8"))["run_id"]

    shop.rows(rows)
    shop.build("again", "--again", "old")
    assert shop.digests("again") == shop.digests("old")  # the same run, byte for byte
    shop.rows([*rows, longer, ("Millbrook", "Red", "Eve")])
    assert shop.build("as-now")["Eve"][0] == new[SMALL][0]  # what was made again changed nothing
    shop.rows([*rows, longer, ("Millbrook", "Red", "Eve"), ("Millbrook", "Red", "Al")])
    assert shop.build("as-then", "--sizes-of", run_id)["Al"][0] == old["Bo Li"][0]

    for of, out in (("old", "one"), (run_id, "two"), ("two", "three")):
        printed = shop.slots("two" if of == "two" else "old")
        place = next(slot for slot in printed if slot["texts"][0]["text"] == "Bo Li")
        done = shop.call(
            "remake", "job.toml", of, "--slot", f"{place['bed']}/{place['slot']}", "--out", out
        )
        assert done.code == 0, done.err
        (slot,) = shop.slots(out)
        assert slot["texts"][0]["size_pt"] == old["Bo Li"][0]


def test_two_wishes_for_sizes_are_refused(tmp_path: Path) -> None:
    done = Shop(tmp_path, 'one_size = "batch"').run("run", "--new-sizes", "--sizes-of", "old")
    assert done.code == 2
    assert done.err == (
        "--new-sizes and --sizes-of each say which sizes groups of texts have; give one of them\n"
    )


def test_a_name_that_the_printed_size_is_too_large_for_is_held(tmp_path: Path) -> None:
    shop = Shop(tmp_path, 'one_size = "{{ team }}"\n')
    shop.rows([("Fernhollow", "Red", "Bo Li")])
    shop.build("first")
    shop.rows([("Fernhollow", "Red", "Maximiliane Featherstonehaugh")])
    assert shop.build("later", code=3) == {}
    assert shop.held("later") == [
        '"Fernhollow","Red","Maximiliane Featherstonehaugh","2","field \'winner\'",'
        "\"'Maximiliane Featherstonehaugh' does not fit as its group was printed before: 20 pt, "
        '1 line at most","shorten the text, or build with --new-sizes to give all groups new '
        'sizes",""'
    ]
    assert shop.build("fresh", "--new-sizes")["Maximiliane Featherstonehaugh"][0] < 20


def test_a_held_record_gives_its_group_no_size(tmp_path: Path) -> None:
    shop = Shop(tmp_path, 'one_size = "batch"')
    shop.rows([("Fernhollow", "Red", "Bo Li"), ("Fernhollow", "Red", "W" * 90)])
    assert shop.build("run", code=3)["Bo Li"][0] == 20


def test_a_record_with_a_fault_of_its_own_is_told_that_fault_alone(tmp_path: Path) -> None:
    """Its name was left out of the group's size, and nothing was printed before."""
    colour = 'colour_by = "{{ team }}"\ncolours = { Red = "#c8102e" }'
    shop = Shop(tmp_path, f'one_size = "order"\n{colour}')
    shop.rows([
        ("Fernhollow", "Red", "Bo Li"), ("Fernhollow", "Green", "Maximiliane Featherstonehaugh"),
    ])  # fmt: skip
    assert shop.build("run", code=3)["Bo Li"][0] == 20
    (line,) = shop.held("run")
    assert "'Green'" in line and "printed before" not in line


def test_what_is_no_group_is_refused(tmp_path: Path) -> None:
    done = Shop(tmp_path, 'one_size = "team"').run("run")
    assert done.code == 4
    assert (
        "layout.toml:15, fields[0].one_size, field 'winner': 'team' is no group; "
        "write batch, order, or a template such as {{ team }}"
    ) in done.err


def test_a_group_by_a_column_that_is_not_there_is_refused(tmp_path: Path) -> None:
    done = Shop(tmp_path, 'one_size = "{{ tem }}"').run("run")
    assert done.code in (4, 5)
    assert "tem" in done.err
