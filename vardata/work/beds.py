"""Dress and output in a worker: places of fitted records in, bed files and papers out.

A task is a chunk of beds, whole files of them. What belongs to the run's tables goes back as
bytes, in the order of the beds; the parent only joins.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache, partial
from itertools import count, islice, repeat, starmap
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from vardata.dress.chokenote import Reduced
from vardata.job.model import CodeField, TextField
from vardata.marks import Item
from vardata.output.naming import bed_file_name
from vardata.output.pdf.bed import DocInfo, write_bed_file
from vardata.output.pdf.bedload import PageContent
from vardata.output.pdf.written import Glyphs, united
from vardata.output.picklist_pages import build_part
from vardata.output.picklist_values import BedPaper, RunPaper
from vardata.output.sheetxml import rows_xml
from vardata.output.slotline import SlotLine
from vardata.output.slots import SlotWriter, on_bed
from vardata.output.tables import csv_rows, pick_rows
from vardata.work.fitted import Fitted
from vardata.work.fitting import FittedReader
from vardata.work.papers import blank_labels, run_paper
from vardata.work.plan import Place, RunPlan
from vardata.work.stages import Stages

if TYPE_CHECKING:
    from vardata.output.contact import Grid


class BedTask(NamedTuple):
    """Beds of one chunk: number and the places of their records, in slot order."""

    plan: RunPlan
    beds: tuple[tuple[int, tuple[Place, ...]], ...]
    first_row: int  # rows of the pick list before these beds
    product: int = 0  # the beds of a task are of one product
    bags: tuple[tuple[str, ...], ...] = ()  # the bag of each piece; empty without bags


class BedFile(NamedTuple):
    name: str
    first: int
    last: int
    size: int
    sha256: str
    side: str = ""


class BedsDone(NamedTuple):
    files: tuple[BedFile, ...]
    slots: bytes
    csv: bytes
    rows: bytes
    paper: Path  # a part of the pick list
    blanks: tuple[tuple[int, tuple[str, ...]], ...]  # bed, the label of each piece's blank
    ticket: Path | None  # a part of the job tickets
    contact: tuple[Path, int, Grid] | None  # a part of the contact sheet, how many beds it shows
    reduced: tuple[Reduced, ...]  # chokes that dress had to reduce on these beds


class _Bed(NamedTuple):
    """One bed, dressed."""

    number: int
    records: tuple[Fitted, ...]
    items: tuple[Item, ...]
    content: PageContent


class _Made(NamedTuple):
    """One side of a chunk of beds."""

    beds: list[_Bed]
    files: list[BedFile]
    lines: list[tuple[SlotLine, ...]]
    slots: bytes


def _alone(bed: _Bed) -> Iterator[tuple[tuple[Fitted], PageContent]]:
    """Each piece of a bed in its slot, with nothing else there."""
    for record, pair in zip(bed.records, bed.content.placements):
        yield (record,), PageContent((pair,), record.key)


def _said(fields: Sequence[tuple[int, str]], fits: Sequence[Any]) -> tuple[tuple[str, str], ...]:
    """(field, content) of those of the fields that print something; their places come with them,
    and the fits are those of texts or of codes."""
    return tuple([(name, fits[at].text) for at, name in fields if fits[at]])


def _in_bags(lines: tuple[SlotLine, ...], bags: tuple[str, ...]) -> tuple[SlotLine, ...]:
    return tuple(line._replace(bag=bag) for line, bag in zip(lines, bags))


def _whole(sides: list[_Made]) -> list[tuple[SlotLine, ...]]:
    """A line a piece, with what both of its sides say."""
    if len(sides) == 1:
        return sides[0].lines
    front, behind = sides
    return [
        tuple(
            a._replace(texts=a.texts + b.texts, codes=a.codes + b.codes)
            for a, b in zip(of_front, of_behind)
        )
        for of_front, of_behind in zip(front.lines, behind.lines)
    ]


def _bagged(lines: tuple[SlotLine, ...]) -> tuple[SlotLine, ...]:
    """Lines for the bench: an order that goes into several bags with the bag of each piece."""
    if not any(line.bag for line in lines):
        return lines
    return tuple(
        line._replace(order=f"{line.order}, bag {line.bag.partition(' ')[0]}")
        if line.bag and not line.bag.endswith(" of 1") else line
        for line in lines
    )  # fmt: skip


class BedWork:
    """Makes chunks of beds."""

    def __init__(self, stages: Stages, scratch: Path, behind: BedWork | None = None) -> None:
        """``behind`` makes side B of the same beds, where pieces have two sides."""
        self._sides = (self,) if behind is None else (self, behind)
        self._stages = stages
        self._setup = stages.setup
        self._reader = FittedReader(scratch)
        self._labels = blank_labels(self._setup)
        self._colour = next(p.name for p in self._setup.layout.plates if p.role == "colour")
        layout = self._setup.layout
        whole = (0.0, 0.0, layout.width, layout.height)
        self._product = layout.name
        self.run_paper = lru_cache(maxsize=1)(partial(run_paper, self._setup))
        fields = list(enumerate(layout.fields))
        self._texts = [(at, field.name) for at, field in fields if isinstance(field, TextField)]
        self._codes = [(at, field.name) for at, field in fields if isinstance(field, CodeField)]
        self._slot_names = [slot.name for slot in stages.slots]
        self._angles = [at.angle for at in stages.placements]
        self._boxes = [on_bed(layout, at, whole) for at in stages.placements]
        self._slots = SlotWriter(
            layout, self._setup.mode, stages.slots, stages.placements,
            lambda n: stages.book.face(n).postscript_name, self._setup.side,
        )

    def __call__(self, task: BedTask) -> BedsDone:
        return self._papers(task, [work.made(task) for work in self._sides])

    def made(self, task: BedTask) -> _Made:
        """One side of the beds: its files, and what there is to say of each slot."""
        beds = [self._dress(number, places) for number, places in task.beds]
        files: list[BedFile] = []
        lines: list[tuple[SlotLine, ...]] = []
        slots: list[bytes] = []
        per_file = self._setup.job.output.beds_per_file
        glyphs = united(bed.content.written(self._setup.layout).glyphs for bed in beds)
        for start in range(0, len(beds), per_file):
            group = beds[start : start + per_file]
            file, pages_of = self._write_file(task.plan, group, glyphs)
            files.append(file)
            for bed, pages in zip(group, pages_of):
                of_bed, written = self._lines(bed, file.name, pages)
                lines.append(of_bed)
                slots.append(written)
        return _Made(beds, files, lines, b"".join(slots))

    def _dress(self, number: int, places: tuple[Place, ...]) -> _Bed:
        records = self._reader.all(places)
        if self._setup.side:
            records = tuple(map(self._stages.own, records))
        content = self._stages.content(records, f"bed {number}")
        items = tuple(item for _, item in content.placements)
        return _Bed(number, records, items, content)

    def _write_file(
        self, plan: RunPlan, beds: list[_Bed], glyphs: Glyphs
    ) -> tuple[BedFile, list[dict[str, int]]]:
        setup, stages = self._setup, self._stages
        first, last = beds[0].number, beds[-1].number
        name = bed_file_name(
            setup.job.name, plan.run_id, setup.jig.name, first, last, plan.beds, setup.side
        )
        path = plan.folder / "beds" / name
        facts = write_bed_file(
            path,
            bed=setup.bed,
            layout=setup.layout,
            output=setup.job.output,
            pages=[bed.content for bed in beds],
            statics=stages.statics,
            book=stages.book,
            pictures=stages.pictures.by_key,
            mode=setup.mode,
            standard=stages.standard,
            glyphs=glyphs,
            info=DocInfo(
                title=f"{setup.job.name}, {name}",
                run_id=plan.run_id,
                at=plan.at,
                beds=tuple(bed.number for bed in beds),
            ),
        )
        return BedFile(name, first, last, facts.size, facts.sha256, setup.side), list(facts.pages)

    def _lines(
        self, bed: _Bed, file: str, pages: dict[str, int]
    ) -> tuple[tuple[SlotLine, ...], bytes]:
        """A bed's slots for papers, and as they are recorded."""
        page = pages[self._colour]
        keys, orders, blanks, fits = zip(*bed.records)
        written = self._slots.bed(
            bed=bed.number, file=file, pages=pages, page=page, orders=orders, blanks=blanks,
            items=bed.items, fits=fits,
        )  # fmt: skip
        made = zip(
            repeat(bed.number), self._slot_names, count(), repeat(file), repeat(page), keys, orders,
            map(self._labels.__getitem__, blanks), [_said(self._texts, of_one) for of_one in fits],
            [_said(self._codes, of_one) for of_one in fits], self._boxes, self._angles,
            repeat(self._product),
        )  # fmt: skip
        return tuple(starmap(SlotLine, made)), written

    def _papers(self, task: BedTask, sides: list[_Made]) -> BedsDone:
        front, lines = sides[0], _whole(sides)
        if task.bags:
            lines = [_in_bags(of_bed, bags) for of_bed, bags in zip(lines, task.bags)]
        rows = pick_rows(
            [line for of_bed in lines for line in of_bed], task.plan.fields, task.plan.extras
        )
        shown = [work.bed_papers(task, made) for work, made in zip(self._sides, sides)]
        papers = [paper for of_bed in zip(*shown) for paper in of_bed]
        runs = [work.run_paper(task.plan) for work in self._sides]
        paper = task.plan.scratch / f"paper-{papers[0].bed:07d}.pdf"
        paper.write_bytes(build_part(papers, *runs))
        blanks = tuple(
            (bed.number, tuple(line.blank_label for line in of_bed))
            for bed, of_bed in zip(front.beds, lines)
        )
        return BedsDone(
            tuple(file for made in sides for file in made.files),
            b"".join(made.slots for made in sides), csv_rows(rows),
            rows_xml(rows, task.first_row), paper, blanks,
            self._tickets(task, papers, runs), self._contact(task, papers, runs),
            tuple(note for work in self._sides for note in work._stages.dresser.take_reports()),
        )

    def bed_papers(self, task: BedTask, made: _Made) -> list[BedPaper]:
        """One side of the beds, for papers."""
        per_file, lines = self._setup.job.output.beds_per_file, made.lines
        if task.bags:
            lines = [_in_bags(of_bed, bags) for of_bed, bags in zip(lines, task.bags)]
        beds = [(bed.records, bed.content) for bed in made.beds]
        alone = [piece for bed in made.beds for piece in _alone(bed)] if self._setup.side else []
        looks = iter(self._stages.looks([*beds, *alone]))
        of_beds = list(islice(looks, len(beds)))
        return [
            BedPaper(
                bed.number, made.files[number // per_file].name, _bagged(of_bed), look,
                self._setup.side, tuple(islice(looks, len(bed.records) if alone else 0)),
            )
            for number, (bed, of_bed, look) in enumerate(zip(made.beds, lines, of_beds))
        ]

    def _tickets(
        self, task: BedTask, papers: list[BedPaper], runs: list[RunPaper]
    ) -> Path | None:
        """Job tickets of these beds, if the job wants them."""
        if not self._setup.job.output.tickets:
            return None
        from vardata.output.ticket import build_tickets
        from vardata.work.tickets import job_ticket

        path = task.plan.scratch / f"ticket-{papers[0].bed:07d}.pdf"
        tickets = [job_ticket(work._setup) for work in self._sides]
        path.write_bytes(build_tickets(papers, runs, tickets))
        return path

    def _contact(
        self, task: BedTask, papers: list[BedPaper], runs: list[RunPaper]
    ) -> tuple[Path, int, Grid] | None:
        """The contact sheet of these beds, if the job wants one."""
        if not self._setup.job.output.contact_sheet:
            return None
        from vardata.output.contact import build_contact, grid_of

        grid = grid_of(task.plan.beds, len(runs))
        path = task.plan.scratch / f"contact-{papers[0].bed:07d}.pdf"
        path.write_bytes(build_contact(papers, grid, *runs))
        return path, len(papers), grid
