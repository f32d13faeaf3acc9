"""Line numbers of TOML keys. ``tomllib`` is the judge of which keys there are; which line they
stand on is known because the generator here writes the lines itself, or was counted by hand."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from vardata.job.lines import KeyPath, key_lines, spelled

TEXT = '''\
# a comment with [brackets] and a = 1
top = 1
a.b."c d" = 'x # no comment'   # a comment
a.b.e = """
two
lines with \\""" inside""""
empty = {}

[table]
inline = { x = 1, y = { z = [1, 2] } }
list = [ # a comment ]
    "one", 'two]',

    # between
    { k = 3 },
    [
        4, 5
    ],
]
"quoted = key" = true

[[many]]
name = "first"
[many.sub]
deep = 1

[[many.inner]]
v = 1
[[many.inner]]
v = 2

[[many]]
name = """one line"""
date = 1979-05-27T07:32:00Z
'''


def test_a_text_of_every_kind_of_key() -> None:
    lines = key_lines(TEXT)
    assert lines == {
        ("top",): 2,
        ("a",): 3, ("a", "b"): 3, ("a", "b", "c d"): 3,
        ("a", "b", "e"): 4,
        ("empty",): 7,
        ("table",): 9,
        ("table", "inline"): 10, ("table", "inline", "x"): 10, ("table", "inline", "y"): 10,
        ("table", "inline", "y", "z"): 10,
        ("table", "inline", "y", "z", 0): 10, ("table", "inline", "y", "z", 1): 10,
        ("table", "list"): 11,
        ("table", "list", 0): 12, ("table", "list", 1): 12,
        ("table", "list", 2): 15, ("table", "list", 2, "k"): 15,
        ("table", "list", 3): 16, ("table", "list", 3, 0): 17, ("table", "list", 3, 1): 17,
        ("table", "quoted = key"): 20,
        ("many",): 22,
        ("many", 0): 22, ("many", 0, "name"): 23,
        ("many", 0, "sub"): 24, ("many", 0, "sub", "deep"): 25,
        ("many", 0, "inner"): 27, ("many", 0, "inner", 0): 27, ("many", 0, "inner", 0, "v"): 28,
        ("many", 0, "inner", 1): 29, ("many", 0, "inner", 1, "v"): 30,
        ("many", 1): 32, ("many", 1, "name"): 33, ("many", 1, "date"): 34,
    }  # fmt: skip


def paths_of(data: Any, path: KeyPath = ()) -> set[KeyPath]:
    """Every key path in what ``tomllib`` read."""
    inner = enumerate(data) if isinstance(data, list) else data.items()
    found: set[KeyPath] = set()
    for key, value in inner:
        found.add((*path, key))
        if isinstance(value, dict | list):
            found |= paths_of(value, (*path, key))
    return found


def test_the_keys_are_those_tomllib_finds_in_real_files() -> None:
    root = Path(__file__).resolve().parents[2]
    files = [root / "pyproject.toml", *sorted(root.glob("layouts/*.toml"))]
    assert len(files) > 1
    for file in files:
        text = file.read_text(encoding="utf-8")
        assert set(key_lines(text)) == paths_of(tomllib.loads(text)), file


KEYS = st.text("abcXYZ09_- .\"'#[]=ü\n\t\\", min_size=1, max_size=4)
SCALARS = st.one_of(
    st.integers(-9, 9).map(str),
    st.sampled_from(["true", "1.5", "1e3", "0x1F", "inf", "07:32:00", "1979-05-27 07:32:00"]),
    st.text("ab#]},= '\\", max_size=5).filter(lambda t: "'" not in t).map(lambda t: f"'{t}'"),
    st.text('ab#]},= "\\', max_size=5).map(
        lambda t: '"' + t.replace("\\", "\\\\").replace('"', '\\"') + '"'
    ),
    st.sampled_from(['"""x\ny"""', '"""a""""', "'''x\n]'''", '""', "''", '"""\\""""']),
)


def quoted(key: str) -> str:
    if key.isascii() and key.replace("_", "a").replace("-", "a").isalnum():
        return key
    escapes = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t"}
    return '"' + "".join(escapes.get(ch, ch) for ch in key) + '"'


class Writer:
    """Writes TOML and notes on which line each key stands."""

    def __init__(self) -> None:
        self.text = ""
        self.lines: dict[KeyPath, int] = {}

    def put(self, text: str) -> None:
        self.text += text

    def note(self, path: KeyPath) -> None:
        self.lines[path] = self.text.count("\n") + 1

    def value(self, draw: st.DrawFn, path: KeyPath, depth: int) -> None:
        kind = draw(st.sampled_from(["scalar", "scalar", "list", "table"])) if depth else "scalar"
        if kind == "scalar":
            self.put(draw(SCALARS))
        elif kind == "list":
            self.put("[")
            for index in range(draw(st.integers(0, 3))):
                self.put(draw(st.sampled_from(["", " ", "\n", " # ]\n\n  "])))
                self.note((*path, index))
                self.value(draw, (*path, index), depth - 1)
                self.put(draw(st.sampled_from([",", " ,", "\n,"])))
            self.put(draw(st.sampled_from(["]", "\n]", " # x\n]"])))
        else:
            self.put("{")
            for count, key in enumerate(draw(st.lists(KEYS, max_size=3, unique=True))):
                self.put(", " if count else " ")
                self.note((*path, key))
                self.put(f"{quoted(key)} = ")
                self.value(draw, (*path, key), depth - 1)
            self.put("}")

    def pairs(self, draw: st.DrawFn, path: KeyPath) -> None:
        for key in draw(st.lists(KEYS, max_size=3, unique=True)):
            self.put(draw(st.sampled_from(["", "\n", "  ", "# [x]\n"])))
            self.note((*path, key))
            self.put(f"{quoted(key)} =")
            self.value(draw, (*path, key), 2)
            self.put(draw(st.sampled_from(["\n", " # c\n", "\r\n"])))


@st.composite
def documents(draw: st.DrawFn) -> Writer:
    writer = Writer()
    writer.pairs(draw, ())
    for number in range(draw(st.integers(0, 3))):
        name = f"table {number}"
        if draw(st.booleans()):
            writer.note((name,))
            writer.put(f'[ "{name}" ] # x\n')
            writer.pairs(draw, (name,))
            continue
        for index in range(draw(st.integers(1, 3))):
            if not index:
                writer.note((name,))
            writer.note((name, index))
            writer.put(f'[["{name}"]]\n')
            writer.pairs(draw, (name, index))
    return writer


@given(documents())
def test_any_text_gives_the_lines_it_was_written_on(writer: Writer) -> None:
    assert paths_of(tomllib.loads(writer.text)) == set(writer.lines)  # the generator writes TOML
    assert key_lines(writer.text.replace("\r\n", "\n")) == writer.lines


def test_paths_as_people_write_them() -> None:
    assert spelled(("fields", 2, "symbology")) == "fields[2].symbology"
    assert spelled(("columns", "Item no", "kind")) == 'columns."Item no".kind'
    assert spelled(("box", 0, 1)) == "box[0][1]"
    assert spelled(("a\nb",)) == '"a\\nb"'
    assert spelled(()) == ""
