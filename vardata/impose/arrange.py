"""Every bed of a run: which records lie on it, and of which product it is.

In: order and product of each record that fits, in sheet order, and how many slots a bed of each
product has. Out: an ``Arrangement``. Beds come product by product, in the job's order, so that
a jig is changed once; within a product the rule is ``impose.plan``'s. Beds are numbered through.
"""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from vardata.impose.plan import BedPlan, bed_count, sequence


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


def arrange(ordinals: array[int], products: array[int], slots: Sequence[int]) -> Arrangement:
    """Records on beds. ``products`` may be empty where there is but one; ``slots`` by product."""
    if not products:
        printing = sequence(ordinals)
        starts = array("I", range(0, len(printing), slots[0]))
        kinds = array("B", bytes(len(starts)))
        starts.append(len(printing))
        return Arrangement(printing, starts, kinds)
    import numpy

    of = numpy.frombuffer(products, dtype=numpy.uint8)
    orders = numpy.frombuffer(ordinals, dtype=numpy.uint32)
    printing, starts, kinds = array("I"), array("I"), array("B")
    for product, room in enumerate(slots):
        records = numpy.flatnonzero(of == product).astype(numpy.uint32)
        local = sequence(array("I", orders[records].tobytes()))
        before = len(printing)
        printing.frombytes(records[numpy.frombuffer(local, dtype=numpy.uint32)].tobytes())
        starts.extend(range(before, len(printing), room))
        kinds.extend([product] * bed_count(len(printing) - before, room))
    starts.append(len(printing))
    return Arrangement(printing, starts, kinds)


def by_order(arrangement: Arrangement, ordinals: array[int]) -> array[int]:
    """Positions in printing order, grouped by the number of their order."""
    return sequence(array("I", [ordinals[record] for record in arrangement.printing]))
