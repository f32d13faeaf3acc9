"""Where texts break, and how they are spread over lines: against every way there is."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vardata.fit.breaking import Balance, words_of


def _parts(text: str) -> list[str]:
    words = words_of(text)
    return [text[start:end] for start, end in words.spans]


# ---------------------------------------------------------------- places to break


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        # By hand after UAX 14: LB18 (spaces), LB20a and LB21 (hyphens), LB25 (hyphen and figure),
        # LB12 (glue), LB13 (slash, closing), LB31 (ideographs). A soft hyphen is left out.
        ("Ada Lovelace", ["Ada", "Lovelace"]),
        ("Ada  King   Lovelace", ["Ada", "King", "Lovelace"]),
        ("Jean-Luc Smith-Jones", ["Jean-", "Luc", "Smith-", "Jones"]),
        ("A-4 B -5 - x", ["A-4", "B", "-5", "-", "x"]),
        ("--x x--y", ["--", "x", "x--", "y"]),
        ("a\u2010b", ["a\u2010", "b"]),
        ("a\u2011b", ["a\u2011b"]),
        ("Dr\u00a0No 10\u202fkg 7\u20078", ["Dr\u00a0No", "10\u202fkg", "7\u20078"]),
        ("a\u2003b\u3000c", ["a", "b", "c"]),
        ("co\u00adop", ["co\u00adop"]),
        ("a\u200bb", ["a", "b"]),
        ("and/or", ["and/", "or"]),
        ("O'Neil & Sons, Ltd.", ["O'Neil", "&", "Sons,", "Ltd."]),
        ("Ada (King) !", ["Ada", "(King) !"]),
        # Words of Thai by ICU's dictionary: language, Thai.
        ("ภาษาไทย", ["ภาษา", "ไทย"]),
        ("अनन्या शर्मा", ["अनन्या", "शर्मा"]),
        ("山田太郎", ["山", "田", "太", "郎"]),
        ("さくらちゃん", ["さ", "く", "ら", "ちゃ", "ん"]),
        ("山田 Taro", ["山", "田", "Taro"]),
        ("「山」。", ["「山」。"]),
        ("a\nb c", ["a", "b", "c"]),
        ("a\n\nb", ["a", "", "b"]),
        ("", [""]),
    ],
)
def test_words(text: str, parts: list[str]) -> None:
    assert _parts(text) == parts


def test_line_breaks_in_the_text_are_forced() -> None:
    words = words_of("a b\nc\n\nd")
    assert words.forced == {1, 2, 3}
    assert words.fewest == 4


def test_a_very_long_text_keeps_every_other_break() -> None:
    text = " ".join(f"w{n}" for n in range(200))
    parts = _parts(text)
    assert 30 < len(parts) <= 60
    assert " ".join(parts) == text


@given(st.text(alphabet="ab -\n\u00a0山っ\u2010", max_size=30))
def test_words_lose_nothing_but_spaces(text: str) -> None:
    words = words_of(text)
    assert "".join(_parts(text)).replace(" ", "") == text.replace(" ", "").replace("\n", "")
    for (_, end), (start, _) in pairwise(words.spans):
        assert text[end:start].strip(" \n") == ""
    assert words.fewest == text.count("\n") + 1


# ---------------------------------------------------------------- balance


def _every_way(count: int, forced: frozenset[int], lines: int) -> list[tuple[int, ...]]:
    """The ends of the lines, for every way to break so many words into so many lines."""
    ways = [(*cuts, count) for cuts in combinations(range(1, count), lines - 1)]
    return [way for way in ways if {word + 1 for word in forced} <= set(way)]


@st.composite
def _texts(draw: st.DrawFn) -> tuple[str, list[int]]:
    sizes = draw(st.lists(st.integers(1, 6), min_size=1, max_size=9))
    gaps = draw(st.lists(st.sampled_from("    \n"), min_size=len(sizes), max_size=len(sizes)))
    return "".join("x" * size + gap for size, gap in zip(sizes, gaps)).strip(), sizes


@given(_texts(), st.integers(1, 7))
def test_the_narrowest_then_the_evenest_then_the_longer_first(
    text: tuple[str, list[int]], lines: int
) -> None:
    words = words_of(text[0])
    starts = [start for start, _ in words.spans]

    def width(first: int, after: int) -> float:
        return words.spans[after - 1][1] - starts[first]

    def widths(way: tuple[int, ...]) -> list[float]:
        return [width(first, after) for first, after in zip((0, *way), way)]

    balance = Balance(words, width)
    ways = _every_way(len(words.spans), words.forced, lines)
    if not ways:
        assert balance.ends(lines) == ()
        assert balance.widest(lines) == float("inf")
        return
    best = min(
        ways,
        key=lambda way: (
            max(widths(way)), sum(w * w for w in widths(way)), [-w for w in widths(way)],
        ),
    )  # fmt: skip
    assert balance.ends(lines) == best
    assert balance.widest(lines) == max(widths(best))


@pytest.mark.parametrize(
    ("text", "lines", "want"),
    [
        # By hand; the width of a line is its characters.
        ("aa aa aa", 2, ["aa aa", "aa"]),  # equals: the longer first
        ("aaaa b cccc", 2, ["aaaa b", "cccc"]),
        ("a b c dddddd", 3, ["a b", "c", "dddddd"]),  # 3 1 6, not 1 3 6
        ("a b c d eeeeeeeee", 3, ["a b", "c d", "eeeeeeeee"]),  # 3 3 9, not 5 1 9: the evener
        ("aa bbbb cccccc d", 3, ["aa bbbb", "cccccc", "d"]),  # 7 6 1 and not the evener 2 4 8
        ("Smith-Jones", 2, ["Smith-", "Jones"]),
        ("a\nbb cc dd", 3, ["a", "bb cc", "dd"]),
    ],
)
def test_balance_by_hand(text: str, lines: int, want: list[str]) -> None:
    words = words_of(text)

    def width(first: int, after: int) -> float:
        start, end = words.stretch(first, after)
        return end - start

    ends = Balance(words, width).ends(lines)
    stretches = [words.stretch(first, after) for first, after in zip((0, *ends), ends)]
    assert [text[start:end] for start, end in stretches] == want
