"""The serials of a run: numbers are reserved before the records pass, and join them as columns.

In: an opened intake, the job's rules, the ledger's serials (for previews and checks a copy of
them that is thrown away). Out: the same records, each with its serials after its own values;
record i gets number i of its block, in the order of the sheet. A record that is held later
leaves its number unused.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import NamedTuple, Protocol

from vardata.intake.record import Intaken, Record
from vardata.job.model import SerialRule, Setup
from vardata.ledger.serials import Block, ScopeMixed, Serials, UsedUp
from vardata.problems import JobError, Problem, SheetError, VardataError, fail
from vardata.resolve.givenlist import list_values
from vardata.resolve.serial import SerialMaker
from vardata.resolve.templates import template_names


class RecordSource(Protocol):
    """What gives records: an order sheet, or one with serials."""

    @property
    def names(self) -> tuple[str, ...]: ...
    @property
    def headings(self) -> tuple[str, ...]: ...
    @property
    def notes(self) -> Sequence[Problem]: ...
    @property
    def state(self) -> str: ...
    def __iter__(self) -> Iterator[Intaken]: ...


class Printable(RecordSource, Protocol):
    """Records with serials that the ledger waits to be told about."""

    def facts(self) -> dict[str, dict[str, object]]: ...
    def finish(self, run_id: str, held: Sequence[int], now: datetime) -> None: ...


class Used(NamedTuple):
    """A rule that the layout uses, and its numbers for this run."""

    name: str
    rule: SerialRule
    block: Block
    products: frozenset[int]  # of the records that get a number


class Numbered:
    """An intake whose records carry serials. Read it as often as wanted: the texts are the same."""

    def __init__(
        self, intake: RecordSource, serials: Serials, used: Sequence[Used], mixed: bool = False
    ) -> None:
        self._intake = intake
        self._serials = serials
        self.used = tuple(used)
        self.names = (*intake.names, *(use.name for use in used))
        self.headings = intake.headings
        # In a mixed job: whose turn it was, one byte a record, so that held ones can be told.
        self._products = bytearray()
        self._mixed = mixed

    @property
    def notes(self) -> Sequence[Problem]:
        return self._intake.notes

    @property
    def state(self) -> str:
        """What earlier runs say of the rows, as a hash; empty where nothing was built before."""
        return self._intake.state

    def __iter__(self) -> Iterator[Intaken]:
        if not self.used:
            yield from self._intake
            return
        if self._mixed:
            yield from self._by_product()
            return
        texts = zip(*(self.texts(use) for use in self.used))
        for row in self._intake:
            if isinstance(row, Record):
                yield row._replace(values=row.values + next(texts))
            else:
                yield row

    def _by_product(self) -> Iterator[Intaken]:
        """A record gets the serials that its product's layout uses."""
        self._products.clear()
        streams = [(use.products, self.texts(use)) for use in self.used]
        for row in self._intake:
            if isinstance(row, Record):
                self._products.append(row.product)
                serials = [next(texts) if row.product in of else "" for of, texts in streams]
                yield row._replace(values=(*row.values, *serials))
            else:
                yield row

    def texts(self, use: Used) -> Iterator[str]:
        """The serials of a rule, in the order of the records."""
        if use.rule.list is not None:
            return self._serials.given(use.block.scope, use.block.ranges)
        return map(SerialMaker(use.rule, use.block.day).text, use.block.numbers())

    def bind(self, pictures: str) -> bool:
        """Whether these numbers may be printed with these pictures (see ``Serials.bind``)."""
        return not self.used or self._serials.bind([use.block for use in self.used], pictures)

    def finish(self, run_id: str, held: Sequence[int], now: datetime) -> None:
        """The run's folder stands; ``held`` are the records that are not in it, from 0."""
        if self.used:
            marks = [
                (use.block, map(use.block.number, self._own(use, held))) for use in self.used
            ]
            self._serials.finish(run_id, marks, now)

    def _own(self, use: Used, held: Sequence[int]) -> Sequence[int]:
        """Which of a rule's own numbers the held records have, from 0."""
        if not self._mixed:
            return held
        import numpy

        of = numpy.frombuffer(self._products, dtype=numpy.uint8)
        mine = numpy.isin(of, sorted(use.products))
        places = numpy.cumsum(mine) - 1
        return [int(places[at]) for at in held if mine[at]]

    def facts(self) -> dict[str, dict[str, object]]:
        """What the run's id and record say of its serials."""
        return {
            use.name: {
                "scope": use.block.scope,
                "ranges": [list(part) for part in use.block.ranges],
                "day": use.block.day.isoformat(),
                "texts": _digest(self.texts(use)),
            }
            for use in self.used
        }


