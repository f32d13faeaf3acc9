"""Stages 2 to 4: from the order sheet to fitted records on disk.

In: a setup, an opened intake and a pool of workers. Out: the index of the records that fit
and what was set aside. Shared by ``build``, ``check`` and ``preview``.
"""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from vardata.aside import Aside
from vardata.dress.framing import COARSE
from vardata.index import Index
from vardata.intake.record import HeldRow, Record, SkippedRow, packed
from vardata.pool import Pool
from vardata.problems import Problem, Severity, Where
from vardata.progress import Progress
from vardata.remarked import Remarked
from vardata.work.fitting import FitDone

if TYPE_CHECKING:
    from vardata.grouping import Grouping
    from vardata.numbering import RecordSource
    from vardata.precedence import Precedence

CHUNK = 256  # records a task: large enough to hide a process's cost, small enough to balance


@dataclass(frozen=True)
class Gathered:
    """Stages 2 to 4 done."""

    index: Index
    aside: Aside
    pictures: dict[str, str]  # path -> sha256 of every picture that records name
    notes: tuple[Problem, ...]  # what there is to say about whole columns and fields
    rows: int  # rows of the sheet that asked for something or were set aside
    held_at: array[int]  # which of the sheet's records were held, from 0, in order
    uneven: tuple[Problem, ...] = ()  # fields whose texts came out in clearly different sizes


class _Rows:
    """Streams records in chunks; sets other rows aside on the way."""

    def __init__(
        self, intake: RecordSource, aside: Aside, precedence: Precedence | None
    ) -> None:
        self._intake = intake
        self._precedence = precedence
        self._aside = aside
        self.count = 0

    def __iter__(self) -> Iterator[list[Record]]:
        chunk: list[Record] = []
        precedence, last = self._precedence, 0
        for row in self._intake:
            number = row.row
            if number != last:  # its pieces follow one another
                self.count += 1
                last = number
            if isinstance(row, Record):
                if precedence is not None:
                    precedence.add(row)
                chunk.append(row)
                if len(chunk) == CHUNK:
                    yield chunk
                    chunk = []
            elif isinstance(row, HeldRow):
                self._aside.hold_row(row)
            elif isinstance(row, SkippedRow):
                self._aside.skip(row)
        if chunk:
            yield chunk


def gather(
    intake: RecordSource, pool: Pool, scratch: Path, progress: Progress,
    grouping: Grouping | None = None, precedence: Precedence | None = None,
) -> Gathered:
    """Reads every row, fits every record. Raises ``SheetError`` if the sheet cannot be read.

    With ``grouping`` in two passes: texts of a group share one size.
    """
    index, aside = Index(), Aside(scratch)
    pictures: dict[str, str] = {}
    rows = _Rows(intake, aside, precedence)
    held_at, before = array("Q"), 0
    cased: Counter[str] = Counter()
    coarse: dict[str, dict[str, float]] = {}
    remarked = Remarked()
    tasks = grouping.tasks(rows, pool, scratch) if grouping else map(packed, rows)
    for done in pool.map(tasks):
        assert isinstance(done, FitDone)
        index.add(done)
        pictures.update(done.pictures)
        cased.update(done.cased)
        remarked.add(done.remarks)
        for one in done.coarse:
            coarse.setdefault(one.field, {})[one.name] = one.ppi
        for record in done.held:
            aside.hold_record(record)
        held_at.extend(before + at for at in done.held_at)
        before += len(done.offsets) + len(done.held)
        progress.step("fit", len(index) + aside.held_records, None)
    if precedence is not None:
        precedence.settle(held_at, index)
    notes = (
        *intake.notes,
        *map(_recased, sorted(cased.items())),
        *(_coarse(field, found) for field, found in sorted(coarse.items())),
        *remarked.notes(),
    )
    return Gathered(
        index, aside, pictures, notes, rows.count, held_at, tuple(remarked.uneven())
    )


def _recased(found: tuple[str, int]) -> Problem:
    """How many texts of a field are not in the case of the sheet."""
    field, number = found
    texts = "1 text was" if number == 1 else f"{number} texts were"
    return Problem(
        "case-changed", Severity.NOTE, f"{texts} in all capitals and got small letters",
        "look through them: slots.jsonl of the run has each as it was (written); what is wrong "
        "goes into keep_case", Where(field=field),
    )  # fmt: skip


def _coarse(field: str, found: dict[str, float]) -> Problem:
    """How many pictures of a field show their pixels, and which does most."""
    name, least = min(found.items(), key=lambda one: (one[1], one[0]))
    what = f"the picture {name!r} has {least:.0f} ppi at its size, so its pixels show"
    if len(found) > 1:
        what = (
            f"{len(found)} pictures have fewer than {COARSE:.0f} ppi at their size, so their "
            f"pixels show; the least has {name!r}: {least:.0f}"
        )
    remedy = 'use larger ones; "min_ppi" of the field holds their records'
    return Problem("picture-coarse", Severity.WARNING, what, remedy, Where(field=field))
