"""The spoiled pieces of a finished run, and the records that they were printed from.

In: the folder of a run, slots as people name them (``2/B4``: bed, slot), the job's order sheet.
Out: ``Spoiled`` values in the order of the sheet. A record that would no longer print what the
run printed is refused: then the sheet or the layout has changed since.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from vardata.fit.result import CodeFit, TextFit
from vardata.intake.record import Record
from vardata.job.model import Setup
from vardata.job.near import choose
from vardata.personal import Personal
from vardata.problems import CallError, Problem, Severity, VardataError, Where, fail
from vardata.readback.facts import RunFacts, file_tasks

if TYPE_CHECKING:
    from vardata.numbering import RecordSource

_SIDES = ("A", "B")  # that a person may write behind a bed's number, as papers do
_MEND = "put it back as it was, or build the changed rows as a run of their own"


class Spoiled(NamedTuple):
    """``slot`` is the piece's line of ``slots.jsonl``; ``before`` says how many of the run's
    pieces come before it in the order of the sheet."""

    slot: dict[str, Any]
    record: Record
    before: int


class Slots(NamedTuple):
    """Slots that were asked for, by their records; row and piece of every piece of the run."""

    lines: dict[str, dict[str, Any]]
    printed: array[int]  # row, piece, row, piece, ...

    def before(self, row: int, piece: int) -> int:
        """How many of the run's pieces come before one in the order of the sheet."""
        pairs = zip(self.printed[::2], self.printed[1::2])
        return sum(pair < (row, piece) for pair in pairs)


def spoiled_slots(facts: RunFacts, wanted: Sequence[str]) -> Slots:
    """The slots that a person names. Raises ``CallError`` with every fault."""
    asked: dict[tuple[int, str], str] = {}
    faults: list[Problem] = []
    for text in wanted:
        number, _, name = text.partition("/")
        if number.endswith(_SIDES):  # a side: the piece is meant, whichever it is
            number = number[:-1].rstrip()
        if number.isascii() and number.isdigit() and name:
            asked[int(number), name] = text
        else:
            remedy = "write the number of the bed and the name of the slot, such as 2/B4"
            faults.append(_fault("bad-slot", f"--slot {text!r} names no slot", remedy))
    found: dict[str, dict[str, Any]] = {}
    filled: dict[int, list[str]] = {}
    beds = {bed for bed, _ in asked}
    printed = array("Q")
    for task in file_tasks(facts.folder):
        for line in task.slots:
            if line.get("side") == "B":  # of a piece whose side A was listed before
                if (known := found.get(str(line["record"]))) is not None:
                    known["texts"] += line["texts"]
                    known["codes"] += line["codes"]
                continue
            printed.extend(map(int, str(line["record"]).rpartition("!")[2].split("#")))
            if line["bed"] in beds:
                filled.setdefault(line["bed"], []).append(line["slot"])
            if asked.pop((line["bed"], line["slot"]), None) is not None:
                found[str(line["record"])] = line
    for (bed, slot), text in asked.items():
        if bed not in filled:
            what = f"--slot {text!r}: the run has no bed {bed}"
            remedy = f"its beds are 1 to {facts.beds}" if facts.beds > 1 else "it has bed 1 only"
        else:
            what = f"--slot {text!r}: no piece lies there"
            remedy = choose(slot, filled[bed])
        faults.append(_fault("no-slot", what, remedy))
    if faults:
        raise CallError(faults)
    return Slots(found, printed)


def both_sides(found: Iterable[Spoiled]) -> tuple[Problem, ...]:
    """A note where pieces have two sides: the good one of them goes with the spoiled one."""
    number = sum("side" in spoiled.slot for spoiled in found)
    if not number:
        return ()
    what = "the piece has two sides: both are" if number == 1 else (
        f"{number} pieces have two sides: both of each are"
    )  # fmt: skip
    what = f"{what} printed again, on a new blank"
    return (Problem("both-sides", Severity.NOTE, what, "fetch the blanks that it takes"),)


def find_records(intake: RecordSource, slots: Slots, file: str) -> list[Spoiled]:
    """The records of these slots, in the order of the sheet. Raises ``CallError``."""
    found = [
        Spoiled(slots.lines[row.key], row, slots.before(row.row, row.piece))
        for row in intake
        if isinstance(row, Record) and row.key in slots.lines
    ]
    missing = set(slots.lines) - {spoiled.record.key for spoiled in found}
    if missing:
        raise CallError([
            _changed(f"the order sheet holds no record {key} any more", file)
            for key in sorted(missing)
        ])
    return found


def check_same(
    setup: Setup, names: tuple[str, ...], found: Iterable[tuple[Spoiled, Record]],
    personal: Personal,
) -> None:
    """Refuses records that would not print what their slots show; each comes with the serials
    that it was printed with. Raises ``CallError``, which shows nothing ``personal``."""
    from vardata.work.fitted import HeldRecord
    from vardata.work.sides import stages_of

    parts = setup.parts()
    stages = [stages_of(part, names) for part in parts]
    faults: list[Problem] = []
    for spoiled, record in found:
        (fitted,) = stages[record.product].prepare([record])
        if isinstance(fitted, HeldRecord):
            faults += personal.all_masked(fitted.problems)
            continue
        hidden = {f"field {name!r}" for name in personal.fields}
        hidden |= {"order"} if personal.order else set()
        now = {"order": record.order}
        sides = parts[record.product].sides()
        for field, fit in zip((f for side in sides for f in side.layout.fields), fitted.fits):
            if isinstance(fit, TextFit | CodeFit):
                now[f"field {field.name!r}"] = fit.text
        then = {"order": spoiled.slot["order"]}
        for entry in (*spoiled.slot["texts"], *spoiled.slot["codes"]):
            then[f"field {entry['field']!r}"] = entry["text"]
        if now != then:
            key = next(k for k in (*then, *now) if now.get(k) != then.get(k))
            how = f"was {then.get(key)!r} and is {now.get(key)!r}"
            if key in hidden:
                how = "is another; what it holds is personal and not shown"
            what = f"record {record.key} has changed since the run was built: {key} {how}"
            faults.append(_changed(what, setup.sheet_file.name))
    if faults:
        raise CallError(faults)


def layout_notes(setup: Setup, facts: RunFacts) -> tuple[Problem, ...]:
    """A note where what is printed again may look different."""
    if all(
        part.layout.model_dump(mode="json")
        == facts.of(part.layout.name).layout.model_dump(mode="json")
        for part in setup.parts()
    ):
        return ()
    what = f"the layout is not as it was in run {facts.run_id}, so the pieces may look different"
    where = Where(file=setup.layout_file.name)
    return (Problem("layout-changed", Severity.NOTE, what, "look at a preview", where),)


def already(run: str, bed: int, slot: str, later: str) -> VardataError:
    """The refusal of a piece that was made again: its number would stand on two pieces."""
    return fail(
        CallError, "already-remade", f"bed {bed}, slot {slot} of run {run} was made again as "
        f"a piece of run {later}", "if that one is spoiled too, remake it from that run",
    )  # fmt: skip


def _fault(kind: str, what: str, remedy: str) -> Problem:
    return Problem(kind, Severity.ERROR, what, remedy)


def _changed(what: str, file: str) -> Problem:
    return Problem("changed-since", Severity.ERROR, what, _MEND, Where(file=file))
