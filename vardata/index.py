"""Compact keys of the records that fit: what the parent process holds of a run.

17 bytes a record: the worker that fitted it, where it lies in that worker's spool, and the
number of its order; one more for its product in a mixed job. Records are numbered from 0 in
sheet order.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator

from vardata.impose.arrange import Keys
from vardata.impose.plan import OrderBook
from vardata.work.fitting import FitDone

Place = tuple[int, int, int]  # worker, offset, length


class Index:
    """Grows by one chunk at a time."""

    def __init__(self) -> None:
        self.products = array("B")  # empty in a job of one product
        self.ranks = array("Q")  # these two are empty without an order of work
        self.sorts = array("I")
        self._workers = array("B")
        self._offsets = array("Q")
        self._lengths = array("I")
        self.ordinals = array("I")
        self.orders = OrderBook()

    def add(self, done: FitDone) -> None:
        self._workers.extend([done.worker] * len(done.offsets))
        self._offsets.extend(done.offsets)
        self._lengths.extend(done.lengths)
        self.products.extend(done.products)
        self.ordinals.extend(self.orders.numbers(done.orders))

    def place(self, record: int) -> Place:
        return self._workers[record], self._offsets[record], self._lengths[record]

    def places(self, records: Iterable[int]) -> Iterator[Place]:
        """Those of many records."""
        workers, offsets, lengths = self._workers, self._offsets, self._lengths
        return ((workers[at], offsets[at], lengths[at]) for at in records)

    def keys(self) -> Keys:
        """What decides where records lie."""
        return Keys(self.ordinals, self.products, self.ranks, self.sorts)

    def __len__(self) -> int:
        return len(self._offsets)
