"""One size for a group of texts: the first pass over the records, before they are fitted.

In: the stream of records of a job whose layout has groups, and what earlier runs gave them. Out:
the same records as tasks for a second pass, with the size that each group has. The stream is
read once; memory holds a line for each group and 13 bytes a record.
"""

from __future__ import annotations

import hashlib
import json
import pickle
from array import array
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from vardata.fit.groupsize import GroupSize, GroupSizes, kept, merged
from vardata.intake.record import Record
from vardata.job.model import Setup
from vardata.ledger.groupsizes import StoredSize, store_sizes, stored_sizes
from vardata.pool import Pool
from vardata.resolve.groups import counted_sides, first_field, grouped_fields
from vardata.work.grouping import Again, Measure, Measured

if TYPE_CHECKING:
    import sqlite3


class Sizes(NamedTuple):
    """Which sizes groups of texts keep: those they have now; ``new`` ones; or those ``of_run``, an
    id, where it gave them any."""

    new: bool = False
    of_run: str | None = None


PRESENT = Sizes()


def grouping_of(setup: Setup, ledger_file: Path, wanted: Sizes = PRESENT) -> Grouping | None:
    """The groups of texts that share one size, if the layout has any."""
    if not any(any(grouped_fields(part.layout)) for part in setup.all_sides()):
        return None
    stored = [] if wanted.new else stored_sizes(ledger_file, setup.job.name, wanted.of_run)
    return Grouping(setup, stored, of_old=wanted.of_run is not None)


def _called(setup: Setup, part: Setup, field: str) -> str:
    """A field's name in the ledger: with its product where there are several."""
    return f"{part.layout.name}: {field}" if setup.products else field


def _as_printed(one: StoredSize, tracking: float) -> GroupSize:
    """A stored size; ``tracking`` is the field's own, which older ledgers do not tell."""
    given = tracking if one.tracking is None else one.tracking
    return GroupSize(one.size_pt, one.squeeze, one.lines, given)


class Grouping:
    """The groups of one run. ``sizes`` are known when the first pass is done."""

    def __init__(
        self, setup: Setup, stored: Iterable[StoredSize], of_old: bool = False
    ) -> None:
        """``of_old``: the stored sizes are those of an old run, which others may have followed."""
        self._of_old = of_old
        self._job = setup.job.name
        self._fields: dict[int, str] = {}
        known: dict[str, tuple[int, float]] = {}  # number and tracking by name
        for at, part in enumerate(setup.parts()):
            for before, side in counted_sides(part):
                for index, field, _ in grouped_fields(side.layout):
                    number = first_field(at) + before + index
                    self._fields[number] = called = _called(setup, side, field.name)
                    known[called] = number, field.tracking
        self._stored = {
            (known[one.field][0], one.name): _as_printed(one, known[one.field][1])
            for one in stored
            if one.field in known
        }
        self.sizes: GroupSizes = {}

    def tasks(self, chunks: Iterable[list[Record]], pool: Pool, scratch: Path) -> Iterator[Again]:
        """Does the first pass, then gives the tasks of the second."""
        sizes: GroupSizes = {}
        measured: list[tuple[int, array[int], array[int]]] = []
        for done in pool.map(Measure(records) for records in chunks):
            assert isinstance(done, Measured)
            merged(sizes, done.sizes.items())
            measured.append((done.worker, done.offsets, done.lengths))
        self.sizes = kept(sizes, self._stored)
        path = scratch / "group-sizes"
        path.write_bytes(pickle.dumps(self.sizes, protocol=5))
        for worker, offsets, lengths in measured:
            yield Again(worker, offsets, lengths, path)

    def by_name(self) -> Iterator[tuple[str, str, GroupSize]]:
        """Names of field and group, and the size: in the order of names."""
        named = ((self._fields[index], name, size) for (index, name), size in self.sizes.items())
        return iter(sorted(named))

    def write(self, connection: sqlite3.Connection, run_id: str) -> None:
        """What a finished run adds to the ledger."""
        sizes = [StoredSize(field, name, *size) for field, name, size in self.by_name()]
        store_sizes(connection, self._job, run_id, sizes, self._of_old)

    def state(self) -> str:
        """A hash of the sizes: what the run id says of them."""
        return hashlib.sha256(json.dumps(list(self.by_name())).encode()).hexdigest()
