"""The papers of a run, gathered in this process while workers make the beds.

In: the sheets by order; what each chunk of beds left, in order. Out: ``slots.jsonl``, the pick
list in its three forms, what was set aside, and facts of the files. Nothing is kept but places
and counts.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from vardata.gather import Gathered
from vardata.impose.arrange import Arrangement
from vardata.job.model import Setup
from vardata.output.blanks import BlankTally
from vardata.output.contact import Sheets
from vardata.output.held import HeldLine, SkippedLine, write_held, write_skipped
from vardata.output.picklist_join import END, FRONT, MIDDLE, Info, Joiner, join
from vardata.output.picklist_values import BedFile as PaperFile
from vardata.output.tables import headings, open_csv, write_csv
from vardata.personal import personal_of
from vardata.problems import Problem
from vardata.runid import sha256_of
from vardata.work.beds import BedsDone
from vardata.work.orders import BAG_HEADINGS, OrdersDone
from vardata.work.papers import front_paper
from vardata.work.plan import RunPlan

if TYPE_CHECKING:
    from vardata.dress.chokenote import Reduced
    from vardata.numbering import RecordSource
    from vardata.output.xlsxfile import BookWriter

FileFacts = dict[str, tuple[int, str]]  # by name in the run's folder: bytes, sha256


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


class Paperwork:
    """Made for a ``with`` block. ``known`` are bytes and sha256 of files, by name in the run's
    folder. Raises ``OSError``, ``OutputError``."""

    def __init__(
        self, setup: Setup, plan: RunPlan, found: Gathered, intake: RecordSource,
        arrangement: Arrangement,
    ) -> None:  # fmt: skip
        self._setup, self._plan, self._arrangement = setup, plan, arrangement
        self._found, self._intake = found, intake
        self.personal = personal_of(setup, intake.names, intake.headings)
        self.known: FileFacts = {}
        self._files: list[PaperFile] = []
        self._headings = headings(plan.fields, plan.extras)
        self._csv = open_csv(plan.folder / "picklist.csv", self._headings)
        self._tally, self._chokes = BlankTally(), _Chokes()
        self._slots = (plan.folder / "slots.jsonl").open("wb")
        self._slots_digest = hashlib.sha256()
        self._bag_rows: list[bytes] = []
        self._tickets: list[Path] = []
        self._contact: Sheets | None = None
        self._joiner = Joiner(plan.folder / "picklist.pdf")

    def __enter__(self) -> Paperwork:
        return self

    def __exit__(self, *exc: object) -> None:
        self._slots.close()
        self._csv.close()
        if "_book" in self.__dict__:
            self._book.__exit__(*exc)
        self._joiner.__exit__(*exc)

    @cached_property
    def _book(self) -> BookWriter:
        """Made when the first beds are, and workers are busy with the next."""
        from vardata.output.xlsxfile import BookWriter

        return BookWriter(self._plan.folder / "picklist.xlsx", self._headings, self._plan.at)

    def take(self, made: BedsDone) -> None:
        """What a chunk of beds left."""
        for file in made.files:
            self._files.append(PaperFile(file.name, file.first, file.last, file.side))
            self.known[f"beds/{file.name}"] = (file.size, file.sha256)
        self._slots.write(made.slots)
        self._slots_digest.update(made.slots)
        self._csv.write(made.csv)
        self._book.add(made.rows, sum(len(labels) for _, labels in made.blanks))
        for bed, labels in made.blanks:
            self._tally.add(bed, labels)
        self._chokes.add(made.reduced)
        self._add(made.paper)
        if made.ticket:
            self._tickets.append(made.ticket)
        if made.contact:
            part, beds, grid = made.contact
            self._contact = self._contact or Sheets(self._plan.folder / "contact.pdf", grid)
            self._contact.add(part, beds)

    def take_orders(self, done: OrdersDone) -> None:
        """Some sheets by order, which come after those of the beds, and the rows of their bags."""
        self._add(done.paper, END)
        self._bag_rows.append(done.bags)

    def _add(self, paper: Path, place: int = MIDDLE) -> None:
        self._joiner.add(paper, place)
        paper.unlink()

    def write_aside(self) -> None:
        """Held and skipped rows: known before the beds are made."""
        folder, aside, headings = self._plan.folder, self._found.aside, self._intake.headings
        held = (HeldLine(row.values, row.row, row.problems) for row in aside.held())
        write_held(folder, headings, held, self._plan.at)
        skipped = (SkippedLine(values, row, reason) for row, values, reason in aside.skipped())
        write_skipped(folder, headings, skipped)

    def finish(self, *, bags: bool) -> None:
        """The first page and the end of the pick list, job tickets, and the bags where there are
        any: once all beds are made."""
        plan, joiner = self._plan, self._joiner
        front = front_paper(
            self._setup, plan, self._found, self._tally, self._files, self._arrangement
        )
        joiner.add(front, FRONT)
        self._finish_tables()
        if bags:
            write_csv(plan.folder / "bags.csv", BAG_HEADINGS, self._bag_rows)
        kind = "pick list of a remake" if plan.remake_of else "pick list"
        info = Info(f"{self._setup.job.name}: {kind}, slot to order", f"run {plan.run_id}", plan.at)
        joiner.finish(info)
        if self._tickets:
            about = info._replace(title=f"{self._setup.job.name}: job tickets")
            join(self._tickets, plan.folder / "tickets.pdf", about)
        if self._contact:
            self._contact.finish(info._replace(title=f"{self._setup.job.name}: contact sheet"))
        self.known["picklist.pdf"] = joiner.digest()
        self.known["slots.jsonl"] = (self._slots.tell(), self._slots_digest.hexdigest())

    def _finish_tables(self) -> None:
        self._csv.close()
        with self._book as book:
            book.finish()
        for name in ("picklist.csv", "picklist.xlsx"):
            path = self._plan.folder / name
            self.known[name] = (path.stat().st_size, sha256_of(path))

    def notes(self) -> tuple[Problem, ...]:
        """Where dress had to reduce a choke."""
        return self._chokes.notes()
