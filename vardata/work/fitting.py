"""Resolve and fit in a worker: chunks of records in, places of fitted records out.

The fitted records stay on disk, in a spool of the worker's own; only compact keys go back.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from vardata.fit.groupsize import GroupSizes
from vardata.fit.packing import Packer, Unpacker, contents_of
from vardata.fit.result import FieldFit, PictureFit
from vardata.intake.record import Record
from vardata.runid import sha256_of
from vardata.spool import SpoolReader, SpoolWriter
from vardata.work.fitted import Fitted, HeldRecord
from vardata.work.pictures import CoarsePicture
from vardata.work.plan import Place
from vardata.work.remarks import Remark
from vardata.work.sides import BothSides, prepared
from vardata.work.stages import Stages


class FitDone(NamedTuple):
    """One chunk of records fitted: where the good ones lie, and what was held."""

    worker: int
    orders: tuple[str, ...]
    offsets: array[int]
    lengths: array[int]
    held: tuple[HeldRecord, ...]
    pictures: tuple[tuple[str, str], ...]  # path, sha256: first seen by this chunk's worker
    held_at: tuple[int, ...] = ()  # places of the held records in the chunk, from 0
    products: bytes = b""  # of each good record; empty in a job of one product
    cased: tuple[str, ...] = ()  # the field of each text whose case was changed
    coarse: tuple[CoarsePicture, ...] = ()  # first seen by this chunk's worker
    remarks: tuple[Remark, ...] = ()  # on the texts of this chunk


def spool_path(folder: Path, worker: int) -> Path:
    return folder / f"fits-{worker}.spool"


class FitWork:
    """Fits chunks of records and spools them."""

    def __init__(self, stages: Sequence[Stages | BothSides], folder: Path, worker: int) -> None:
        self._stages = stages
        self._worker = worker
        self._writer = SpoolWriter(spool_path(folder, worker), plain=True)
        self._packer = Packer()
        self._seen: set[str] = set()
        self._pictured = any(one.pictured for one in stages)
        self._recases = any(one.recases for one in stages)

    def __call__(self, records: list[Record], sizes: GroupSizes | None = None) -> FitDone:
        orders: list[str] = []
        plain: list[tuple[object, ...]] = []
        held: list[HeldRecord] = []
        held_at: list[int] = []
        products = bytearray()
        pictures: list[tuple[str, str]] = []
        cased: list[str] = []
        found = prepared(self._stages, records, sizes)
        for at, (record, one) in enumerate(zip(records, found)):
            stages = self._stages[record.product]
            if isinstance(one, HeldRecord):
                held.append(self._own_reasons(record, one))
                held_at.append(at)
                continue
            if self._pictured:
                pictures += self._new_pictures(one.fits)
            if self._recases:
                cased += stages.recased(one)
            stages.remark(record.row, one)
            key, order, blank, fits = one
            orders.append(order)
            plain.append((key, order, blank, self._packer.packed(fits)))
            products.append(record.product)
        offsets, lengths = self._writer.put_all(plain)
        self._writer.flush()
        return FitDone(
            self._worker,
            tuple(orders),
            offsets,
            lengths,
            tuple(held),
            tuple(pictures),
            tuple(held_at),
            bytes(products) if len(self._stages) > 1 else b"",
            tuple(cased),
            tuple(one for stages in self._stages for one in stages.take_coarse()),
            tuple(one for stages in self._stages for one in stages.take_remarks()),
        )

    def _own_reasons(self, record: Record, held: HeldRecord) -> HeldRecord:
        """Why a record is held: one with a fault of its own gave its group no size, and is not
        judged by it."""
        if all(problem.kind != "group-size" for problem in held.problems):
            return held
        (alone,) = self._stages[record.product].prepare([record])
        return alone if isinstance(alone, HeldRecord) else held

    def _new_pictures(self, fits: tuple[FieldFit, ...]) -> Iterator[tuple[str, str]]:
        for fit in fits:
            if isinstance(fit, PictureFit) and fit.path not in self._seen:
                self._seen.add(fit.path)
                yield fit.path, sha256_of(Path(fit.path))


class FittedReader:
    """Reads fitted records back from any worker's spool."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._readers: dict[int, SpoolReader] = {}
        self._unpacker = Unpacker()

    def get(self, worker: int, offset: int, length: int) -> Fitted:
        """The fitted record at a place."""
        return self.all(((worker, offset, length),))[0]

    def all(self, places: Iterable[Place]) -> tuple[Fitted, ...]:
        """The fitted records at many places, in their order."""
        unpacked = self._unpacker.unpacked
        found = []
        last, get = -1, None
        for worker, offset, length in places:
            if get is None or worker != last:
                last, get = worker, self._reader(worker).get
            key, order, blank, fits = get(offset, length)
            found.append(Fitted(key, order, blank, unpacked(fits)))
        return tuple(found)

    def contents(self, worker: int, offset: int, length: int) -> list[Any]:
        """What each field of the record at a place prints, as ``contents_of`` has it."""
        return contents_of(self._reader(worker).get(offset, length)[3])

    def _reader(self, worker: int) -> SpoolReader:
        reader = self._readers.get(worker)
        if reader is None:
            reader = self._readers[worker] = SpoolReader(
                spool_path(self._folder, worker), plain=True
            )
        return reader
