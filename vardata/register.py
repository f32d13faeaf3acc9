"""The serials of a job as people ask for them: by what is printed, and as a customer's register.

In: a job and the ledger's serials. Out: places of printed serials, words for ranges, and the
files ``register.csv`` and ``register.xlsx`` with one row a number.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from vardata.job.model import SerialRule, Setup
from vardata.job.near import choose
from vardata.job.serialparts import DATE_PARTS, places
from vardata.ledger.ranges import Range, Stretch
from vardata.ledger.serials import Block, Serials, UsedUp
from vardata.problems import CallError, JobError, Problem, Severity, SheetError, Where, fail
from vardata.resolve.givenlist import column_values
from vardata.resolve.serial import SerialMaker

HEADINGS = ("serial", "state", "run", "job", "reserved", "counter", "number", "remade as")
_WIDTHS = (30.0, 12.0, 16.0, 24.0, 14.0, 20.0, 12.0, 30.0)
_CHUNK = 256  # rows made into bytes at once


class PlaceOf(NamedTuple):
    """Where a printed serial stands in the ledger."""

    rule: str
    scope: str
    number: int
    state: str


def rules_of(setup: Setup, name: str | None = None) -> dict[str, SerialRule]:
    """The job's rules, or the one asked for. Raises ``JobError`` or ``CallError``."""
    rules = setup.job.serials
    if not rules:
        raise fail(
            JobError, "no-serials", "the job has no serials", "add a table [serials.<name>]",
            file=setup.job_file.name,
        )  # fmt: skip
    if name is None:
        return dict(rules)
    if name not in rules:
        raise fail(
            CallError, "no-serial-rule", f"the job has no serial {name!r}", choose(name, rules)
        )
    return {name: rules[name]}


class Texts:
    """What numbers look like in print, as the ledger has it: a number has one text for ever."""

    def __init__(self, serials: Serials, rules: dict[str, SerialRule]) -> None:
        self._serials = serials
        self._rules = {rule.counter(name): rule for name, rule in rules.items()}
        self.block = lru_cache(maxsize=None)(serials.block)
        self._maker = lru_cache(maxsize=64)(self._made)

    def _made(self, block: int) -> SerialMaker:
        known: Block = self.block(block)
        return SerialMaker(SerialRule.model_validate_json(known.pattern), known.day)

    def of(self, scope: str, stretch: Stretch) -> Iterator[str]:
        """The texts of a stretch; empty where only the number of an imported one is known."""
        rule = self._rules[scope]
        numbers = range(stretch.first, stretch.last + 1)
        if rule.list is not None:
            return self._serials.given(scope, (Range(stretch.first, stretch.last),))
        if stretch.block:
            return map(self._maker(stretch.block).text, numbers)
        if set(places(rule.text)) & DATE_PARTS.keys():
            return ("" for _ in numbers)
        return map(SerialMaker(rule, date.min).text, numbers)

    def one(self, scope: str, number: int) -> str:
        """A number as it is printed; "" if the ledger does not know it."""
        state = self._serials.state(scope, number)
        return next(self.of(scope, state._replace(first=number, last=number))) if state else ""

    def ends(self, scope: str, stretch: Stretch) -> str:
        """``A`` or ``A to B``, for lists that people read."""
        ends = [
            next(self.of(scope, stretch._replace(first=at, last=at))) or f"number {at}"
            for at in dict.fromkeys((stretch.first, stretch.last))
        ]
        return " to ".join(ends)


def find(
    setup: Setup, serials: Serials, printed: Iterable[str], name: str | None = None
) -> list[PlaceOf]:
    """Where serials stand, told by what is printed. Raises ``CallError`` with every fault."""
    rules = rules_of(setup, name)
    texts = Texts(serials, rules)
    found: list[PlaceOf] = []
    faults: list[Problem] = []
    for text in printed:
        places_ = [
            place for key, rule in rules.items()
            if (place := _place(serials, texts, key, rule, text)) is not None
        ]  # fmt: skip
        if len({(place.scope, place.number) for place in places_}) == 1:
            found.append(places_[0])
            continue
        what = f"{text!r} could be of " + " and ".join(place.rule for place in places_)
        remedy = "say which with --rule"
        if not places_:
            what = f"{text!r} is no serial that this job has printed"
            remedy = "write it as it is printed; vardata serials JOB.toml list shows the counters"
        faults.append(Problem("no-serial", Severity.ERROR, what, remedy, value=text))
    if faults:
        raise CallError(faults)
    return found


def _place(
    serials: Serials, texts: Texts, name: str, rule: SerialRule, text: str
) -> PlaceOf | None:
    scope = rule.counter(name)
    if rule.list is not None:
        number = next(serials.positions(scope, [text]))
    else:
        number = SerialMaker(rule, date.min).number(text)
    state = None if number is None else serials.state(scope, number)
    if number is None or state is None:
        return None
    if rule.list is None and state.block:
        one = state._replace(first=number, last=number)
        if next(texts.of(scope, one)) != text:
            return None
    return PlaceOf(name, scope, number, state.state)


