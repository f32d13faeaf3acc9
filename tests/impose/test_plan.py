"""Which record sits where: stated rules, checked by hand and by random runs."""

from __future__ import annotations

from array import array

from hypothesis import given
from hypothesis import strategies as st

from vardata.impose.arrange import Keys, arrange
from vardata.impose.plan import OrderBook, bed_count, sequence


def test_orders_stand_together_in_the_order_of_their_first_record() -> None:
    book = OrderBook()
    ordinals = array("I", [book.number(order) for order in ["b", "a", "b", "", "a", ""]])
    assert list(sequence(ordinals)) == [0, 2, 1, 4, 3, 5]


def test_a_sorted_sheet_is_left_as_it_is() -> None:
    assert list(sequence(array("I", [0, 0, 1, 2, 2]))) == [0, 1, 2, 3, 4]


@given(st.lists(st.sampled_from(["", "a", "b", "c", "d"])), st.integers(1, 9))
def test_every_record_has_one_slot_and_orders_are_not_split(orders: list[str], slots: int) -> None:
    book = OrderBook()
    ordinals = array("I", book.numbers(orders))
    one_by_one = OrderBook()
    assert list(ordinals) == [one_by_one.number(order) for order in orders]
    beds = list(arrange(Keys(ordinals), [slots]).plans())
    assert len(beds) == bed_count(len(orders), slots)
    assert all(len(bed.records) == slots for bed in beds[:-1])
    placed = [record for bed in beds for record in bed.records]
    assert sorted(placed) == list(range(len(orders)))
    for order in set(orders) - {""}:
        where = [place for place, record in enumerate(placed) if orders[record] == order]
        assert where == list(range(where[0], where[0] + len(where)))
        assert [placed[place] for place in where] == sorted(placed[place] for place in where)


@given(
    st.lists(st.tuples(st.sampled_from(["a", "b", "c"]), st.integers(0, 1))), st.integers(1, 4)
)
def test_many_places_are_told_as_one_by_one(pieces: list[tuple[str, int]], slots: int) -> None:
    book = OrderBook()
    ordinals = array("I", book.numbers(order for order, _ in pieces))
    arrangement = arrange(Keys(ordinals, array("B", [of for _, of in pieces])), [slots, slots + 1])
    positions = array("I", reversed(range(len(pieces))))
    assert list(zip(*arrangement.where_all(positions))) == list(map(arrangement.where, positions))
    assert list(arrangement.records(positions)) == [arrangement.printing[at] for at in positions]
