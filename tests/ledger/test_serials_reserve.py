"""Reserving: one key one block, another key fresh numbers, whatever lies in the way."""

from __future__ import annotations

import sqlite3
from datetime import UTC, date, datetime
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vardata.ledger.ranges import Range, Stretch, free, insert, ranges_of
from vardata.ledger.serialfile import SCHEMA
from vardata.ledger.serials import ScopeMixed, Serials, UsedUp
from vardata.problems import OutputError

NOON = datetime(2026, 10, 31, 12, 0, tzinfo=UTC)


@pytest.fixture
def serials(tmp_path: Path) -> Serials:
    return Serials(tmp_path / "ledger.sqlite")


def test_the_same_key_gets_the_same_block(serials: Serials) -> None:
    first = serials.reserve("tag", 5, "a", day=date(2026, 10, 31), now=NOON)
    assert (first.ranges, first.day) == ((Range(1, 5),), date(2026, 10, 31))
    assert serials.reserve("tag", 5, "b").ranges == (Range(6, 10),)
    assert serials.reserve("tag", 5, "a", day=date(2027, 1, 1)) == first  # its date stays too
    assert serials.reserve("other", 5, "a").ranges == (Range(1, 5),)
    with pytest.raises(ValueError, match="has 5 numbers"):
        serials.reserve("tag", 6, "a")


def test_start_and_last(serials: Serials) -> None:
    assert serials.reserve("tag", 2, "a", start=1000).ranges == (Range(1000, 1001),)
    assert serials.reserve("tag", 2, "b", start=1).ranges == (Range(1002, 1003),)  # never back
    with pytest.raises(UsedUp) as error:
        serials.reserve("tag", 10, "c", last=1009)
    assert (error.value.asked, error.value.left) == (10, 6)
    assert serials.reserve("tag", 6, "d", last=1009).ranges == (Range(1004, 1009),)
    with pytest.raises(UsedUp):
        serials.reserve("tag", 1, "e", last=1009)


def test_imported_numbers_are_passed_over(serials: Serials) -> None:
    assert serials.import_used("tag", [3, 4, 9, 4, 100]) == (4, [])
    block = serials.reserve("tag", 8, "a")
    assert block.ranges == (Range(1, 2), Range(5, 8), Range(10, 11))
    assert list(block.numbers()) == [1, 2, 5, 6, 7, 8, 10, 11]
    assert [block.number(i) for i in range(8)] == list(block.numbers())
    with pytest.raises(IndexError):
        block.number(8)
    new, known = serials.import_used("tag", range(8, 14))
    assert new == 2  # 12 and 13
    assert [(s.first, s.last, s.state) for s in known] == [
        (8, 8, "reserved"), (9, 9, "imported"), (10, 11, "reserved"),
    ]  # fmt: skip
    assert serials.reserve("tag", 1, "b").ranges == (Range(14, 14),)


def test_given_values_are_used_once_in_order(serials: Serials) -> None:
    serials.offer("codes", ["K7", "A1", "Z9"])
    block = serials.reserve("codes", 2, "a", given=True)
    assert list(serials.given("codes", block.ranges)) == ["K7", "A1"]
    # The customer sorts the list and adds to it: nothing comes twice, nothing is lost.
    assert serials.offer("codes", ["A1", "B2", "C3", "K7", "Z9"]) == 2
    again = serials.reserve("codes", 3, "b", given=True)
    assert list(serials.given("codes", again.ranges)) == ["Z9", "B2", "C3"]
    assert list(serials.given("codes", block.ranges)) == ["K7", "A1"]
    with pytest.raises(UsedUp) as error:
        serials.reserve("codes", 1, "c", given=True)
    assert error.value.left == 0
    with pytest.raises(ScopeMixed):
        serials.reserve("codes", 1, "d")


def test_given_values_used_elsewhere(serials: Serials) -> None:
    serials.offer("codes", ["A", "B", "C"])
    assert serials.import_given("codes", ["B", "X", "B"])[0] == 2
    serials.offer("codes", ["A", "B", "C", "X", "D"])
    block = serials.reserve("codes", 3, "a", given=True)
    assert list(serials.given("codes", block.ranges)) == ["A", "C", "D"]


def test_a_rehearsal_leaves_no_trace(tmp_path: Path, serials: Serials) -> None:
    with serials.rehearsal() as copy:
        assert copy.reserve("tag", 5, "a").ranges == (Range(1, 5),)
    assert not (tmp_path / "ledger.sqlite").exists()
    serials.reserve("tag", 2, "b")
    before = (tmp_path / "ledger.sqlite").read_bytes()
    with serials.rehearsal() as copy:
        assert copy.reserve("tag", 5, "a").ranges == (Range(3, 7),)
        assert copy.reserve("tag", 2, "b").ranges == (Range(1, 2),)
        copy.offer("codes", ["A"])
        copy.void("tag", [1])
    assert (tmp_path / "ledger.sqlite").read_bytes() == before
    assert serials.reserve("tag", 1, "c").ranges == (Range(3, 3),)


def test_a_file_that_is_no_ledger_is_one_clear_line(tmp_path: Path) -> None:
    path = tmp_path / "ledger.sqlite"
    path.write_bytes(b"this is a letter, not a database, and long enough to be read as one" * 20)
    for looking in (False, True):
        with pytest.raises(OutputError) as error:
            if looking:
                Serials(path).rehearsal().__enter__()
            else:
                Serials(path).reserve("tag", 1, "a")
        assert "it is not a SQLite database; move it away" in str(error.value)
        assert "\n" not in str(error.value)


def test_the_database_itself_refuses_a_number_twice(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / "l") as database:
        database.executescript(SCHEMA)
        insert(database, "tag", Stretch(10, 20, "reserved", 1))
        for first, last in ((20, 20), (1, 10), (12, 13), (1, 99)):
            with pytest.raises(sqlite3.IntegrityError, match="given twice"):
                database.execute(
                    "INSERT INTO serial_range VALUES ('tag', ?, ?, 'reserved', 2)", (first, last)
                )


@settings(max_examples=60, deadline=None)
@given(st.sets(st.integers(0, 60)), st.integers(0, 60), st.integers(0, 40))
def test_free_numbers_against_counting_by_hand(taken: set[int], start: int, count: int) -> None:
    database = sqlite3.connect(":memory:", isolation_level=None)
    database.executescript(SCHEMA)
    for first, last in ranges_of(taken):
        insert(database, "tag", Stretch(first, last, "imported", 0))
    found, after = free(database, "tag", start, count)
    numbers = [n for first, last in found for n in range(first, last + 1)]
    assert numbers == [n for n in range(start, start + 200) if n not in taken][:count]
    assert all(b.first > a.last + 1 for a, b in pairwise(found))
    assert after > max(numbers, default=start - 1)
