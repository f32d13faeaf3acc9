"""The first of two passes where texts share one size: what each group needs.

In: chunks of records. Out: the needs of the groups in each chunk, and the records on disk, to
be fitted in the second pass; memory holds a line for each group, none for a record.
"""

from __future__ import annotations

import pickle
from array import array
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from vardata.fit.groupsize import GroupSizes, noted
from vardata.fit.result import TextFit
from vardata.intake.record import Record
from vardata.resolve.groups import first_field
from vardata.spool import SpoolReader, SpoolWriter
from vardata.work.fitted import HeldRecord
from vardata.work.sides import BothSides, prepared
from vardata.work.stages import Stages


class Measure(NamedTuple):
    """A task of the first pass."""

    records: list[Record]


class Measured(NamedTuple):
    """One chunk measured: where its records lie, and what its groups need."""

    worker: int
    offsets: array[int]
    lengths: array[int]
    sizes: GroupSizes


class Again(NamedTuple):
    """A task of the second pass: a chunk of records by their places, and the sizes' file."""

    worker: int
    offsets: array[int]
    lengths: array[int]
    sizes: Path


def _spool(folder: Path, worker: int) -> Path:
    return folder / f"records-{worker}.spool"


class MeasureWork:
    """Measures chunks of records and spools them."""

    def __init__(self, stages: Sequence[Stages | BothSides], folder: Path, worker: int) -> None:
        self._stages = stages
        self._worker = worker
        self._writer = SpoolWriter(_spool(folder, worker))

    def __call__(self, task: Measure) -> Measured:
        offsets, lengths = array("Q"), array("I")
        sizes: GroupSizes = {}
        found = prepared(self._stages, task.records)
        for record, one in zip(task.records, found):
            offset, length = self._writer.put(tuple(record))
            offsets.append(offset)
            lengths.append(length)
            stages = self._stages[record.product]
            if isinstance(one, HeldRecord):
                continue  # held with its reason in the second pass, and in nobody's way
            groups, first = stages.groups(record), first_field(record.product)
            for index, name in groups.items():
                fit = one.fits[index]
                if isinstance(fit, TextFit):
                    noted(sizes, (first + index, name), fit)
        self._writer.flush()
        return Measured(self._worker, offsets, lengths, sizes)


class RecordReader:
    """Reads records of the first pass back, and the sizes that their groups got."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._readers: dict[int, SpoolReader] = {}
        self._sizes: tuple[Path, GroupSizes] | None = None

    def records(self, task: Again) -> list[Record]:
        if task.worker not in self._readers:
            self._readers[task.worker] = SpoolReader(_spool(self._folder, task.worker))
        reader = self._readers[task.worker]
        return [Record(*reader.get(*place)) for place in zip(task.offsets, task.lengths)]

    def sizes(self, task: Again) -> GroupSizes:
        if self._sizes is None or self._sizes[0] != task.sizes:
            self._sizes = task.sizes, pickle.loads(task.sizes.read_bytes())
        return self._sizes[1]
