"""Order of letters, breaks and clusters against Unicode's own test files (version 15.0, as Debian's
unicode-data carries them) and against uniseg, which follows the same rules by other code."""

from __future__ import annotations

import os
from collections.abc import Iterator
from itertools import accumulate
from pathlib import Path

import pytest
from faker import Faker
from hypothesis import given
from hypothesis import strategies as st
from uniseg.graphemecluster import grapheme_clusters
from uniseg.linebreak import line_break_boundaries

from vardata.fit.bidi import base_level, class_of, in_visual_order, resolved, runs_both_ways
from vardata.fit.breaking import words_of
from vardata.fit.clusters import clusters

UNICODE = Path("/usr/share/unicode")
# Where the rules have changed since version 15.0: two lines of Hebrew after a first hyphen (LB20a
# of version 17), and U+2701, which is no emoji any more.
NEWER_BREAKS = {"-א", "-\u0308א"}
NEWER_CLUSTERS = {"\u2701\u200d\u2701"}


def lines(name: str) -> Iterator[str]:
    with (UNICODE / name).open(encoding="utf-8") as file:
        for line in file:
            if content := line.split("#")[0].strip():
                yield content


def order(levels: list[int]) -> list[int]:
    seen = [(level, place) for place, level in enumerate(levels) if level >= 0]
    return [place for _, place in in_visual_order(seen)]


def numbers(text: str) -> list[int]:
    return [-1 if part == "x" else int(part) for part in text.split()]


def test_sequences_of_classes_are_ordered() -> None:
    """One in ten of Unicode's sequences; all of them with VARDATA_LONG=1 in the environment."""
    step = 1 if os.environ.get("VARDATA_LONG") else 10
    levels: list[int] = []
    places: list[int] = []
    tried = 0
    for number, line in enumerate(lines("BidiTest.txt")):
        if line.startswith("@Levels:"):
            levels = numbers(line.removeprefix("@Levels:"))
        elif line.startswith("@Reorder:"):
            places = numbers(line.removeprefix("@Reorder:"))
        elif not line.startswith("@") and number % step == 0:
            names, bits = line.split(";")
            classes = names.split()
            for bit, base in ((1, base_level(classes)), (2, 0), (4, 1)):
                if int(bits) & bit:
                    found = resolved(classes, base)
                    assert found == levels, (line, base)
                    assert order(found) == places, (line, base)
                    tried += 1
    assert tried == 770_241 if step == 1 else tried > 70_000


def test_every_line_of_characters_is_ordered() -> None:
    tried = 0
    for line in lines("BidiCharacterTest.txt"):
        codes, way, base, levels, places = line.split(";")
        text = "".join(chr(int(code, 16)) for code in codes.split())
        classes = [class_of(char) for char in text]
        start = base_level(classes) if way == "2" else int(way)
        assert start == int(base), line
        found = resolved(classes, start, text)
        assert found == numbers(levels), line
        assert order(found) == numbers(places), line
        tried += 1
    assert tried == 91_707


def broken(name: str) -> Iterator[tuple[str, list[int]]]:
    """The texts of a break test with the places where they break, their end among them."""
    for line in lines(f"auxiliary/{name}.txt"):
        text, ends = "", []
        for part in line.split():
            if part == "÷":
                ends.append(len(text))
            elif part != "×":
                text += chr(int(part, 16))
        yield text, [end for end in ends if end]


def test_lines_break_where_unicode_says() -> None:
    differing = set()
    for text, ends in broken("LineBreakTest"):
        if any(char in text for char in "\n\r\x0b\x0c\x85\u2028\u2029\u00ad"):
            continue  # these are taken out before, or are left out on purpose
        words = words_of(text)
        found = [*[start for start, _ in words.spans[1:]], len(text)]
        # Version 16 gave hyphens and quotes new rules; there uniseg says what is right.
        if found != ends and found != [end for end in line_break_boundaries(text) if end]:
            differing.add(text)
    assert differing == NEWER_BREAKS


def test_clusters_are_those_of_unicode() -> None:
    differing = {
        text
        for text, ends in broken("GraphemeBreakTest")
        if list(accumulate(map(len, clusters(text)))) != ends
    }
    assert differing == NEWER_CLUSTERS


LOCALES = ["en_GB", "vi_VN", "ar_SA", "fa_IR", "he_IL", "hi_IN", "bn_BD", "ta_IN", "th_TH", "ja_JP"]


@pytest.mark.parametrize("locale", LOCALES)
def test_names_fall_into_the_same_clusters(locale: str) -> None:
    fake = Faker(locale)
    fake.seed_instance(29)
    for _ in range(100):
        name = fake.name()
        assert list(clusters(name)) == list(grapheme_clusters(name))


@given(st.text(alphabet="aZ7.,'& ", min_size=1, max_size=24).map(lambda text: text.strip()))
def test_the_short_way_breaks_as_the_long_one(text: str) -> None:
    text = text or "a"
    starts = [start for start, _ in words_of(text).spans[1:]]
    assert [*starts, len(text)] == [end for end in line_break_boundaries(text) if end]


def test_what_runs_one_way_needs_no_order() -> None:
    assert not runs_both_ways("Zoë Ångström 42 (β)")
    assert runs_both_ways("דוד")
    assert runs_both_ways("\u202eabc")
