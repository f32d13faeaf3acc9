"""The same export again: rows of an order sheet against what earlier runs have built.

In: an opened intake, the ledger's lines, what a person decided about changed rows. Out: the
same rows, those that were built before as skipped, those that changed since as held. Used only
where the job names a line column; nothing is written here but at the end of a run.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from vardata.intake.record import HeldRow, Intaken, Record, SkippedRow
from vardata.linecontent import Contents
from vardata.lineverdict import NEW, Now, Verdict, judge
from vardata.problems import Problem, Severity, Where
from vardata.report import Earlier

if TYPE_CHECKING:
    import sqlite3

    from vardata.intake import Intake
    from vardata.job.model import Setup
    from vardata.ledger.lines import Lines, Piece, Told

_NOTHING = Verdict("held", frozenset())  # of a row that is set aside whole
_SHOWN = 100  # lines that are gone, one note each; more are counted


class Decisions(NamedTuple):
    """What a person says of changed rows: of all ("" is what the job says), and of some, named
    as an order or as order/line. ``again`` is the id of a run that is to be made again."""

    changed: str = ""
    reprint: frozenset[str] = frozenset()
    keep: frozenset[str] = frozenset()
    again: str | None = None


class Compared:
    """An intake whose rows have been compared with earlier runs. Read it as often as wanted."""

    def __init__(
        self,
        setup: Setup,
        intake: Intake,
        lines: Lines,
        columns: Sequence[str],
        decisions: Decisions,
    ) -> None:
        plan = intake.plan
        assert plan.order is not None and plan.line is not None
        self.names, self.headings, self.sheet = intake.names, intake.headings, intake.sheet
        self.state = ""  # a hash of what the ledger said of the rows, after a reading
        self._intake, self._plan, self._lines = intake, plan, lines
        self._contents = Contents(intake, columns, setup.job.records.quantity_max)
        self._default = decisions.changed or setup.job.records.changed
        self._decisions = decisions
        self._begin()

    @property
    def notes(self) -> Sequence[Problem]:
        return (*self._intake.notes, *self._gone)

    def counts(self) -> Earlier:
        """How the rows of the last reading stand to earlier runs."""
        found = self._counts
        return Earlier(
            new=found["new"] + found["rest"],
            built=found["built"] + found["settled"],
            changed=found["changed"] + found["reprint"],
            gone=self._gone_count,
        )

    def _begin(self) -> None:
        self._lines.clear()
        self._counts: Counter[str] = Counter()
        self._gone: list[Problem] = []
        self._gone_count = 0
        self._unused = {*self._decisions.reprint, *self._decisions.keep}
        self._said = hashlib.sha256()
        self.state = ""

    def __iter__(self) -> Iterator[Intaken]:
        self._begin()
        if self._intake.pooled:
            self._look_ahead()
        number, verdict = 0, NEW
        for row in self._intake:
            if not isinstance(row, Record):
                yield self._aside(row)
                continue
            if row.row != number:
                number = row.row
                verdict, aside = self._row(row)
                if aside is not None:
                    yield aside
            if verdict.pieces is None or row.piece in verdict.pieces:
                yield row
        self._end()

    def _look_ahead(self) -> None:
        """Finds the lines of pooled sheets that are not the same in each of them."""
        number = 0
        for row in self._intake:
            order, line = row.values[self._order], row.values[self._line]
            if row.row != number and order and line:
                content = self._contents.of(row.values)
                quantity = self._contents.quantity(row.values)
                known = self._lines.see(order, line, row.key, row.row, content, quantity, "")
                if known is not None:
                    self._lines.tear(order, line, content, quantity)
            number = row.row
        self._lines.clear()

    # ------------------------------------------------------------ one row

    def _row(self, record: Record) -> tuple[Verdict, Intaken | None]:
        """The verdict on a row that intake would print, and what is set aside of it."""
        values, place = record.values, record.key.rpartition("#")[0]
        line = values[self._line]
        if not line:
            what = "the line is empty, so the row cannot be told from others of its order"
            return self._hold(record, place, "no-line", what, "write the line in every row")
        content, quantity = self._contents.of(values), self._contents.quantity(values)
        if self._intake.pooled and self._lines.torn(record.order, line):
            # It is in the sheets, so it is not gone; which form is meant is not known.
            self._lines.see(record.order, line, place, record.row, content, quantity, "aside")
            what = f"order {record.order!r} has line {line!r} in another of the sheets, otherwise"
            remedy = "keep the newer of the two"
            return self._hold(record, place, "line-differs", what, remedy, line)
        now = Now(content, quantity, self._intake.supplement)
        verdict = self._verdict(record.order, line, now)
        twice = self._lines.see(
            record.order, line, place, record.row, now.content, now.quantity, verdict.state
        )
        if twice is not None and self._intake.pooled:
            reason = f"the same line as in row {twice}"
            return _NOTHING, SkippedRow(record.row, place, values, reason)
        if twice is not None:
            what = f"order {record.order!r} has line {line!r} in row {twice} already"
            remedy = "give each line of an order a number of its own"
            return self._hold(record, place, "line-twice", what, remedy, line)
        self._counts[verdict.state] += 1
        if verdict.state != "new":
            self._said.update(f"{place}\0{verdict.state}\0{verdict.reason}\0".encode())
        if verdict.state == "changed":
            remedy = (
                f"to print it as it is now, build with --reprint {record.order}/{line}; "
                f"to leave it as it was printed, with --keep {record.order}/{line}"
            )
            return self._hold(record, place, "changed-since", verdict.reason, remedy, line)
        if not verdict.reason:
            return verdict, None
        return verdict, SkippedRow(record.row, place, values, verdict.reason)

    @property
    def _line(self) -> int:
        assert self._plan.line is not None
        return self._plan.line

    def _hold(
        self, record: Record, place: str, kind: str, what: str, remedy: str, value: str = ""
    ) -> tuple[Verdict, HeldRow]:
        where = Where(sheet=self.sheet, row=record.row, column=self._plan.label(self._line))
        problem = Problem(kind, Severity.HOLD, what, remedy, where, value)
        return _NOTHING, HeldRow(record.row, place, record.order, record.values, (problem,))

    def _aside(self, row: HeldRow | SkippedRow) -> Intaken:
        """A row that intake sets aside is known all the same; a cancelled one is told."""
        order, line = row.values[self._order], row.values[self._line]
        slipped = isinstance(row, HeldRow) and not all(p.where.column for p in row.problems)
        if not (order and line) or slipped:
            return row
        pieces = self._lines.pieces(order, line)
        state = "aside" if pieces or isinstance(row, SkippedRow) else "new"
        content, quantity = self._contents.of(row.values), self._contents.quantity(row.values)
        twice = self._lines.see(order, line, row.key, row.row, content, quantity, state)
        if not pieces or twice is not None:
            return row
        if isinstance(row, HeldRow):
            return self._mended(row, pieces, content, quantity)
        reason = f"{row.reason}, but it was built before: {self._place(pieces[0])}"
        self._said.update(f"{row.key}\0{reason}\0".encode())
        self._note_gone(f"row {row.row}: order {order!r}, line {line!r}: {reason}", order)
        return row._replace(reason=reason)

    def _mended(
        self, row: HeldRow, pieces: Sequence[Piece], content: bytes, quantity: int
    ) -> Intaken:
        """A row that is held as it was before, and whose mended form is built, asks for nothing."""
        if any(
            one.why == "held" and one.quantity == quantity
            and not self._contents.changed(content, one.content, self._lines.columns(one.seq))
            for one in self._lines.told(row.order, row.values[self._line])
        ):  # fmt: skip
            reason = f"held before, mended and built: {self._place(pieces[0])}"
            self._counts["built"] += 1
            self._said.update(f"{row.key}\0built\0{reason}\0".encode())
            return SkippedRow(row.row, row.key, row.values, reason)
        return row

    @property
    def _order(self) -> int:
        assert self._plan.order is not None
        return self._plan.order

    def _verdict(self, order: str, line: str, now: Now) -> Verdict:
        pieces = self._lines.pieces(order, line)
        if not pieces:
            return NEW
        decided = self._default
        for name in (order, f"{order}/{line}"):
            decided = "print" if name in self._decisions.reprint else decided
            decided = "keep" if name in self._decisions.keep else decided
            self._unused.discard(name)

        def changed(before: bytes, seq: int) -> tuple[str, ...]:
            return self._contents.changed(now.content, before, self._lines.columns(seq))

        def told() -> list[Told]:
            return self._lines.told(order, line)

        return judge(now, pieces, told, changed, self._place, decided)

    def _place(self, piece: Piece) -> str:
        return f"run {self._lines.run_id(piece.seq)}, bed {piece.bed}, slot {piece.slot}"

    # ------------------------------------------------------------ the end of a reading

    def _end(self) -> None:
        if not self._intake.supplement:  # a sheet of held rows says nothing of the others
            for one in self._lines.gone():
                self._note_gone(
                    f"order {one.order!r}, line {one.line!r} was built (run {one.run_id}, bed "
                    f"{one.bed}, slot {one.slot}) and is not in the sheet any more", one.order
                )  # fmt: skip
        if self._gone_count > _SHOWN:
            self._gone.append(self._note(f"{self._gone_count - _SHOWN} more lines like these", ""))
        for name in sorted(self._unused):
            self._gone.append(
                Problem(
                    "not-changed", Severity.WARNING,
                    f"no row {name!r} was built before, so there is nothing to decide",
                    "name it as ORDER or ORDER/LINE, as the sheet shows them", Where(), name,
                )
            )  # fmt: skip
        if any(state != "new" for state in self._counts) or self._gone_count:
            self.state = self._said.hexdigest()

    def _note_gone(self, what: str, order: str) -> None:
        self._gone_count += 1
        self._said.update(f"{what}\0".encode())
        if self._gone_count <= _SHOWN:
            self._gone.append(self._note(what, order))

    def _note(self, what: str, order: str) -> Problem:
        remedy = "if it is cancelled, take its pieces out of the order"
        return Problem("gone-since", Severity.WARNING, what, remedy, Where(sheet=self.sheet), order)

    # ------------------------------------------------------------ the end of a run

    def place(self, slots: Path, held: Iterable[int]) -> None:
        """The run's record of slots is written: where each piece of the sheet's lines lies."""
        self._lines.place(_placed(slots), held)

    def write(self, connection: sqlite3.Connection, run_id: str) -> None:
        """Adds the run to the ledger, in the transaction of its finish."""
        self._lines.write(connection, run_id, self._contents.columns)


def _placed(slots: Path) -> Iterator[tuple[str, int, str]]:
    with slots.open("rb") as file:
        for text in file:
            line = json.loads(text)
            if line.get("side") != "B":
                yield line["record"], line["bed"], line["slot"]
