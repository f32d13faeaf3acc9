"""Stages 5 to 7: from fitted records to the files of a run's folder.

In: the index of records that fit, what was set aside, a pool. Out: bed files, pick list,
tables, held and skipped rows, ``slots.jsonl`` and ``run.json`` in a folder that is still
hidden. Only keys pass through this process; beds are made in workers, chunk by chunk.
"""

from __future__ import annotations

import json
from array import array
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from itertools import groupby, islice
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
from vardata.output.held import HeldLine, SkippedLine, write_held, write_skipped
from vardata.output.picklist_orders import CHUNK_PIECES, natural_key
from vardata.pool import Pool
from vardata.problems import Problem
from vardata.progress import Progress
from vardata.report import RunReport
from vardata.runid import product_facts, sha256_of, versions
from vardata.work.beds import BedFile, BedsDone, BedTask
from vardata.work.orders import BAG_HEADINGS, OrderPiece, OrdersDone, OrderTask
from vardata.work.papers import table_fields
from vardata.work.plan import Place, RunPlan

if TYPE_CHECKING:
    from vardata.dress.dresser import Reduced
    from vardata.numbering import RecordSource

CHUNK = 1024  # records, about, in a chunk of beds


class _Parts:
    """Bytes that come in parts and are read back part by part."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._file = path.open("wb")
        self._lengths = array("Q")

    def add(self, part: bytes) -> None:
        self._file.write(part)
        self._lengths.append(len(part))

    def __iter__(self) -> Iterator[bytes]:
        self._file.flush()
        with self._path.open("rb") as file:
            for length in self._lengths:
                yield file.read(length)


class _Chokes:
    """The smallest choke of each field or art on each plate: one note, whoever made the bed."""

    def __init__(self) -> None:
        self._least: dict[tuple[str, int], Reduced] = {}

    def add(self, found: Iterable[Reduced]) -> None:
        for one in found:
            known = self._least.get((one.name, one.plate))
            if known is None or one.least < known.least:
                self._least[one.name, one.plate] = one

    def notes(self) -> tuple[Problem, ...]:
        return tuple(self._least[key].note for key in sorted(self._least))


def write_run(
    setup: Setup, intake: RecordSource, found: Gathered, pool: Pool, folder: Path, scratch: Path,
    progress: Progress, *, run_id: str, at: datetime, notes: tuple[Problem, ...],
    serials: Mapping[str, object], origin: Mapping[str, object] | None = None,
) -> RunReport:
    """Writes everything and gives the facts; ``origin`` is what a remake makes again.

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
    files, reduced = _write_beds(setup, found, pool, plan, arrangement, progress)
    _write_aside(found, intake, folder, at)
    report = RunReport(
        run_id=run_id, folder=folder, rows=found.rows, records=len(found.index), beds=beds,
        held_rows=found.aside.held_rows, held_records=found.aside.held_records,
        skipped_rows=found.aside.skipped_rows, kinds=found.aside.kinds,
        notes=(*notes, *reduced),
    )
    _write_facts(setup, report, files, at, serials, origin)
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
    """Chunks of whole files, about ``CHUNK`` records each; they do not depend on workers."""
    parts, per_file = setup.parts(), setup.job.output.beds_per_file
    for product, beds in groupby(arrangement.plans(), key=attrgetter("product")):
        slots = len(usable_slots(parts[product].jig))
        per_chunk = -(-max(1, CHUNK // slots) // per_file) * per_file
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
    return bed.number, tuple(index.place(record) for record in bed.records)


def _write_beds(
    setup: Setup, found: Gathered, pool: Pool, plan: RunPlan, arrangement: Arrangement,
    progress: Progress,
) -> tuple[list[BedFile], tuple[Problem, ...]]:
    """Beds, ``slots.jsonl`` and the pick list in its three forms.

    Gives the bed files, and where dress had to reduce a choke.
    """
    from vardata.output.blanks import BlankTally
    from vardata.output.picklist_join import Info, join
    from vardata.output.picklist_values import BedFile as PaperFile
    from vardata.output.tables import headings, write_csv
    from vardata.output.xlsxfile import write_xlsx
    from vardata.work.papers import front_paper

    csv_parts, row_parts = _Parts(plan.scratch / "csv"), _Parts(plan.scratch / "rows")
    files: list[BedFile] = []
    papers: list[Path] = []
    tickets: list[Path] = []
    tally, chokes = BlankTally(), _Chokes()
    size, positions = bag_size(setup), by_order(arrangement, found.index.ordinals)
    starts = _starts(found.index)
    bags = None if size is None else Bags(positions, starts, size)
    with (plan.folder / "slots.jsonl").open("wb") as slots_file:
        done = 0
        for made in pool.map(_tasks(setup, plan, found.index, arrangement, bags)):
            assert isinstance(made, BedsDone)
            files += made.files
            papers.append(made.paper)
            tickets += [made.ticket] if made.ticket else []
            slots_file.write(made.slots)
            csv_parts.add(made.csv)
            row_parts.add(made.rows)
            for bed, labels in made.blanks:
                tally.add(bed, labels)
            chokes.add(made.reduced)
            done = made.files[-1].last
            progress.step("beds", done, plan.beds)
    bag_rows: list[bytes] = []
    orders = _order_tasks(plan, found.index, arrangement, positions, starts, size)
    for done_orders in pool.map(orders):
        assert isinstance(done_orders, OrdersDone)
        papers.append(done_orders.paper)
        bag_rows.append(done_orders.bags)
        progress.step("orders", len(papers), None)
    names = headings(plan.fields, plan.extras)
    write_csv(plan.folder / "picklist.csv", names, csv_parts)
    if size is not None:
        write_csv(plan.folder / "bags.csv", BAG_HEADINGS, bag_rows)
    write_xlsx(plan.folder / "picklist.xlsx", names, row_parts, plan.at)
    front = front_paper(
        setup, plan, found, tally, [PaperFile(f.name, f.first, f.last) for f in files],
        arrangement,
    )
    kind = "pick list of a remake" if plan.remake_of else "pick list"
    info = Info(f"{setup.job.name}: {kind}, slot to order", f"run {plan.run_id}", plan.at)
    join([front, *papers], plan.folder / "picklist.pdf", info)
    if tickets:
        about = info._replace(title=f"{setup.job.name}: job tickets")
        join(tickets, plan.folder / "tickets.pdf", about)
    return files, chokes.notes()


def _order_tasks(
    plan: RunPlan, index: Index, arrangement: Arrangement, positions: array[int],
    starts: array[int], bag: int | None,
) -> Iterator[OrderTask]:
    """Orders sorted as people count, in chunks. Nothing for a sheet without orders."""
    part, size = 1, 0
    chunk: list[tuple[str, tuple[OrderPiece, ...]]] = []
    for order, ordinal in sorted(index.orders.items(), key=lambda pair: natural_key(pair[0])):
        start, end = starts[ordinal], starts[ordinal + 1]
        if start == end:
            continue
        chunk.append(
            (order, tuple(_piece(index, arrangement, at) for at in positions[start:end]))
        )
        size += end - start
        if size >= CHUNK_PIECES:
            yield OrderTask(plan, part, tuple(chunk), bag)
            part, size, chunk = part + 1, 0, []
    if chunk:
        yield OrderTask(plan, part, tuple(chunk), bag)


def _piece(index: Index, arrangement: Arrangement, position: int) -> OrderPiece:
    bed, slot, product = arrangement.where(position)
    return OrderPiece(bed, slot, product, index.place(arrangement.printing[position]))


def _starts(index: Index) -> array[int]:
    """Where each order's records start among all positions grouped by order."""
    counts = array("I", bytes(4 * (index.orders.total + 1)))
    for ordinal in index.ordinals:
        counts[ordinal] += 1
    starts = array("I", [0])
    for count in counts:
        starts.append(starts[-1] + count)
    return starts


def _write_aside(found: Gathered, intake: RecordSource, folder: Path, at: datetime) -> None:
    write_held(
        folder,
        intake.headings,
        (HeldLine(row.values, row.row, row.problems) for row in found.aside.held()),
        at,
    )
    write_skipped(
        folder,
        intake.headings,
        (SkippedLine(values, row, reason) for row, values, reason in found.aside.skipped()),
    )


def _write_facts(
    setup: Setup, report: RunReport, files: list[BedFile], at: datetime,
    serials: Mapping[str, object], origin: Mapping[str, object] | None,
) -> None:
    """``run.json``: settings, versions, counts and every file with its sha256."""
    known = {f"beds/{file.name}": (file.size, file.sha256) for file in files}
    listed = []
    for path in sorted(report.folder.rglob("*")):
        if not path.is_file():
            continue
        name = path.relative_to(report.folder).as_posix()
        size, digest = known.get(name) or (path.stat().st_size, sha256_of(path))
        listed.append({"file": name, "bytes": size, "sha256": digest})
    facts = {
        "run_id": report.run_id,
        "job": setup.job.model_dump(mode="json"),
        "at": at.isoformat(),
        "counts": report.counts(),
        "held_by_kind": dict(sorted(report.kinds.items())),
        "layout": setup.layout.model_dump(mode="json"),
        "jig": setup.jig.model_dump(mode="json"),
        "bed": setup.bed.model_dump(mode="json"),
        **({"products": product_facts(setup)} if setup.products else {}),
        "serials": dict(serials),
        **({"remake": dict(origin)} if origin else {}),
        "versions": versions(),
        "notes": [str(note) for note in report.notes],
        "files": listed,
    }
    text = json.dumps(facts, ensure_ascii=False, indent=1)
    (report.folder / "run.json").write_text(text + "\n", encoding="utf-8")
