"""Orders on beds: never more beds, whole where it costs none, nearly in turn."""

from __future__ import annotations

from array import array

from hypothesis import given
from hypothesis import strategies as st

from vardata.impose.arrange import Keys, arrange
from vardata.impose.bags import Bags, bags_of
from vardata.impose.fill import Part, cut_orders, fill
from vardata.impose.plan import OrderBook

SIZES = st.lists(st.integers(1, 14), max_size=40)
ROOM = st.integers(1, 12)


def _spread(sizes: list[int], room: int) -> int:
    """Orders that fit a bed and lie on two, when beds are filled straight on."""
    at, found = 0, 0
    for size in sizes:
        found += size <= room and at // room != (at + size - 1) // room
        at += size
    return found


@given(SIZES, ROOM)
def test_every_piece_lies_once_on_as_many_beds_as_straight_on(sizes: list[int], room: int) -> None:
    beds = fill(sizes, room)
    assert len(beds) == -(-sum(sizes) // room)
    assert all(0 < sum(part.end - part.first for part in bed) <= room for bed in beds)
    pieces = [(p.order, n) for bed in beds for p in bed for n in range(p.first, p.end)]
    assert sorted(pieces) == [(order, n) for order, size in enumerate(sizes) for n in range(size)]


@given(SIZES, ROOM)
def test_no_more_orders_are_spread_than_straight_on(sizes: list[int], room: int) -> None:
    beds = fill(sizes, room)
    where: dict[int, set[int]] = {}
    for number, bed in enumerate(beds):
        for part in bed:
            where.setdefault(part.order, set()).add(number)
    spread = sum(len(on) > 1 and sizes[order] <= room for order, on in where.items())
    assert spread <= _spread(sizes, room)


@given(SIZES, ROOM)
def test_of_two_orders_alike_the_nearer_is_never_on_a_later_bed(
    sizes: list[int], room: int
) -> None:
    starts: dict[int, int] = {}
    for number, bed in enumerate(fill(sizes, room)):
        for part in bed:
            starts.setdefault(part.order, number)
    latest: dict[int, int] = {}
    for order, size in enumerate(sizes):
        assert starts[order] >= latest.get(size, 0)
        latest[size] = starts[order]


def test_a_gap_is_filled_with_the_next_orders_that_fit_it() -> None:
    # By hand, beds of 6: 4 leaves 2, which 5 does not fit, but 1 and 1 do; 5 leaves 1, which
    # 3 does not fit, and the 18 pieces leave no slot to spare: 3 is spread.
    assert fill([4, 5, 1, 3, 1, 4], 6) == [
        [Part(0, 0, 4), Part(2, 0, 1), Part(4, 0, 1)],
        [Part(1, 0, 5), Part(3, 0, 1)],
        [Part(3, 1, 3), Part(5, 0, 4)],
    ]


def test_a_gap_stays_empty_while_spare_slots_last() -> None:
    # By hand, beds of 6: 8 pieces leave 4 spare slots, so the second 4 starts the second bed.
    assert fill([4, 4], 6) == [[Part(0, 0, 4)], [Part(1, 0, 4)]]
    # 12 pieces leave none: the order over the edge is spread.
    assert fill([4, 4, 4], 6) == [
        [Part(0, 0, 4), Part(1, 0, 2)], [Part(1, 2, 4), Part(2, 0, 4)]
    ]  # fmt: skip


def test_orders_begin_where_their_number_changes() -> None:
    assert list(cut_orders([3, 3, 1, 7, 7, 7])) == [0, 2, 3, 6]
    assert list(cut_orders([])) == [0]


RECORD = st.tuples(st.sampled_from(["", "a", "b", "c"]), st.integers(0, 2), st.integers(0, 3))


@given(st.lists(RECORD, max_size=40), st.integers(1, 7), st.booleans())
def test_the_nearest_orders_come_first_product_by_product(
    rows: list[tuple[str, int, int]], room: int, whole: bool
) -> None:
    book = OrderBook()
    ordinals = array("I", [book.number(order) for order, _, _ in rows])
    products = array("B", [product % 2 for _, product, _ in rows])
    ranks = array("Q", [rank for _, _, rank in rows])
    found = arrange(Keys(ordinals, products, ranks), [room, room + 1], whole)
    assert sorted(found.printing) == list(range(len(rows)))
    assert list(found.products) == sorted(found.products)
    due: dict[int, int] = {}
    for order, rank in zip(ordinals, ranks):
        due[order] = min(rank, due.get(order, rank))
    for product, slots in enumerate((room, room + 1)):
        mine = [plan for plan in found.plans() if plan.product == product]
        assert len(mine) == -(-list(products).count(product) // slots)
        assert all(0 < len(plan.records) <= slots for plan in mine)
        printed = [record for plan in mine for record in plan.records]
        assert all(products[record] == product for record in printed)
        if not whole:
            turns = [(due[ordinals[record]], ordinals[record], record) for record in printed]
            assert turns == sorted(turns)


@given(st.integers(1, 200), st.integers(1, 30))
def test_bags_hold_an_order_from_its_first_piece_to_its_last(pieces: int, size: int) -> None:
    bags = list(bags_of(pieces, size))
    assert [n for bag in bags for n in range(bag.first, bag.last + 1)] == list(range(1, pieces + 1))
    assert all(bag.last - bag.first + 1 == size for bag in bags[:-1])
    assert {bag.bags for bag in bags} == {len(bags)}


def test_each_piece_knows_its_bag() -> None:
    # Order 0 lies at positions 0, 1 and 4, order 1 at 2 and 3; bags of two.
    bags = Bags(array("I", [0, 1, 4, 2, 3]), array("I", [0, 3, 5]), 2)
    assert [bags.label(n) for n in range(5)] == ["1 of 2", "1 of 2", "1 of 1", "1 of 1", "2 of 2"]
