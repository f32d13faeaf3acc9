"""One bed file read back in a worker: its bytes, every code and every text of its slots.

In: a ``FileTask``. Out: ``FileDone``: the lines of ``readback.jsonl`` and what the report
needs of them. A file that is damaged fails; what can be read of it is read all the same. What
is wrong with a whole file is one problem, however many of its slots show it.
"""

from __future__ import annotations

import hashlib
import heapq
import json
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from vardata.impose.facing import mirror_width
from vardata.job.surfaces import face_down
from vardata.problems import Problem, Severity, Where
from vardata.readback.codes import CodeJudge
from vardata.readback.facing import from_behind
from vardata.readback.facts import FileTask, RunFacts
from vardata.readback.plates import BedUnreadable, BedView
from vardata.readback.result import CodeResult, TextResult
from vardata.readback.texts import TextJudge

WEAKEST = 10  # codes listed in the report
MOST_PROBLEMS = 200  # kept a file; all are counted
_AGAIN = "build the run again"


class Weak(NamedTuple):
    """A code by how much it bears; the fewest steps first. Named fields sort it."""

    score: int
    unused: float
    bed: int
    slot: str
    field: str
    hard: dict[str, float | None]


class FileDone(NamedTuple):
    lines: bytes
    slots: int
    side: str  # A or B of two-sided pieces
    beds: int
    codes: int
    codes_good: int
    texts: int
    texts_good: int
    degraded: int
    failures: int
    problems: tuple[Problem, ...]
    weakest: tuple[Weak, ...]


class Reader:
    """Reads bed files of one run."""

    def __init__(self, facts: RunFacts, everything: bool) -> None:
        self._facts = facts
        self._everything = everything
        self._judges = {
            kind: (CodeJudge(one.layout, one.mode), TextJudge(one.layout))
            for kind in facts.kinds()
            for one in (facts.of(*kind),)
        }
        self._codes, self._texts = next(iter(self._judges.values()))
        self._encode = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode

    def __call__(self, task: FileTask) -> FileDone:
        tally = _Tally(f"beds/{task.file}")
        data, whole = self._bytes(tally.file)
        product = str(task.slots[0]["product"])  # a file is of one product, and of one side
        side = str(task.slots[0].get("side", ""))
        facts = self._facts.of(product, side)
        kind = (product if product in self._facts.products else "", side)
        self._codes, self._texts = self._judges.get(kind) or next(iter(self._judges.values()))
        mirror = mirror_width(facts.bed, facts.mode) if face_down(facts.layout) else None
        view = BedView(data, facts.bed, facts.layout, mirror) if data is not None else None
        lines: list[str] = []
        seen: set[int] = set()
        try:
            for slot in task.slots:
                first = slot["bed"] not in seen
                seen.add(slot["bed"])
                hard = self._everything or slot["bed"] == 1
                if mirror is not None:
                    slot = from_behind(slot, mirror)
                lines.append(self._slot(slot, view, tally, hard, first))
        finally:
            if view is not None:
                view.close()
        tally.settle(whole, len(lines))
        told = "".join(line + "\n" for line in lines).encode()
        return tally.done(told, len(lines), len(seen), side)

    def _bytes(self, name: str) -> tuple[bytes | None, Problem | None]:
        """The file, and what is wrong with all of it."""
        try:
            data = (self._facts.folder / name).read_bytes()
        except OSError as error:
            what = f"the bed file cannot be read ({error.strerror or error})"
            return None, _of_file("file-missing", name, what)
        digest = hashlib.sha256(data).hexdigest()
        if digest != self._facts.hashes.get(name):
            what = "the bed file is not the one that was built: its sha256 differs"
            others = (other for other, one in self._facts.hashes.items() if one == digest)
            if (other := next(others, None)) is not None:
                what = f"the bed file is not the one that was built: it is that of {other}"
            return data, _of_file("file-changed", name, what)
        return data, None

    def _slot(
        self, slot: dict[str, Any], view: BedView | None, tally: _Tally, hard: bool, first: bool
    ) -> str:
        """Judges a slot and gives its line. ``first``: the first slot of its bed, one code of
        which is read degraded in any case."""
        codes: list[CodeResult] = []
        texts: list[TextResult] = []
        stopped = ""
        blank = self._facts.blank(slot.get("blank"))
        try:
            if view is None:
                raise BedUnreadable("it is not there")
            for n, code in enumerate(slot["codes"]):
                wanted = hard or (first and n == 0)
                codes.append(self._codes.judge(view, slot, code, blank, hard=wanted))
            texts = self._texts.judge(view, slot, blank)
        except (BedUnreadable, KeyError) as error:
            known = isinstance(error, BedUnreadable)
            reason = str(error) if known else f"{error} is not of its layout"
            stopped = f"the slot cannot be looked at in {slot['file']}: {reason}"
            tally.unread[reason] += 1
        tally.add(slot, codes, texts)
        return self._encode(_line(slot, codes, texts, stopped))