def next_text(setup: Setup, serials: Serials, name: str) -> str | None:
    """What the next serial of a rule would be today; None if it is used up, or not yet known.

    Ask it of a rehearsal: the number is taken to see it.
    """
    rule, day = setup.job.serials[name], datetime.now(UTC).date()
    scope, given = rule.counter(name), rule.list is not None
    maker = None if given else SerialMaker(rule, day)
    try:
        block = serials.reserve(
            scope, 1, "next", start=rule.start, last=maker.last if maker else None,
            given=given, day=day,
        )  # fmt: skip
    except UsedUp:
        return None
    return maker.text(block.number(0)) if maker else next(serials.given(scope, block.ranges))


def import_file(
    setup: Setup, serials: Serials, name: str, file: Path, heading: str | None, plain: bool
) -> tuple[int, list[Stretch]]:
    """Takes in numbers that were used elsewhere, from a column of a file.

    ``plain``: the cells hold bare numbers, not serials as printed. Gives how many are new and
    what was known already. Raises ``SheetError`` with every cell that is no serial of the rule.
    """
    rule = rules_of(setup, name)[name]
    values = column_values(
        setup.model_copy(update={"sheet_file": file.absolute()}), heading, "--column"
    )
    if rule.list is not None:
        return serials.import_given(rule.counter(name), values)
    maker = SerialMaker(rule, date.min)
    numbers: list[int] = []
    faults: list[Problem] = []
    for value in values:
        number = _bare(value) if plain else maker.number(value)
        if number is None:
            kind = "a number" if plain else f"a serial like {rule.text!r}"
            remedy = "take the row out" if plain else "take it out, or say --numbers for numbers"
            what = f"{value!r} is not {kind}"
            wrong = None if plain else maker.wrong_check(value)
            if wrong is not None:
                many = "digit" if len(wrong[1]) == 1 else "digits"
                what = f"{value!r} has the wrong check {many}: {wrong[0]}, and {wrong[1]} is right"
                remedy = "correct the number, or take it out"
            where = Where(file=file.name)
            faults.append(Problem("no-serial", Severity.ERROR, what, remedy, where, value))
        else:
            numbers.append(number)
    if faults:
        raise SheetError(faults)
    return serials.import_used(rule.counter(name), numbers)


def _bare(value: str) -> int | None:
    text = value.strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 18 else None


# ---------------------------------------------------------------- the register


def register_rows(setup: Setup, serials: Serials) -> Iterator[tuple[str, ...]]:
    """One row for each number of the job's counters that was ever given or imported."""
    rules = rules_of(setup)
    texts = Texts(serials, rules)
    for scope in dict.fromkeys(rule.counter(name) for name, rule in rules.items()):
        remakes = serials.made_of_numbers(scope)
        for stretch in serials.stretches(scope):
            block = texts.block(stretch.block) if stretch.block else None
            runs = serials.runs_of(stretch.block) if block else []
            job, day = (block.job, block.reserved[:10]) if block else ("", "")
            numbers = range(stretch.first, stretch.last + 1)
            for number, text in zip(numbers, texts.of(scope, stretch)):
                again = remakes.get(number, ())
                kept = [row.run_id for row in again if row.new == number]
                runs_told = " ".join((*runs, *kept))
                new = [texts.one(scope, row.new) for row in again if row.new != number]
                yield (
                    text, stretch.state, runs_told, job, day, scope, str(number), " ".join(new)
                )  # fmt: skip


def write_register(setup: Setup, serials: Serials, folder: Path) -> int:
    """Writes ``register.csv`` and ``register.xlsx`` into a folder; gives the number of rows.

    The same ledger gives the same bytes. Raises ``OSError``, ``OutputError``.
    """
    from vardata.output.tables import BOM, csv_rows
    from vardata.output.xlsxfile import Form, write_rows

    rules = rules_of(setup)
    scopes = {rule.counter(name) for name, rule in rules.items()}
    dates = [block.finished or block.reserved for s in scopes for block in serials.blocks(s)]
    at = datetime.fromisoformat(max(dates, default="2000-01-01T00:00:00+00:00"))
    with (folder / "register.csv").open("wb") as file:
        file.write(BOM + csv_rows([HEADINGS]))

        def rows() -> Iterator[tuple[str, ...]]:
            chunk: list[tuple[str, ...]] = []
            for row in register_rows(setup, serials):
                chunk.append(row)
                if len(chunk) == _CHUNK:
                    file.write(csv_rows(chunk))
                    chunk.clear()
                yield row
            file.write(csv_rows(chunk))

        form = Form("Serials", _WIDTHS)
        return write_rows(folder / "register.xlsx", HEADINGS, rows(), at, form)
