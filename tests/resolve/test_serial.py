"""Patterns of serials: what is written, that no two are alike, and that each can be read back."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from vardata.job.serialparts import ALPHABETS
from vardata.job.serials import SerialRule
from vardata.resolve.serial import SerialMaker

NEW_YEAR = date(2027, 1, 1)  # ISO 8601: a Friday in week 53 of 2026


def made(text: str, day: date = date(2026, 10, 31), **more: object) -> SerialMaker:
    return SerialMaker(SerialRule.model_validate({"text": text, **more}), day)


@pytest.mark.parametrize(
    ("text", "number", "expected"),
    [
        ("FHL-{{ year }}-{{ number }}", 17, "FHL-2027-17"),
        ("{{short_year}}{{month}}{{day}}/{{number}}", 0, "270101/0"),
        ("{{ week_year }}W{{ week }}-{{ number }}", 5, "2026W53-5"),
        ("No. {{ number }} {of} 9", 3, "No. 3 {of} 9"),
        ("№{{ number }}·Ω", 3, "№3·Ω"),
    ],
)
def test_parts(text: str, number: int, expected: str) -> None:
    assert made(text, NEW_YEAR).text(number) == expected


@pytest.mark.parametrize(
    ("alphabet", "digits", "number", "expected"),
    [
        ("decimal", 4, 42, "0042"),
        ("hex", 4, 48879, "BEEF"),
        ("hex", None, 255, "FF"),
        ("01", 8, 170, "10101010"),
        ("ABCDEFGHIJKLMNOPQRSTUVWXYZ", 2, 27, "BB"),
        ("ABC", 3, 0, "AAA"),
    ],
)
def test_bases(alphabet: str, digits: int | None, number: int, expected: str) -> None:
    assert made("{{ number }}", alphabet=alphabet, digits=digits).text(number) == expected


def test_the_clear_alphabet_holds_nothing_that_looks_alike() -> None:
    clear = ALPHABETS["clear"]
    assert not set("0OQD1ILl2Z5S8BUV") & set(clear)  # common practice, no source
    assert not set("AEIOU") & set(clear) and len(set(clear)) == len(clear)


RULES = st.fixed_dictionaries({
    "text": st.sampled_from([
        "{{ number }}", "A{{ number }}{{ year }}", "{{ year }}{{ number }}{{ week_year }}",
        "7{{ number }}7", "{{ number }}-{{ month }}{{ day }}",
    ]),
    "digits": st.sampled_from([None, 1, 3, 6]),
    "alphabet": st.sampled_from(["decimal", "hex", "clear", "10", "zyx", "-+.*?^"]),
})  # fmt: skip


@given(RULES, st.integers(0, 10**6), st.dates(date(2000, 1, 1), date(2199, 12, 31)))
def test_no_two_are_alike_and_each_is_read_back(
    rule: dict[str, object], start: int, day: date
) -> None:
    maker = SerialMaker(SerialRule.model_validate(rule), day)
    last = maker.last if maker.last is not None else start + 300
    start = min(start, max(0, last - 300))
    numbers = range(start, min(start + 300, last + 1))
    texts = [maker.text(number) for number in numbers]
    assert len(set(texts)) == len(numbers)
    another_day = SerialMaker(SerialRule.model_validate(rule), day + timedelta(days=400))
    assert [another_day.number(text) for text in texts] == list(numbers)


@pytest.mark.parametrize(
    "text", ["", "FHL-2026-17", "FHL-2026-00017", "FHL-26-0017", " FHL-2026-0017", "FHL-2026-0O17"]
)
def test_what_is_no_serial(text: str) -> None:
    maker = made("FHL-{{ year }}-{{ number }}", digits=4)
    assert maker.number(text) is None
    assert maker.number("FHL-1999-0017") == 17


def test_the_last_number() -> None:
    assert made("{{ number }}", digits=3).last == 999
    assert made("{{ number }}", digits=2, alphabet="hex").last == 255
    assert made("{{ number }}").last is None


@pytest.mark.parametrize(
    ("rule", "line"),
    [
        ({"text": "{{ nubmer }}"}, "a serial has no part 'nubmer'; did you mean 'number'?"),
        ({"text": "{{ number }"}, 'cannot be read; write a part as "{{ number }}"'),
        ({"text": "{% if x %}"}, "cannot be read"),
        ({"text": "{{ number * 2 }}"}, "a serial has no part 'number * 2'"),
        ({"text": "a\n{{ number }}"}, "holds a control character"),
        ({"alphabet": "Hex"}, "'Hex' is not an alphabet; did you mean 'hex'?"),
        ({"alphabet": "0"}, "has fewer than two symbols"),
        ({"alphabet": "0102"}, "'0102' holds '0' more than once"),
        ({"alphabet": "0 1"}, "' ' in '0 1' cannot stand in a number"),
        ({"check": "mod11"}, "Input should be"),
        ({"digits": 0}, "greater than or equal to 1"),
        ({"start": -1}, "greater than or equal to 0"),
    ],
)
def test_values_that_are_refused(rule: dict[str, object], line: str) -> None:
    with pytest.raises(ValidationError) as error:
        SerialRule.model_validate(rule)
    assert line in str(error.value)
