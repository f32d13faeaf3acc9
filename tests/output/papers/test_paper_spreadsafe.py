"""Cells that could run as formulas."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from paperkit import HOSTILE

from vardata.spreadsafe import guard, is_risky, unguard

# OWASP ASVS 5.0, 1.2.10 lists = + - @ TAB NUL; OWASP's page on CSV injection (and CWE-1236)
# adds carriage return, line feed and the full-width signs.
STARTS = ["=", "+", "-", "@", "\t", "\0", "\r", "\n", "＝", "＋", "－", "＠"]
texts = st.text() | st.text(alphabet="'=+-@\t\0\r\n ＝a1\u00a0\ufeff", max_size=6)


@pytest.mark.parametrize("start", STARTS)
def test_every_named_start_gets_one_apostrophe(start: str) -> None:
    assert guard(start + "1") == "'" + start + "1"


@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_space_before_a_sign_does_not_hide_it(start: str) -> None:
    assert guard(" \t" + start + "1") == "' \t" + start + "1"


@pytest.mark.parametrize(
    "text", ["Ann", "O'Neil", "'n Beetje", "a=b", "1-2", "", "'", "00042", "(-)"]
)
def test_what_cannot_run_is_left_alone(text: str) -> None:
    assert guard(text) == text == unguard(text)


@given(texts)
def test_undone_without_doubt(text: str) -> None:
    assert unguard(guard(text)) == text


@given(texts, texts)
def test_two_texts_never_become_one(one: str, other: str) -> None:
    assert (guard(one) == guard(other)) == (one == other)


@given(texts)
def test_nothing_guarded_starts_like_a_formula(text: str) -> None:
    told = guard(text)
    assert not told.lstrip(" \u00a0\ufeff").startswith(tuple(STARTS[:4]))
    assert not told.startswith(tuple(STARTS))


def test_hostile_cells_are_seen() -> None:
    risky = {text for text in HOSTILE if is_risky(text)}
    assert {"=1+1", "+49 170 1", "-Ann", "@SUM(A1)", "\t=1", "\0=1", " =1+1", "''-x"} <= risky
    assert not {"'quoted", "00042", "1E5", "", "two\nlines"} & risky
