"""Which record sits in which slot of which bed.

In: an order ordinal for each record that fits, in sheet order. Out: the order in which they
are printed; ``impose.arrange`` cuts it into beds. The rule: orders come in the sheet's order of
their first record; the records of one order stand together, in sheet order; slots are filled in
the jig's order and beds one after another, so only the last bed may be partly empty. Records
without an order stand alone.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator
from typing import NamedTuple


class BedPlan(NamedTuple):
    """One bed load. ``records[i]`` is the record (its index) in the i-th usable slot."""

    number: int  # from 1
    records: array[int]
    product: int = 0  # its place among the job's products


class OrderBook:
    """Gives each order a number by first sight; ``names`` are the orders in that order."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}
        self._next = 0

    def number(self, order: str) -> int:
        if not order:
            self._next += 1
            return self._next - 1
        found = self._numbers.get(order)
        if found is None:
            found = self._numbers[order] = self._next
            self._next += 1
        return found

    def numbers(self, orders: Iterable[str]) -> Iterator[int]:
        """The number of each: rows of one order mostly stand together."""
        last, number = "", -1
        for order in orders:
            if order != last or not order:
                last, number = order, self.number(order)
            yield number

    @property
    def total(self) -> int:
        """Numbers given so far."""
        return self._next

    def names(self) -> list[str]:
        """The orders that have a name; ``number`` gives the number of each."""
        return list(self._numbers)


def sequence(ordinals: array[int]) -> array[int]:
    """Record indices in printing order: grouped by order, otherwise as in the sheet."""
    last = -1
    for ordinal in ordinals:
        if ordinal < last:
            break
        last = ordinal
    else:
        return array("I", range(len(ordinals)))
    import numpy

    order = numpy.argsort(numpy.frombuffer(ordinals, dtype=numpy.uint32), kind="stable")
    return array("I", order.astype(numpy.uint32).tobytes())


def bed_count(records: int, slots: int) -> int:
    return -(-records // slots)

