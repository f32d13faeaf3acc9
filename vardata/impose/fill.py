"""Orders on beds, kept whole where that costs no bed.

In: the sizes of orders in the order in which they are due, and the slots of a bed. Out: parts of
orders bed by bed. The rule, in this order:

1. Never more beds than filling straight on would need.
2. Orders come in turn. One that does not fit what is left of a bed starts the next bed; what is
   left is filled with the next orders in turn that fit it, or stays empty while the run's spare
   slots last.
3. Where neither works, or an order is larger than a bed, it is spread over the edge of the bed.
4. If all this spreads more orders over beds than filling straight on does, straight on it is.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple


class Part(NamedTuple):
    """Pieces ``first`` to ``end`` (not counted in) of an order, in a row on one bed."""

    order: int  # its place in the sizes
    first: int
    end: int


def fill(sizes: Sequence[int], room: int) -> list[list[Part]]:
    """The parts on each bed, in the order of its slots."""
    kept = _Filling(sizes, room).beds()
    plain = _straight_on(sizes, room)
    return kept if _spread(kept, sizes, room) <= _spread(plain, sizes, room) else plain


def _straight_on(sizes: Sequence[int], room: int) -> list[list[Part]]:
    """Orders one after another, without a gap."""
    beds: list[list[Part]] = [[]]
    free = room
    for order, size in enumerate(sizes):
        first = 0
        while first < size:
            if not free:
                beds.append([])
                free = room
            end = min(size, first + free)
            beds[-1].append(Part(order, first, end))
            free -= end - first
            first = end
    return beds if beds[0] else []


def _spread(beds: Sequence[Sequence[Part]], sizes: Sequence[int], room: int) -> int:
    """How many orders that would fit a bed lie on several."""
    parts = (part for bed in beds for part in bed)
    return sum(part.first > 0 and sizes[part.order] <= room for part in parts)


class _Waiting:
    """Orders that are not placed yet, by size and in turn."""

    def __init__(self, sizes: Sequence[int], room: int) -> None:
        self.placed = bytearray(len(sizes))
        counts = [0] * (room + 2)
        for size in sizes:
            counts[min(size, room + 1)] += 1
        self._starts = array("I", [0])
        for count in counts:
            self._starts.append(self._starts[-1] + count)
        self._heads = array("I", self._starts[:-1])
        self._orders = array("I", bytes(4 * len(sizes)))
        at = array("I", self._starts[:-1])
        for order, size in enumerate(sizes):
            slot = min(size, room + 1)
            self._orders[at[slot]] = order
            at[slot] += 1

    def of_size(self, size: int) -> Iterator[int]:
        """The orders of a size that wait, in turn."""
        head, end = self._heads[size], self._starts[size + 1]
        while head < end and self.placed[self._orders[head]]:
            head += 1
        self._heads[size] = head
        return (
            self._orders[at] for at in range(head, end) if not self.placed[self._orders[at]]
        )


class _Filling:
    """One filling by the rule."""

    def __init__(self, sizes: Sequence[int], room: int) -> None:
        self._sizes, self._room = sizes, room
        total = sum(sizes)
        self._spare = -(-total // room) * room - total
        self._waiting = _Waiting(sizes, room)
        self._beds: list[list[Part]] = []
        self._free = 0

    def beds(self) -> list[list[Part]]:
        for order, size in enumerate(self._sizes):
            if self._waiting.placed[order]:
                continue
            self._waiting.placed[order] = 1
            if size > self._free and size <= self._room and self._free:
                self._close()
            first = 0
            while first < size:
                first = self._put(order, first, size)
        return self._beds

    def _put(self, order: int, first: int, size: int) -> int:
        """As many pieces of an order as the bed takes; gives the next one's number."""
        if not self._free:
            self._beds.append([])
            self._free = self._room
        end = min(size, first + self._free)
        self._beds[-1].append(Part(order, first, end))
        self._free -= end - first
        return end

    def _close(self) -> None:
        """Fills what is left of a bed with whole orders, if that or the spare slots suffice."""
        for chosen in (self._in_turn(), self._largest()):
            left = self._free - sum(self._sizes[order] for order in chosen)
            if left <= self._spare:
                for order in chosen:
                    self._waiting.placed[order] = 1
                    self._put(order, 0, self._sizes[order])
                self._spare -= left
                self._free = 0
                return

    def _in_turn(self) -> list[int]:
        """The next orders in turn that fit together into what is left."""
        chosen: list[int] = []
        left = self._free
        while left:
            taken = set(chosen)
            heads = [
                order
                for size in range(1, left + 1)
                for order in self._next(size, taken)
            ]
            if not heads:
                break
            chosen.append(min(heads))
            left -= self._sizes[chosen[-1]]
        return chosen

    def _largest(self) -> list[int]:
        """Orders that fit together into what is left, the largest first."""
        chosen: list[int] = []
        left = self._free
        for size in range(left, 0, -1):
            for order in self._waiting.of_size(size):
                if size > left:
                    break
                chosen.append(order)
                left -= size
        return chosen

    def _next(self, size: int, taken: set[int]) -> Iterator[int]:
        """The next waiting order of a size that is not taken: one or none."""
        for order in self._waiting.of_size(size):
            if order not in taken:
                yield order
                return


def cut_orders(ordinals: Sequence[int]) -> array[int]:
    """Where orders begin in a row of their numbers, and the end."""
    starts = array("I", [0] if len(ordinals) else [])
    starts.extend(at for at, (one, other) in enumerate(pairwise(ordinals), 1) if one != other)
    starts.append(len(ordinals))
    return starts
