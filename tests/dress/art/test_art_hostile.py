"""SVGs that attack their reader: nothing outside the file is read, and nothing runs away."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest
from art_judges import CORPUS
from hypothesis import given, settings
from hypothesis import strategies as st

from vardata.dress import svg, svg_plain
from vardata.problems import JobError
from vardata.svg.values import Matrix

NS = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
PLAIN = "save it as plain SVG, without editing data and with its styles inside"


def message(text: str | bytes) -> str:
    data = text.encode() if isinstance(text, str) else text
    with pytest.raises(JobError) as caught:
        svg.parts(svg.read(data, "a.svg"), Matrix())
    return str(caught.value)


def test_a_bomb_of_entities_is_not_expanded() -> None:
    """The "billion laughs" of 2003: each entity holds ten of the one before."""
    lines = "".join(f'<!ENTITY l{i} "{f"&l{i - 1};" * 10}">\n' for i in range(1, 10))
    text = f'<!DOCTYPE svg [\n<!ENTITY l0 "ha">\n{lines}]>\n<svg {NS}><title>&l9;</title></svg>'
    assert message(text) == f"a.svg:2: the file declares entities; {PLAIN}"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "iso-8859-1", "shift_jis"])
def test_no_entity_opens_a_file(tmp_path: Path, encoding: str) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("M0 0H9V9Z")
    text = (
        f'<?xml version="1.0" encoding="{encoding}"?>\n'
        f'<!DOCTYPE svg [<!ENTITY s SYSTEM "{secret.as_uri()}">]>\n'
        f'<svg {NS} viewBox="0 0 9 9"><path d="M0 0H9"/><title>&s;</title></svg>'
    )
    assert "the file declares entities" in message(text.encode(encoding))


def test_nothing_is_fetched(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No socket is opened and no other file is read for a document type, link or style."""

    def no_socket(*_: object, **__: object) -> None:
        raise AssertionError("a socket was opened")

    monkeypatch.setattr(socket, "socket", no_socket)
    other = tmp_path / "other.svg"
    other.write_text(f'<svg {NS} viewBox="0 0 9 9"><g id="g"><path d="M0 0H9V9Z"/></g></svg>')
    monkeypatch.chdir(tmp_path)
    doctype = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://127.0.0.1:9/svg11.dtd">'
    art = svg.read(
        f'{doctype}<svg {NS} viewBox="0 0 9 9"><path d="M0 0H9V9Z"/></svg>'.encode(), "a"
    )
    assert len(svg.parts(art, Matrix())) == 1
    for body in (
        '<use xlink:href="other.svg#g"/>',
        f'<use xlink:href="{other.as_uri()}#g"/>',
        '<image xlink:href="other.svg" width="9" height="9"/>',
        '<image xlink:href="http://127.0.0.1:9/a.png" width="9" height="9"/>',
        "<style>@import url(http://127.0.0.1:9/a.css);</style>",
        '<rect width="9" height="9" fill="url(http://127.0.0.1:9/a.svg#g)"/>',
    ):
        assert message(f'<svg {NS} viewBox="0 0 9 9">{body}</svg>').startswith("a.svg:1, <")
    sheet = f'<?xml-stylesheet href="a.css"?><svg {NS} viewBox="0 0 9 9"/>'
    assert message(sheet) == f"a.svg:1: the file takes its style from another file; {PLAIN}"


def test_a_bomb_of_uses_is_not_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """10 ** 11 squares; the limit is lowered only to keep the test short."""
    monkeypatch.setattr(svg_plain, "MOST_STEPS", 5_000)
    groups = '<g id="g0"><rect width="1" height="1"/></g>'
    for i in range(1, 12):
        groups += f'<g id="g{i}">' + f'<use href="#g{i - 1}"/>' * 10 + "</g>"
    text = f'<svg {NS} viewBox="0 0 9 9"><defs>{groups}</defs><use href="#g11"/></svg>'
    assert message(text) == (
        "a.svg:1, <svg>: the drawing has more than 5,000 parts; simplify it, or save it as PNG"
    )


@pytest.mark.parametrize("depth", [102, 3000])
def test_nesting_without_end(depth: int) -> None:
    text = f'<svg {NS} viewBox="0 0 9 9">' + "<g>" * depth + "</g>" * depth + "</svg>"
    assert message(text) == "a.svg: elements are nested more than 100 deep; ungroup the drawing"


def test_nesting_by_use() -> None:
    groups = '<g id="g0"><rect width="1" height="1"/></g>'
    for i in range(1, 120):
        groups += f'<g id="g{i}"><use href="#g{i - 1}"/></g>'
    text = f'<svg {NS} viewBox="0 0 9 9"><defs>{groups}</defs><use href="#g119"/></svg>'
    assert message(text) == (
        "a.svg:1, <svg>: elements are nested more than 100 deep; simplify it, or save it as PNG"
    )


def test_deep_but_allowed_nesting_is_drawn_in_full() -> None:
    text = f'<svg {NS} viewBox="0 0 9 9">' + '<g transform="scale(1)">' * 97
    text += '<rect width="9" height="9"/>' + "</g>" * 97 + "</svg>"
    assert len(svg.parts(svg.read(text.encode(), "a.svg"), Matrix())) == 1


def test_too_many_elements() -> None:
    text = f'<svg {NS} viewBox="0 0 9 9">' + "<g/>" * 50_000 + "</svg>"
    assert message(text) == (
        "a.svg: the file has 50,001 elements; at most 50,000 are read; "
        "simplify the drawing, or save it as PNG"
    )


def test_too_large_a_file() -> None:
    text = f'<svg {NS} viewBox="0 0 9 9"><title>{"a" * 21_000_000}</title></svg>'
    assert message(text) == (
        "a.svg: the file has 21 MB; at most 20 are read; simplify the drawing, or save it as PNG"
    )


FILES = [path.read_text(encoding="utf-8") for path in sorted(CORPUS.glob("*.svg"))]
JUNK = ["0", "-1", "1e9", "1e-9", "NaN", "%", "url(#x)", "", "none", "inherit", "#", ",", "Z", "é"]


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.sampled_from(FILES), st.integers(0, 10**6), st.integers(0, 8), st.sampled_from(JUNK))
def test_broken_files_give_one_line_each(text: str, at: int, cut: int, junk: str) -> None:
    """Any change of a drawing is drawn or refused in lines for a person, never a traceback."""
    at = 60 + at % (len(text) - 60)
    broken = text[:at] + junk + text[at + cut :]
    try:
        svg.parts(svg.read(broken.encode(), "a.svg"), Matrix(0.3, 0, 0, 0.3, 1, 1))
    except JobError as error:
        assert all(str(p).startswith("a.svg") and "\n" not in str(p) for p in error.problems)
