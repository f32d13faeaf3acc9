"""Orders that a customer has approved: what changed since is held, not printed.

In: an intake and the ledger's approvals. Out: the same rows, with those held that are not as
they were approved, or whose layout, fonts or art are not. An order that nobody approved passes.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from vardata.intake.record import HeldRow, Intaken, Record
from vardata.job.model import Setup
from vardata.ledger.approvals import Approval, approvals
from vardata.namedpictures import NamedPictures
from vardata.problems import Problem, Severity, Where
from vardata.products import all_names
from vardata.runid import sha256_of

if TYPE_CHECKING:
    from vardata.numbering import RecordSource

_REMEDY = "have the order approved again: vardata proof --order, then vardata approve"
_UNSEEN = "mend what vardata proof --order tells of it, and have the order approved again"


def layout_hash(setup: Setup) -> str:
    """A hash of the layout, its fonts and its art: what every item of the job looks like."""
    body: list[object] = []
    for part in setup.all_sides():
        files = {**part.files, **{f"font {name}": path for name, path in part.fonts.items()}}
        hashes = {name: sha256_of(path) for name, path in sorted(files.items())}
        body += [part.layout.model_dump(mode="json"), hashes]
    if setup.job.keep_case:
        body.append(setup.job.keep_case)
    return hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()


class RecordHash:
    """Hashes what a record prints: the columns that templates use, the blank, and what is in the
    pictures that it names. A serial, which a proof cannot know, does not count, nor does the
    row's place in the sheet."""

    def __init__(self, setup: Setup, names: tuple[str, ...]) -> None:
        self.pictures = NamedPictures(setup, names)
        needed = all_names(setup).needed
        self._places = sorted((name, at) for at, name in enumerate(names) if name in needed)

    def __call__(self, record: Record) -> str:
        shown = [(name, record.values[at]) for name, at in self._places]
        told: list[object] = [record.blank, record.product, shown]
        if self.pictures:
            told.append(self.pictures(record))
        body = json.dumps(told, ensure_ascii=True)
        return hashlib.sha256(body.encode()).hexdigest()[:24]


class Approved:
    """An intake whose rows have been held against approvals. Read it as often as wanted."""

    def __init__(
        self, setup: Setup, intake: RecordSource, known: dict[str, Approval]
    ) -> None:
        self.names, self.headings = intake.names, intake.headings
        self._intake = intake
        self._known = known
        self._hash = RecordHash(setup, intake.names)
        self._layout = layout_hash(setup)
        self._where = Where(file=setup.sheet_file.name)

    @property
    def notes(self) -> Sequence[Problem]:
        return self._intake.notes

    @property
    def state(self) -> str:
        told = sorted((one.order, one.layout, one.hashes) for one in self._known.values())
        return self._intake.state + hashlib.sha256(json.dumps(told).encode()).hexdigest()

    def __iter__(self) -> Iterator[Intaken]:
        held = 0
        for row in self._intake:
            approval = self._known.get(row.order) if isinstance(row, Record) else None
            if approval is None or not isinstance(row, Record):
                yield row
            elif row.row != held:
                problem = self._problem(row, approval)
                if problem is None:
                    yield row
                else:  # once for all its pieces
                    held = row.row
                    key = row.key.rpartition("#")[0]
                    yield HeldRow(row.row, key, row.order, row.values, (problem,))

    def _problem(self, record: Record, approval: Approval) -> Problem | None:
        since = f"since {approval.who} approved order {approval.order} on {approval.at:%Y-%m-%d}"
        digest, remedy = self._hash(record), _REMEDY
        if self._layout != approval.layout:
            what = f"the layout, its fonts or its art changed {since}"
        elif digest in approval.unseen:
            what = f"this row was held when {approval.who} approved order {approval.order} on "
            what += f"{approval.at:%Y-%m-%d}, and was not shown"
            remedy = _UNSEEN
        elif digest not in approval.records:
            thing = "this row or a picture of it" if self._hash.pictures else "this row"
            what = f"{thing} is new or changed {since}"
        else:
            return None
        where = self._where._replace(row=record.row, record=record.key)
        return Problem("approval", Severity.HOLD, what, remedy, where)


def approved(setup: Setup, intake: RecordSource, ledger_file: Path) -> RecordSource:
    """The intake, held against what the ledger knows to be approved, if it knows anything."""
    known = approvals(ledger_file, setup.job.name)
    return Approved(setup, intake, known) if known else intake
