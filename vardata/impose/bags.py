"""Bags: the pieces of an order, in the order in which they are printed, so many to a bag.

In: positions in printing order grouped by order, where each order's begin, and the size of a
bag. Out: for each piece which bag of its order it goes into, and for each order its bags.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple


class Bag(NamedTuple):
    """Pieces ``first`` to ``last`` of an order, counted from 1; bag ``number`` of ``bags``."""

    number: int
    bags: int
    first: int
    last: int


def bags_of(pieces: int, size: int) -> Iterator[Bag]:
    """The bags of an order of so many pieces."""
    bags = -(-pieces // size)
    for number in range(1, bags + 1):
        yield Bag(number, bags, (number - 1) * size + 1, min(pieces, number * size))


class Bags:
    """Tells the bag of every piece; 8 bytes a record."""

    def __init__(self, positions: array[int], starts: Sequence[int], size: int) -> None:
        """``positions[starts[n] : starts[n + 1]]`` are those of order n."""
        self._size = size
        self._orders = array("I", bytes(4 * len(positions)))
        self._places = array("I", bytes(4 * len(positions)))
        self._counts = array("I")
        for order, (first, end) in enumerate(pairwise(starts)):
            self._counts.append(end - first)
            for place, position in enumerate(positions[first:end]):
                self._orders[position] = order
                self._places[position] = place

    def label(self, position: int) -> str:
        """Such as "2 of 3"."""
        bags = -(-self._counts[self._orders[position]] // self._size)
        return f"{self._places[position] // self._size + 1} of {bags}"
