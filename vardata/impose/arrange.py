"""Every bed of a run: which records lie on it, and of which product it is.

In: ``Keys`` of the records that fit, in sheet order, and how many slots a bed of each product
has. Out: an ``Arrangement``. Beds come product by product, in the job's order, so that a jig is
changed once; within a product the rule is ``impose.plan``'s, or ``impose.fill``'s where orders
are kept whole. Beds are numbered through.
"""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from vardata.impose.fill import cut_orders, fill
from vardata.impose.plan import BedPlan, bed_count, sequence

if TYPE_CHECKING:
    import numpy

_NONE = array("I")


class Keys(NamedTuple):
    """What decides where records lie. All but the orders' numbers may be empty: products in a
    job of one, ``ranks`` (the smaller, the earlier) and ``sorts`` (places by the sort columns)
    without an order of work."""

    ordinals: array[int]
    products: array[int] = array("B")
    ranks: array[int] = array("Q")
    sorts: array[int] = _NONE


class Arrangement(NamedTuple):
    """``printing`` holds records (their indices) bed by bed; bed n is of ``products[n - 1]`` and
    holds those from position ``starts[n - 1]`` to ``starts[n]``."""

    printing: array[int]
    starts: array[int]
    products: array[int]

    @property
    def beds(self) -> int:
        return len(self.products)

    def plans(self) -> Iterator[BedPlan]:
        """All beds, in order."""
        for number in range(1, self.beds + 1):
            yield self.bed(number)

    def bed(self, number: int) -> BedPlan:
        """One bed by its number, from 1."""
        first, end = self.starts[number - 1], self.starts[number]
        return BedPlan(number, self.printing[first:end], self.products[number - 1])

    def where(self, position: int) -> tuple[int, int, int]:
        """Bed, place among its slots (from 0) and product of a position in printing order."""
        bed = bisect_right(self.starts, position)
        return bed, position - self.starts[bed - 1], self.products[bed - 1]


    def where_all(self, positions: array[int]) -> tuple[array[int], array[int], array[int]]:
        """The same of many positions: all beds, all places, all products."""
        import numpy

        at, starts = numpy.frombuffer(positions, numpy.uint32), _numbers(self.starts)
        beds = numpy.searchsorted(starts, at, side="right")
        return (
            array("I", beds.astype(numpy.uint32).tobytes()),
            array("I", (at - starts[beds - 1]).astype(numpy.uint32).tobytes()),
            array("B", numpy.frombuffer(self.products, numpy.uint8)[beds - 1].tobytes()),
        )

    def records(self, positions: array[int]) -> array[int]:
        """The records at many positions in printing order."""
        return array("I", _numbers(self.printing)[_numbers(positions)].tobytes())


def _numbers(values: array[int]) -> numpy.ndarray:
    import numpy

    return numpy.frombuffer(values, numpy.uint32)


def arrange(keys: Keys, slots: Sequence[int], whole: bool = False) -> Arrangement:
    """Records on beds; ``slots`` by product. ``whole``: orders are kept whole where it costs no
    bed."""
    if not (keys.products or keys.ranks or keys.sorts or whole):
        printing = sequence(keys.ordinals)
        starts = array("I", range(0, len(printing), slots[0]))
        kinds = array("B", bytes(len(starts)))
        starts.append(len(printing))
        return Arrangement(printing, starts, kinds)
    import numpy

    in_turn = _in_turn(keys)
    printing, starts, kinds = array("I"), array("I"), array("B")
    for product, room in enumerate(slots):
        records = in_turn
        if keys.products:
            records = in_turn[numpy.frombuffer(keys.products, numpy.uint8)[in_turn] == product]
        for bed in _beds(records, keys.ordinals, room, whole):
            starts.append(len(printing))
            printing.frombytes(bed.tobytes())
            kinds.append(product)
    starts.append(len(printing))
    return Arrangement(printing, starts, kinds)


def _in_turn(keys: Keys) -> numpy.ndarray:
    """Records by the rank of their order, then by order as in the sheet, then sorted."""
    import numpy

    orders = numpy.frombuffer(keys.ordinals, numpy.uint32)
    levels: list[numpy.ndarray] = [orders]
    if keys.sorts:
        levels.insert(0, numpy.frombuffer(keys.sorts, numpy.uint32))
    if keys.ranks and len(orders):
        ranks = numpy.frombuffer(keys.ranks, numpy.uint64)
        due = numpy.full(int(orders.max()) + 1, numpy.iinfo(numpy.uint64).max, numpy.uint64)
        numpy.minimum.at(due, orders, ranks)  # an order is due when its first record is
        levels.append(due[orders])
    return numpy.lexsort(levels).astype(numpy.uint32)


def _beds(
    records: numpy.ndarray, ordinals: array[int], room: int, whole: bool
) -> Iterator[numpy.ndarray]:
    """The records of each bed of a product."""
    import numpy

    if not whole:
        for number in range(bed_count(len(records), room)):
            yield records[number * room : (number + 1) * room]
        return
    of = numpy.frombuffer(ordinals, numpy.uint32)[records]
    starts = cut_orders(of)
    for parts in fill([end - start for start, end in pairwise(starts)], room):
        yield numpy.concatenate(
            [records[starts[p.order] + p.first : starts[p.order] + p.end] for p in parts]
        )


def by_order(arrangement: Arrangement, ordinals: array[int]) -> array[int]:
    """Positions in printing order, grouped by the number of their order."""
    return sequence(array("I", [ordinals[record] for record in arrangement.printing]))
