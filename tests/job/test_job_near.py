"""The nearest valid name, and the counting of edits behind it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vardata.job.near import choose, edits, nearest


@pytest.mark.parametrize(
    ("a", "b", "count"),
    [
        # Published examples of edit distances, from memory: Levenshtein's kitten and saturday;
        # ca and abc, on which optimal string alignment differs from the unrestricted distance (2).
        ("kitten", "sitting", 3),
        ("saturday", "sunday", 3),
        ("ca", "abc", 3),
        ("widht", "width", 1),
        ("", "abc", 3),
        ("same", "same", 0),
    ],
)
def test_edits(a: str, b: str, count: int) -> None:
    assert edits(a, b) == edits(b, a) == count


WORDS = st.text("abcd", max_size=6)


@given(WORDS, WORDS)
def test_edits_lie_between_the_bounds_of_any_edit_distance(a: str, b: str) -> None:
    assert abs(len(a) - len(b)) <= edits(a, b) <= max(len(a), len(b))
    assert (edits(a, b) == 0) == (a == b)


@given(WORDS, WORDS, WORDS)
def test_one_edit_more_is_at_most_one_farther(a: str, b: str, c: str) -> None:
    assert edits(a + c, b + c) <= edits(a, b)
    assert edits(a, b + "x") <= edits(a, b) + 1


@pytest.mark.parametrize(
    ("name", "allowed", "expected"),
    [
        ("EAN-13", ["qr", "code128", "ean13"], "ean13"),
        ("Code 39", ["code128", "code39"], "code39"),
        ("QR-Code", ["code39", "qr"], "qr"),
        ("color", ["colour", "corner"], "colour"),
        ("center", ["left", "centre"], "centre"),
        ("gray", ["grey", "green"], "grey"),
        ("text_fnt", ["text", "text_line", "text_font"], "text_font"),
        ("mn_size", ["size", "min_size"], "min_size"),
        ("w", ["x", "y"], None),
        ("elephant", ["width", "height"], None),
        ("", ["a"], None),
        ("x" * 100_000, ["width"], None),
    ],
)
def test_nearest(name: str, allowed: list[str], expected: str | None) -> None:
    assert nearest(name, allowed) == expected


def test_words_for_a_remedy() -> None:
    assert choose("fien", ["draft", "fine"]) == "did you mean 'fine'? allowed: draft, fine"
    assert choose("zzz", ["draft", "fine"]) == "allowed: draft, fine"
    assert choose("zzz", [], "there is none") == "there is none"
    assert choose("zzz", [f"n{i}" for i in range(40)]).endswith("n15 and 24 more")
