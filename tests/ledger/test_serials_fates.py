"""What becomes of numbers: printed, unused, delivered, void, destroyed and made again."""

from __future__ import annotations

import random
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import pytest

from vardata.ledger.serialfates import NotConfirmed
from vardata.ledger.serials import Serials, UsedUp

NOON = datetime(2026, 10, 31, 12, 0, tzinfo=UTC)


@pytest.fixture
def serials(tmp_path: Path) -> Serials:
    return Serials(tmp_path / "ledger.sqlite")


def states(serials: Serials, scope: str = "tag") -> dict[int, str]:
    return {
        number: stretch.state
        for stretch in serials.stretches(scope)
        for number in range(stretch.first, stretch.last + 1)
    }


def test_a_run_from_reservation_to_delivery(serials: Serials) -> None:
    block = serials.reserve("tag", 6, "a")
    assert set(states(serials).values()) == {"reserved"}
    serials.finish("run1", [(block, [2, 5])], NOON)
    assert states(serials) == {
        1: "printed", 2: "unused", 3: "printed", 4: "printed", 5: "unused", 6: "printed",
    }  # fmt: skip
    assert serials.void("tag", [3, 5, 3]) == 2
    assert serials.deliver("run1") == 3
    assert serials.deliver("other") is None
    serials.finish("run1", [(block, [2, 5])], NOON)  # built again: what people said stays
    assert states(serials) == {
        1: "delivered", 2: "unused", 3: "void", 4: "delivered", 5: "void", 6: "delivered",
    }  # fmt: skip
    assert serials.void("tag", [3]) == 0
    assert serials.reserve("tag", 6, "a").ranges == block.ranges
    assert serials.reserve("tag", 1, "b").number(0) == 7  # unused and void are never given again


def test_a_killed_run_leaves_a_gap_that_its_key_still_has(serials: Serials) -> None:
    lost = serials.reserve("tag", 4, "killed")
    after = serials.reserve("tag", 2, "next")
    serials.finish("run2", [(after, [])], NOON)
    assert [(g.first, g.last, g.state) for g in serials.gaps("tag")] == [(1, 4, "reserved")]
    again = serials.reserve("tag", 4, "killed")
    assert again == lost and again.finished is None
    serials.finish("run1", [(again, [])], NOON)
    assert serials.gaps("tag") == []


def test_states_stay_few_rows(serials: Serials) -> None:
    block = serials.reserve("tag", 100_000, "a")
    serials.finish("run", [(block, range(50_000, 50_010))], NOON)
    assert len(serials.stretches("tag")) == 3
    serials.void("tag", [70_000, 70_001, 70_002])
    assert len(serials.stretches("tag")) == 5
    serials.void("tag", range(70_003, 100_001))
    assert len(serials.stretches("tag")) == 4


def test_marks_in_any_order_account_for_every_number(serials: Serials) -> None:
    chance = random.Random(7)
    serials.reserve("tag", 300, "a")
    serials.printed("tag", range(1, 301))
    said = dict.fromkeys(range(1, 301), "printed")
    for _ in range(60):
        numbers = chance.sample(range(-5, 320), chance.randrange(1, 12))
        serials.void("tag", numbers)
        said |= {n: "void" for n in numbers if n in said}
    assert states(serials) == said


def test_finishing_with_held_records_accounts_for_every_number(serials: Serials) -> None:
    chance = random.Random(8)
    for run in range(25):
        serials.import_used("tag", [chance.randrange(1, 900) for _ in range(3)])
        block = serials.reserve("tag", chance.randrange(1, 30), f"k{run}")
        numbers = list(block.numbers())
        void = set(chance.sample(numbers, len(numbers) // 5))
        unused = set(chance.sample(numbers, chance.randrange(len(numbers) + 1)))
        serials.void("tag", void)
        serials.finish(f"r{run}", [(block, unused)], NOON)
        now = states(serials)
        for number in numbers:
            rest = "unused" if number in unused else "printed"
            assert now[number] == ("void" if number in void else rest)
    found = serials.stretches("tag")
    assert all(a.last < b.first for a, b in pairwise(found))
    alike = [(a, b) for a, b in pairwise(found)
             if a.last + 1 == b.first and a[2:] == b[2:]]  # fmt: skip
    assert alike == []


def test_pictures_tie_a_block(serials: Serials) -> None:
    block = serials.reserve("tag", 2, "a")
    assert serials.bind([block], "red") and serials.bind([block], "red")
    assert not serials.bind([block], "blue")


def test_a_remake_takes_the_next_number_unless_the_piece_is_destroyed(serials: Serials) -> None:
    block = serials.reserve("tag", 3, "a")
    serials.finish("run1", [(block, [])], NOON)
    assert serials.remake("tag", 2) == 4
    assert serials.remake("tag", 2) == 4  # asked again: the same answer
    assert states(serials) == {1: "printed", 2: "void", 3: "printed", 4: "reserved"}
    with pytest.raises(NotConfirmed):
        serials.remake("tag", 3, destroyed=True)
    assert serials.confirm_destroyed("tag", [2, 3, 4, 99]) == [2, 4, 99]  # no piece of these
    assert serials.is_destroyed("tag", 3)
    assert serials.remake("tag", 3, destroyed=True) == 3
    assert not serials.is_destroyed("tag", 3)
    with pytest.raises(NotConfirmed):  # a confirmation is good for one remake
        serials.remake("tag", 3, destroyed=True)
    serials.printed("tag", [4])
    assert serials.remake("tag", 4) == 5
    with pytest.raises(UsedUp):
        serials.remake("tag", 1, last=5)
    assert states(serials)[1] == "printed"  # nothing happened
    with pytest.raises(KeyError):
        serials.remake("tag", 77)


def test_a_remake_of_a_given_value_takes_the_next_of_the_list(serials: Serials) -> None:
    serials.offer("codes", ["A", "B", "C"])
    serials.reserve("codes", 2, "a", given=True)
    assert serials.remake("codes", 1) == 3
    with pytest.raises(UsedUp):
        serials.remake("codes", 2)
