"""The order of work against a plain sort of the same records, held ones left out."""

from __future__ import annotations

from array import array
from itertools import groupby

from hypothesis import given
from hypothesis import strategies as st

from vardata.impose.arrange import arrange
from vardata.index import Index
from vardata.intake.record import Record
from vardata.precedence import Precedence
from vardata.work.fitting import FitDone

ROW = st.tuples(
    st.sampled_from(["", "a", "b", "c"]),  # order
    st.integers(0, 3),  # rank
    st.sampled_from(["Team 2", "Team 10", "team 1", "Équipe", "Zoo", ""]),
    st.booleans(),  # held
)
# By hand: as people count, capitals and accents aside; nothing comes first.
PLACE = {"": 0, "Équipe": 1, "team 1": 2, "Team 2": 3, "Team 10": 4, "Zoo": 5}


@given(st.lists(ROW, max_size=40), st.integers(1, 6))
def test_records_are_printed_as_a_plain_sort_would_have_them(
    rows: list[tuple[str, int, str, bool]], room: int
) -> None:
    precedence, index = Precedence([1]), Index()
    held_at = array("Q", [at for at, row in enumerate(rows) if row[3]])
    for at, (order, rank, team, _) in enumerate(rows):
        precedence.add(Record(f"s!{at + 2}#1", at + 2, 1, order, "", ("x", team), 0, rank))
    kept = [row for row in rows if not row[3]]
    orders = tuple(order for order, *_ in kept)
    places = array("Q", range(len(kept))), array("I", [1] * len(kept))
    index.add(FitDone(0, orders, *places, (), ()))
    precedence.settle(held_at, index)
    printed = arrange(index.keys(), [room])

    names = [order or f"alone {at}" for at, order in enumerate(orders)]
    first = {name: names.index(name) for name in names}
    due = {name: min(row[1] for row, one in zip(kept, names) if one == name) for name in names}
    plain = sorted(
        range(len(kept)),
        key=lambda at: (due[names[at]], first[names[at]], PLACE[kept[at][2]], at),
    )
    assert list(printed.printing) == plain
    assert printed.beds == -(-len(kept) // room)
    # Whole orders change what lies on which bed, never what lies within an order.
    whole = arrange(index.keys(), [room], whole=True)
    assert whole.beds == printed.beds and sorted(whole.printing) == sorted(plain)
    for name, group in groupby(plain, key=lambda at: names[at]):
        assert [at for at in whole.printing if names[at] == name] == list(group)
