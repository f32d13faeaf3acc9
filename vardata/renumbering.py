"""The serials of a remake: a spoiled piece's number is kept or the next one takes its place.

In: spoiled records, the job's rules, the ledger. Out: the same records as a source for the
stages, each with its serials after its own values. A number is kept only where its rule says
so and a person has confirmed that the piece is destroyed; otherwise it is void from now on.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from typing import NamedTuple

from vardata.intake.record import Intaken, Record
from vardata.job.model import SerialRule, Setup
from vardata.ledger.ranges import Range
from vardata.ledger.serialremakes import Remade
from vardata.ledger.serials import Block, Serials, UsedUp
from vardata.numbering import RecordSource, used_up
from vardata.personal import personal_of
from vardata.problems import CallError, Problem, Severity, Where, fail
from vardata.products import all_names
from vardata.readback.facts import RunFacts
from vardata.resolve.givenlist import list_values
from vardata.resolve.serial import SerialMaker
from vardata.spoiled import Spoiled, already, check_same


class Change(NamedTuple):
    """What became of one serial: its row for the trail, and how it was and is printed."""

    row: Remade
    before: str
    after: str


class Renumbered:
    """The records of a remake, with their serials."""

    state = ""  # what earlier runs say of the sheet's rows does not count

    def __init__(
        self, intake: RecordSource, names: Sequence[str], records: Sequence[Record],
        changes: Sequence[Change], serials: Serials, remarks: Sequence[Problem],
    ) -> None:
        self.names = (*intake.names, *names)
        self.headings = intake.headings
        self.notes: Sequence[Problem] = ()
        self.changes = tuple(changes)
        self.remarks = tuple(remarks)  # for people: they are no part of the run
        self._records = tuple(records)
        self._serials = serials

    def __iter__(self) -> Iterator[Intaken]:
        return iter(self._records)

    def facts(self) -> dict[str, dict[str, object]]:
        """What the run's id and record say of its serials: number before and now, by record."""
        found: dict[str, dict[str, object]] = {}
        for row, _, after in self.changes:
            if row.rule:
                of_rule = found.setdefault(row.rule, {"scope": row.scope})
                digest = hashlib.sha256(after.encode("utf-8", "surrogatepass")).hexdigest()
                of_rule[row.record] = [row.old, row.new, digest]
        return found

    def origin(self) -> dict[str, object]:
        """Which pieces of which run are made again, for the run's id and record."""
        pieces = {row.record: [row.bed, row.slot] for row, _, _ in self.changes}
        return {"of": self.changes[0].row.of_run, "pieces": pieces}

    def finish(self, run_id: str, held: Sequence[int], now: datetime) -> None:
        """The remake's folder stands; ``held`` are the records that are not in it, from 0."""
        rows = [change.row._replace(run_id=run_id) for change in self.changes]
        new = [row for row in rows if row.rule and row.new != row.old]
        states = [self._serials.state(row.scope, row.new) for row in new]
        blocks = [self._serials.block(state.block) for state in states if state is not None]
        keys = {self._records[at].key for at in held}
        self._serials.finish_remake(run_id, rows, keys, blocks, now)


def renumber(
    setup: Setup, intake: RecordSource, found: Sequence[Spoiled], facts: RunFacts, serials: Serials,
    *, destroyed: bool, day: date, now: datetime,
) -> Renumbered:
    """The records with their serials; every check comes before the first change.

    ``destroyed``: a person confirms that the spoiled pieces exist no more. Raises
    ``CallError``, ``JobError`` (no number left), ``OutputError``.
    """
    used = all_names(setup).serials
    names = [name for name in setup.job.serials if name in used]
    if names and setup.products:
        raise fail(
            CallError, "mixed-serials",
            "pieces of a mixed job with serials cannot be made again one by one",
            "build an order sheet of their rows", file=setup.job_file.name,
        )
    with serials.rehearsal() as copy:
        before = {name: _before(setup, copy, facts, name, found) for name in names}
        for name in names:
            _refuse(copy, facts, name, found)
        remarks = [] if names else _made_before(copy, facts, found)
        delivered = {
            (one.scope, one.number)
            for ones in before.values() for one in ones
            if (state := copy.state(one.scope, one.number)) and state.state == "delivered"
        }  # fmt: skip
    old = [
        spoiled.record._replace(
            values=spoiled.record.values + tuple(before[name][at].text for name in names)
        )
        for at, spoiled in enumerate(found)
    ]
    personal = personal_of(setup, intake.names, intake.headings)
    check_same(setup, (*intake.names, *names), zip(found, old), personal)
    changes: list[Change] = []
    records: list[Record] = []
    for at, spoiled in enumerate(found):
        row = _row(facts, spoiled)
        own = [
            _change(setup, serials, name, row, before[name][at], destroyed, day, now)
            for name in names
        ]
        changes += own or [Change(row, "", "")]
        texts = tuple(change.after for change in own)
        records.append(spoiled.record._replace(values=spoiled.record.values + texts))
    remarks += [
        _void_after_delivery(change) for change in changes
        if change.row.new != change.row.old and (change.row.scope, change.row.old) in delivered
    ]
    return Renumbered(intake, names, records, changes, serials, remarks)


