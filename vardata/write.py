"""Stages 5 to 7: from fitted records to the files of a run's folder.

In: the index of records that fit, what was set aside, a pool. Out: bed files, pick list,
tables, held and skipped rows, ``slots.jsonl`` and ``run.json`` in a folder that is still
hidden. Only keys pass through this process; beds are made in workers, chunk by chunk.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Mapping
from datetime import datetime
from itertools import chain, groupby, islice
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING

from vardata.gather import Gathered
from vardata.impose.arrange import Arrangement, arrange, by_order
from vardata.impose.bags import Bags
from vardata.impose.plan import BedPlan
from vardata.impose.slots import usable_slots
from vardata.index import Index
from vardata.job.model import Setup
from vardata.output.picklist_orders import CHUNK_PIECES, natural_key
from vardata.paperwork import Paperwork
from vardata.personal import Personal
from vardata.pool import Pool
from vardata.problems import Problem
from vardata.progress import Progress
from vardata.report import RunReport
from vardata.runfacts import write_facts
from vardata.work.beds import BedTask
from vardata.work.orders import OrderPiece, OrdersDone, OrderTask
from vardata.work.papers import table_fields
from vardata.work.plan import Place, RunPlan

if TYPE_CHECKING:
    from vardata.numbering import RecordSource

CHUNK = 1024  # records, about, in a chunk of beds: at most,
_CHUNKS = 8  # and there are at least so many chunks, as far as there are beds


def write_run(
    setup: Setup, intake: RecordSource, found: Gathered, pool: Pool, folder: Path, scratch: Path,
    progress: Progress, *, run_id: str, at: datetime, notes: tuple[Problem, ...],
    serials: Mapping[str, object], origin: Mapping[str, object] | None = None,
    also: Mapping[str, object] | None = None,
) -> RunReport:
    """Writes everything and gives the facts; ``origin`` is what a remake makes again, ``also``
    what else the run's record says.

    Raises ``OutputError`` or ``OSError``.
    """
    arrangement = arranged(setup, found)
    beds = arrangement.beds
    plan = RunPlan(
        run_id, at, beds, len(found.index), folder, scratch,
        str(origin["of"]) if origin else "", table_fields(setup),
        tuple(
            name for name, wanted in (("product", setup.products), ("bag", bag_size(setup)))
            if wanted
        ),
    )
    (folder / "beds").mkdir()
    with Paperwork(setup, plan, found, intake, arrangement) as papers:
        _write_beds(setup, found, pool, plan, arrangement, papers, progress)
    report = RunReport(
        run_id=run_id, folder=folder, rows=found.rows, records=len(found.index), beds=beds,
        held_rows=found.aside.held_rows, held_records=found.aside.held_records,
        skipped_rows=found.aside.skipped_rows, kinds=found.aside.kinds,
        notes=(*notes, *papers.notes()),
    )
    told = {"remake": dict(origin)} if origin else {}
    write_facts(setup, report, papers.known, at, serials, {**told, **(also or {})})
    return report


def arranged(setup: Setup, found: Gathered) -> Arrangement:
    """Stage 5: every bed of the run."""
    slots = [len(usable_slots(part.jig)) for part in setup.parts()]
    work = setup.job.work
    return arrange(found.index.keys(), slots, whole=work is not None and work.whole_orders)


def bag_size(setup: Setup) -> int | None:
    """How many pieces of an order go into a bag, if they are bagged."""
    return None if setup.job.work is None else setup.job.work.bag


def _tasks(
    setup: Setup, plan: RunPlan, index: Index, arrangement: Arrangement, bags: Bags | None
) -> Iterator[BedTask]:
    """Chunks of whole files; they depend on the run's size, never on workers."""
    records = min(CHUNK, plan.records // _CHUNKS)
    parts, per_file = setup.parts(), setup.job.output.beds_per_file
    for product, beds in groupby(arrangement.plans(), key=attrgetter("product")):
        slots = len(usable_slots(parts[product].jig))
        per_chunk = -(-max(1, records // slots) // per_file) * per_file
        while chunk := tuple(islice(beds, per_chunk)):
            rows_before = arrangement.starts[chunk[0].number - 1]
            placed = tuple(_placed(bed, index) for bed in chunk)
            yield BedTask(
                plan, placed, rows_before, product,
                () if bags is None else tuple(_bagged(bed, arrangement, bags) for bed in chunk),
            )


def _bagged(bed: BedPlan, arrangement: Arrangement, bags: Bags) -> tuple[str, ...]:
    first = arrangement.starts[bed.number - 1]
    return tuple(bags.label(position) for position in range(first, first + len(bed.records)))


def _placed(bed: BedPlan, index: Index) -> tuple[int, tuple[Place, ...]]:
    return bed.number, tuple(index.places(bed.records))


def _write_beds(
    setup: Setup, found: Gathered, pool: Pool, plan: RunPlan, arrangement: Arrangement,
    papers: Paperwork, progress: Progress,
) -> None:
    """Beds, ``slots.jsonl`` and the pick list in its three forms.

    The sheets by order are made first, though they come last: they follow from the places of
    the pieces alone, and so no worker waits at the end.
    """
    size, positions = bag_size(setup), by_order(arrangement, found.index.ordinals)
    starts = _starts(found.index)
    bags = None if size is None else Bags(positions, starts, size)
    orders = _order_tasks(plan, found, arrangement, positions, starts, size, papers.personal)
    tasks = _tasks(setup, plan, found.index, arrangement, bags)
    sheets, aside = 0, False
    for made in pool.map(chain[BedTask | OrderTask](orders, tasks)):
        if not aside:  # while workers are busy with the next
            papers.write_aside()
            aside = True
        if isinstance(made, OrdersDone):
            papers.take_orders(made)
            sheets += 1
            progress.step("orders", sheets, None)
        else:
            papers.take(made)
            progress.step("beds", made.files[-1].last, plan.beds)
    if not aside:
        papers.write_aside()
    papers.finish(bags=size is not None)


def _order_tasks(
    plan: RunPlan, found: Gathered, arrangement: Arrangement, positions: array[int],
    starts: array[int], bag: int | None, personal: Personal,
) -> Iterator[OrderTask]:
    """Orders sorted as people count, in chunks, those of which all is held among them. Nothing for
    a sheet without orders."""
    index, aside = found.index, found.aside.orders
    known = set(index.orders.names())
    part, size = 1, 0
    where, records = arrangement.where_all(positions), arrangement.records(positions)
    chunk: list[tuple[str, tuple[OrderPiece, ...]]] = []
    held: list[tuple[str, str]] = []
    for order in sorted(known.union(filter(None, aside)), key=natural_key):
        pieces: tuple[OrderPiece, ...] = ()
        if order in known:
            ordinal = index.orders.number(order)
            its = slice(starts[ordinal], starts[ordinal + 1])
            pieces = tuple(zip(*(column[its] for column in where), index.places(records[its])))
        if order in aside:
            held.append((order, aside[order].told(personal)))
        elif not pieces:
            continue
        chunk.append((order, pieces))
        size += len(pieces) or 1
        if size >= CHUNK_PIECES:
            yield OrderTask(plan, part, tuple(chunk), bag, tuple(held))
            part, size, chunk, held = part + 1, 0, [], []
    if chunk:
        yield OrderTask(plan, part, tuple(chunk), bag, tuple(held))


def _starts(index: Index) -> array[int]:
    """Where each order's records start among all positions grouped by order."""
    counts = array("I", bytes(4 * (index.orders.total + 1)))
    for ordinal in index.ordinals:
        counts[ordinal] += 1
    starts = array("I", [0])
    for count in counts:
        starts.append(starts[-1] + count)
    return starts