def number_records(
    setup: Setup, intake: RecordSource, serials: Serials, *, inputs: str, day: date,
    now: datetime,
) -> Numbered:
    """The intake with serials; new numbers are reserved for ``inputs``, a hash of all that goes
    in. Nothing is reserved where the layout uses no serial or the sheet asks for no record.

    Raises ``JobError``, ``SheetError``, ``OutputError``.
    """
    _check_names(setup, intake)
    users = {name: _users(setup, name) for name in setup.job.serials}
    counts: Counter[int] = Counter()
    if any(users.values()):
        counts.update(row.product for row in intake if isinstance(row, Record))
    inputs += intake.state  # the same sheet after another run asks for other records
    used = []
    for name, products in users.items():
        count = sum(counts[product] for product in products)
        if count:
            rule, block = _reserved(setup, serials, name, count, inputs, day, now)
            used.append(Used(name, rule, block, products))
    return Numbered(intake, serials, used, mixed=len(setup.parts()) > 1)


def sheet_of(intake: RecordSource) -> str:
    """The worksheet's name, for messages."""
    return str(getattr(intake, "sheet", ""))


def _users(setup: Setup, name: str) -> frozenset[int]:
    """The products whose layouts use a serial."""
    return frozenset(
        at
        for at, part in enumerate(setup.parts())
        if any(name in template_names(side).serials for side in part.sides())
    )


def _reserved(
    setup: Setup, serials: Serials, name: str, count: int, inputs: str, day: date, now: datetime
) -> tuple[SerialRule, Block]:
    rule = setup.job.serials[name]
    scope, given = rule.counter(name), rule.list is not None
    last = None if given else SerialMaker(rule, day).last
    key = hashlib.sha256(f"{inputs} {name} {count}".encode()).hexdigest()
    try:
        if given:
            serials.offer(scope, list_values(setup, name))
        block = serials.reserve(
            scope, count, key, start=rule.start, last=last, given=given,
            job=setup.job.name, rule=name, day=day, now=now,
            pattern=json.dumps(rule.model_dump(mode="json"), sort_keys=True),
        )  # fmt: skip
    except UsedUp as error:
        raise used_up(setup, name, rule, error) from None
    except ScopeMixed:
        raise fail(
            JobError, "serial-scope",
            f"the ledger knows {scope!r} as a {'counter' if given else 'list of given values'}, "
            f"not as a {'list of given values' if given else 'counter'}",
            "name another scope", file=setup.job_file.name, key=f"serials.{name}.scope",
        ) from None
    return rule, block


def used_up(
    setup: Setup, name: str, rule: SerialRule, error: UsedUp, who: str = "the order sheet"
) -> VardataError:
    """The one line for a counter or a list that has not as many numbers as are wanted."""
    asked = f"{error.left} are left, and {who} asks for {error.asked}"
    if rule.list is not None:
        what = f"the list {rule.list!r} is used up: {asked}"
        remedy, key = "add fresh values at its end", "list"
    else:
        what = f"the counter {error.scope!r} is used up at {rule.digits} digits: {asked}"
        remedy, key = "allow more digits, or start another counter with scope", "digits"
    where = f"serials.{name}.{key}"
    return fail(JobError, "serials-used-up", what, remedy, file=setup.job_file.name, key=where)


def _check_names(setup: Setup, intake: RecordSource) -> None:
    faults: list[Problem] = []
    for name, heading in zip(intake.names, intake.headings):
        if name in setup.job.serials:
            error = fail(
                SheetError, "serial-name",
                f"templates know this column as {name}, and so they do the serial {name!r}",
                f"rename [serials.{name}], or name the column under [columns]",
                file=setup.sheet_file.name, sheet=sheet_of(intake), column=heading,
            )  # fmt: skip
            faults += error.problems
    if faults:
        raise SheetError(faults)


def _digest(texts: Iterable[str]) -> str:
    digest = hashlib.sha256()
    for text in texts:
        digest.update(text.encode("utf-8", "surrogatepass") + b"\n")
    return digest.hexdigest()