def _made_before(serials: Serials, facts: RunFacts, found: Sequence[Spoiled]) -> list[Problem]:
    """Notes for pieces without serials: nothing but the trail tells one from another."""
    notes: list[Problem] = []
    for spoiled in found:
        later = serials.made_of(facts.run_id, spoiled.record.key)
        if later:
            day = later[-1].made[:10]
            what = f"this piece of run {facts.run_id} was made again before, on {day}"
            where = Where(bed=spoiled.slot["bed"], slot=spoiled.slot["slot"])
            remedy = "see that it is not printed once too often"
            notes.append(Problem("remade-before", Severity.NOTE, what, remedy, where))
    return notes


def _void_after_delivery(change: Change) -> Problem:
    row = change.row
    what = f"{row.rule} {change.before} was delivered, and is void now"
    remedy = f"tell its customer that {change.after} takes its place"
    where = Where(bed=row.bed, slot=row.slot)
    return Problem("delivered-void", Severity.WARNING, what, remedy, where, change.before)


class _Old(NamedTuple):
    scope: str
    number: int
    text: str


def _before(
    setup: Setup, serials: Serials, facts: RunFacts, name: str, found: Sequence[Spoiled]
) -> list[_Old]:
    """The numbers that the run printed, in the order of ``found``."""
    made = {row.record: row for row in serials.made_in(facts.run_id) if row.rule == name}
    blocks = [block for block in serials.blocks_of_run(facts.run_id) if block.rule == name]
    out = []
    for spoiled in found:
        key = spoiled.record.key
        number: int | None
        if key in made:
            scope, number = made[key].scope, made[key].new
        elif blocks and not made:
            scope = blocks[0].scope
            number = serials.nth_printed(blocks[0], spoiled.before)
        else:
            number = None
        if number is None:
            raise fail(
                CallError, "no-run", f"the ledger knows no serials of a finished run "
                f"{facts.run_id}", "use the job and the ledger that the run was built with",
                file=str(setup.job_file.parent / setup.job.ledger),
            )  # fmt: skip
        out.append(_Old(scope, number, _text(serials, scope, number)))
    return out


def _text(serials: Serials, scope: str, number: int) -> str:
    """How a number that was given is printed: by the rule and the day of its block."""
    state = serials.state(scope, number)
    assert state is not None
    block: Block = serials.block(state.block)
    rule = SerialRule.model_validate_json(block.pattern)
    if rule.list is not None:
        return next(serials.given(scope, (Range(number, number),)))
    return SerialMaker(rule, block.day).text(number)


def _refuse(serials: Serials, facts: RunFacts, name: str, found: Sequence[Spoiled]) -> None:
    for spoiled in found:
        later = serials.made_of(facts.run_id, spoiled.record.key)
        if any(row.rule == name for row in later):
            slot = spoiled.slot
            raise already(facts.run_id, slot["bed"], slot["slot"], later[-1].run_id)


def _row(facts: RunFacts, spoiled: Spoiled) -> Remade:
    slot = spoiled.slot
    return Remade(
        "", spoiled.record.key, facts.run_id, slot["bed"], slot["slot"], "", "", 0, 0
    )  # fmt: skip


def _change(
    setup: Setup, serials: Serials, name: str, row: Remade, old: _Old, destroyed: bool,
    day: date, now: datetime,
) -> Change:
    """Keeps a number or takes the next; here the ledger changes."""
    rule = setup.job.serials[name]
    row = row._replace(rule=name, scope=old.scope, old=old.number, new=old.number)
    if rule.remake == "same-when-destroyed":
        if destroyed:
            serials.confirm_destroyed(old.scope, [old.number], now)
        state = serials.state(old.scope, old.number)
        there = state is not None and state.state in ("printed", "delivered")  # not void since
        if there and serials.is_destroyed(old.scope, old.number):
            return Change(row, old.text, old.text)
    if rule.list is not None:
        serials.offer(old.scope, list_values(setup, name))
    last = None if rule.list is not None else SerialMaker(rule, day).last
    try:
        number = serials.remake(old.scope, old.number, last=last, now=now)
    except UsedUp as error:
        raise used_up(setup, name, rule, error, "the remake") from None
    return Change(row._replace(new=number), old.text, _text(serials, old.scope, number))
