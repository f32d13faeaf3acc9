"""Texts that are not TOML: one line each, on the line that TOML 1.0 is broken on."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vardata.job.toml import Source, read_toml
from vardata.problems import Problem

KEY_NEEDS_QUOTES = 'write key = value; around other characters than A-Z a-z 0-9 _ - put "quotes"'

CASES = [
    ("a = 1\na = 2\n", "x:2: the key is written twice in 'a = 2'; keep one of them"),
    ("[a]\nx = 1\n[a]\n",
     "x:3: the table is written twice in '[a]'; put its keys under one heading"),
    ("a = { x = 1, x = 2 }\n",
     "x:1: a key is written twice in one { } in 'a = { x = 1, x = 2 }'; keep one of them"),
    ("a = {b = 1}\na.c = 2\n",
     "x:2: the table or list was complete before in 'a.c = 2'; write all of it in one place"),
    ("[fields]\nname = 1\n[[fields]]\n",
     "x:3: the table is written twice, or was a value before in '[[fields]]'; keep one of them"),
    ("\nwidth\n", f"x:2: there is no = after the key in 'width'; {KEY_NEEDS_QUOTES}"),
    ("größe = 3\n", f"x:1: there is no = after the key in 'größe = 3'; {KEY_NEEDS_QUOTES}"),
    ("= 3\n", f"x:1: this is not a key in '= 3'; {KEY_NEEDS_QUOTES}"),
    ("a = \n", "x:1: there is no value after the = in 'a ='; write one, or take the key away"),
    ("a = yes\n", "x:1: a switch is not written so in 'a = yes'; write true or false"),
    ("a = True # x\n", "x:1: a switch is not written so in 'a = True # x'; write true or false"),
    ("a = fine\n",
     "x:1: the value is neither a text nor a number in 'a = fine'; put a text in \"quotes\""),
    ("a = “fine”\n",
     'x:1: the text has typographic quotes in \'a = “fine”\'; use the straight "'),
    ("a = 1\nb = 5mm # wide\n",
     "x:2: a number with a unit is a text in 'b = 5mm # wide'; write \"5mm\""),
    ("a = 2,5\n", "x:1: a number has a decimal comma in 'a = 2,5'; write 2.5"),
    ('a = "say "hi""\n',
     "x:1: something follows the text in 'a = \"say \"hi\"\"'; "
     "put 'single quotes' around a text that holds a \""),
    ("a = 1 b = 2\n",
     "x:1: something follows the value in 'a = 1 b = 2'; "
     'put a text in "quotes", and each key on its own line'),
    ('a = "x\nb = 2\n',
     "x:1: the text is not closed in 'a = \"x'; end it with a \" on the same line"),
    ("a = 1\nb = 'x\nc = 'y'\n",
     "x:2: the text is not closed in \"b = 'x\"; end it with a ' on the same line"),
    ('a = 1\nb = """x\nc = 2\n',
     "x:2: the text is not closed in 'b = \"\"\"x'; end it with the quotes it began with"),
    ("a = [1, 2\nb = 3\n",
     "x:2: the list is not closed before 'b = 3'; part its items with commas and end it with ]"),
    ("a = { x = 1\nb = 3\n",
     "x:1: the { table is not closed; "
     "part its keys with commas and end it with } on the same line"),
    ("[a\nb = 1\n", "x:1: the ] of the [table] is missing in '[a'; close it"),
    ("[[a]\nb = 1\n", "x:1: the ]] of the [[table]] is missing in '[[a]'; close it with two ]"),
    ('a = "C:\\temp"\nb = "C:\\data"\n',
     "x:2: a text in \"quotes\" holds a single \\ in 'b = \"C:\\\\data\"'; "
     "write / instead, or put the text in 'single quotes'"),
    ("a = 2023-02-30\n",
     "x:1: there is no such date in 'a = 2023-02-30'; put it in \"quotes\" if it is a text"),
    ("a = 'x\ty\x01'\n",
     "x:1: a character is forbidden in TOML in \"a = 'x\\ty\\x01'\"; take it away"),
    ("a = [[[[" + "[" * 99_999, "x: lists or tables are nested too deeply; is it a TOML file?"),
]  # fmt: skip


def read(folder: Path, text: str | bytes) -> Source | Problem:
    file = folder / "x.toml"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_toml(file, "x")


@pytest.mark.parametrize(("text", "line"), CASES, ids=[line for _, line in CASES])
def test_a_text_that_is_not_toml_gives_one_line(tmp_path: Path, text: str, line: str) -> None:
    assert str(read(tmp_path, text)) == line


def test_bytes_that_are_not_utf8(tmp_path: Path) -> None:
    expected = "x:2: the file is not in UTF-8; save it as UTF-8 in the editor"
    assert str(read(tmp_path, b'a = 1\nb = "\xe9"\n')) == expected
    assert str(read(tmp_path, "a = 1".encode("utf-16"))) == expected.replace("x:2", "x:1")


def test_a_byte_order_mark_and_windows_line_ends_are_taken(tmp_path: Path) -> None:
    source = read(tmp_path, b"\xef\xbb\xbfa = 1\r\nb = 2\r\n")
    assert isinstance(source, Source)
    assert (source.data, source.lines) == ({"a": 1, "b": 2}, {("a",): 1, ("b",): 2})


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    remedy = "check its name and its rights"
    assert str(read_toml(tmp_path / "no.toml", "no.toml")) == (
        f"no.toml: the file cannot be read (No such file or directory); {remedy}"
    )
    assert str(read_toml(tmp_path, "here")) == (
        f"here: the file cannot be read (Is a directory); {remedy}"
    )


@given(st.binary(max_size=80))
def test_no_bytes_bring_a_traceback(tmp_path_factory: pytest.TempPathFactory, raw: bytes) -> None:
    result = read(tmp_path_factory.getbasetemp(), raw)
    if isinstance(result, Problem):
        assert len(str(result).splitlines()) == 1


@given(st.text("a=[]{}\"'\\,.#\n 1-:", max_size=40))
def test_no_text_brings_a_traceback(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    result = read(tmp_path_factory.getbasetemp(), text)
    if isinstance(result, Problem):
        assert len(str(result).splitlines()) == 1