class _Tally:
    """Counts what was found in one file; ``unread`` are slots by why they were not read."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.unread = Counter[str]()
        self.faulty = 0  # slots
        self.codes = self.codes_good = self.texts = self.texts_good = 0
        self.degraded = self.failures = 0
        self.problems: list[Problem] = []
        self.weak: list[Weak] = []

    def fail(self, problem: Problem) -> None:
        self.failures += 1
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(problem)

    def settle(self, whole: Problem | None, slots: int) -> None:
        """``whole``: what is wrong with all of the file. Then that is the one problem, and its
        slots' own are told by ``readback.jsonl`` alone."""
        if whole is None:
            for reason, number in self.unread.items():
                what = f"{number} of its {slots} slots cannot be looked at: {reason}"
                self.fail(_of_file("slot-unread", self.file, what))
            return
        faulty = self.faulty + self.unread.total()
        what = whole.what
        if whole.kind != "file-missing" and faulty:
            reason = next(iter(self.unread), f"{faulty} of its {slots} slots failed")
            what = f"{what}, and {reason}"
        self.problems, self.failures = [], 0
        self.fail(whole._replace(what=what))

    def add(
        self, slot: dict[str, Any], codes: list[CodeResult], texts: list[TextResult]
    ) -> None:
        self.codes += len(slot["codes"])
        self.texts += len(slot["texts"])
        self.codes_good += sum(not code.faults for code in codes)
        self.texts_good += sum(not text.faults for text in texts)
        self.faulty += any(result.faults for result in _results(codes, texts))
        for result in _results(codes, texts):
            for fault in result.faults:
                self.fail(fault.at(slot, result.field))
        for code in codes:
            if code.hard is not None:
                self.degraded += 1
                steps = code.hard._asdict()
                score = steps.pop("score")
                unused = code.unused if code.unused is not None else 1.0
                self.weak.append(
                    Weak(score, unused, slot["bed"], slot["slot"], code.field, steps)
                )

    def done(self, lines: bytes, slots: int, beds: int, side: str) -> FileDone:
        return FileDone(
            lines, slots, side, beds, self.codes, self.codes_good, self.texts, self.texts_good,
            self.degraded, self.failures, tuple(self.problems), weakest(self.weak),
        )


def weakest(codes: list[Weak]) -> tuple[Weak, ...]:
    return tuple(heapq.nsmallest(WEAKEST, codes, key=lambda weak: weak[:5]))


def _of_file(kind: str, name: str, what: str) -> Problem:
    return Problem(kind, Severity.ERROR, what, _AGAIN, Where(file=name))


def _results(
    codes: list[CodeResult], texts: list[TextResult]
) -> Iterator[CodeResult | TextResult]:
    yield from codes
    yield from texts


def _line(
    slot: dict[str, Any], codes: list[CodeResult], texts: list[TextResult], stopped: str
) -> dict[str, object]:
    good = not stopped and not any(result.faults for result in _results(codes, texts))
    line: dict[str, object] = {
        "bed": slot["bed"],
        **({"side": slot["side"]} if "side" in slot else {}),
        "slot": slot["slot"],
        "record": slot.get("record", ""),
        "file": slot["file"],
        "good": good,
        "codes": [_code(code) for code in codes],
        "texts": [
            {"field": text.field, "ink": text.ink, "outside": text.outside} for text in texts
        ],
        "failures": [
            {"field": result.field, "kind": fault.kind, "what": fault.what}
            for result in _results(codes, texts)
            for fault in result.faults
        ],
    }
    if stopped:
        line["unread"] = stopped
    return line


def _code(code: CodeResult) -> dict[str, object]:
    line: dict[str, object] = {
        "field": code.field,
        "symbology": code.symbology,
        "text": code.text,
        "read": code.read,
        "module_dots": code.module_dots,
        "contrast": code.contrast,
    }
    if code.unused is not None:
        line["unused_correction"] = code.unused
    if code.hard is not None:
        line["hardest"] = code.hard._asdict()
    return line


def make_reader(facts: RunFacts, everything: bool, number: int) -> Callable[[FileTask], FileDone]:
    """For ``Pool``: one reader a process."""
    return Reader(facts, everything)
