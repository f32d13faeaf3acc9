"""Texts looked at together: whatever is called quiet then, a look at it alone finds nothing in.

The look at one text is the judge; what it finds is judged by the checks' own tests.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_intake_checks import TEXTS

from vardata.intake.checks import words
from vardata.intake.checks.pictographs import Pictographs
from vardata.intake.checks.text import TextChecks
from vardata.intake.locales import find

CHECKS = TextChecks(Pictographs(()), ("to follow",), ("round the back",), find("de"))
NAMES = ("Annika Berg", "Zoë Ångström", "Jon Smith", "O'Neil", "Anne-Marie", "Crew 12", "A0001000")
PARTS = (
    *TEXTS, *NAMES, *words.PLACEHOLDERS, *words.SAME_AS_ABOVE, *words.SAME, *words.INSTRUCTIONS,
    "TO FOLLOW", "ROUND THE BACK", "31.02.2026", "1/2", "12-Mar", "Mar 12", "1.2E+12", "3x",
    "1234567890123456000", "ΑΝΝΑ", "Аnna", "\U0001f600", "M?ller", "<b>", "&amp;", "{{guest}}",
    "[x]", "2 pcs", "(x)", "#REF!", "=A1", "x", " ", "\n", "?", "+", ".", "_", "ß", "ſ",
    "\\n", "\\u00e9", "_x000D_", "_x", "İ", "K", "²", "٣",
)  # fmt: skip
A_TEXT = st.lists(st.sampled_from(PARTS), min_size=1, max_size=3).flatmap(
    lambda parts: st.sampled_from(["".join(parts), " ".join(parts), " ".join(parts).lower()])
)


@settings(max_examples=600, deadline=None)
@given(texts=st.lists(A_TEXT.filter(bool), min_size=1, max_size=6), code=st.booleans())
def test_a_look_finds_nothing_in_a_quiet_text(texts: list[str], code: bool) -> None:
    for text in CHECKS.quiet(texts, "name", code):
        assert CHECKS.look(text, "name", code) == [], text
        assert CHECKS.look(text, "name", code, read=False) == [], text


@pytest.mark.parametrize(
    "text", ["Crew 12 x", "Crew 12x", "Crew x 3", "3x Crew", "3 x Crew", "2 pcs Crew", "4 mal Jon"]
)
def test_texts_that_ask_for_pieces_are_not_quiet(text: str) -> None:
    assert [found.kind for found in CHECKS.look(text, "name", False)] == ["miscount"]
    assert list(CHECKS.quiet([*NAMES, text], "name", code=False)) == []


def test_usual_texts_are_quiet() -> None:
    assert list(CHECKS.quiet(NAMES, "name", code=False)) == list(NAMES)
    codes = ["https://t.example/00000012", "AB-1200", "000042"]
    assert list(CHECKS.quiet(codes, "code", code=True)) == codes


def test_one_odd_text_leaves_the_others_quiet() -> None:
    assert list(CHECKS.quiet([*NAMES, "Annika,", "M?ller", "1/2"], "name", False)) == list(NAMES)
