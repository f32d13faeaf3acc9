"""Stage 8, read-back: a finished run's bed files, rendered and read again.

In: the folder of a run. Out: ``readback.jsonl`` and ``readback.pdf`` in a folder of their own,
and a ``ReadbackReport``. The files alone are judged, never what made them; the run is not
changed. Beds are read in parallel, the results are in the order of the run.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from functools import partial
from pathlib import Path

from vardata.output.folder import as_output_error, run_folder
from vardata.pool import Pool, worker_count
from vardata.problems import CallError, Problem, Severity, Where, fail
from vardata.progress import Progress, Silent
from vardata.readback.beds import FileDone, Weak, make_reader, weakest
from vardata.readback.facts import LINES, PAPER, RunFacts, beside, file_tasks, read_facts
from vardata.readback.report import ReadbackReport

MOST_PROBLEMS = 1000  # kept of a run; all are counted


def read_back(
    run: Path,
    *,
    out: Path | None,
    workers: int | None = None,
    progress: Progress | None = None,
    everything: bool = False,
    replace: bool = False,
) -> ReadbackReport:
    """Reads a run back and writes what was found to ``out`` (default: beside the run).

    ``out`` = ``run`` puts both files into the run's own folder: for a build, while its folder
    is still hidden. ``everything``: all codes are read degraded too, not a sample. Raises
    ``CallError`` for what is no run, ``OutputError`` where ``out`` cannot be written.
    """
    facts = read_facts(run)
    progress = progress or Silent()
    if out is not None and out.resolve() == run.resolve():
        return _read(facts, run, workers, progress, everything)
    target = out or beside(run)
    if target.resolve().is_relative_to(run.resolve()):
        raise fail(
            CallError, "out-in-run", "a run is never changed, so nothing is written into it",
            "choose a folder outside the run with --out", file=str(target),
        )
    with run_folder(target, replace, LINES) as folder:
        report = _read(facts, folder, workers, progress, everything)
    return report._replace(folder=target)


def _read(
    facts: RunFacts, folder: Path, workers: int | None, progress: Progress, everything: bool
) -> ReadbackReport:
    from vardata.readback.paper import write_paper

    sums = _Sums(facts, folder)
    make = partial(make_reader, facts, everything)
    try:
        with (
            (folder / LINES).open("wb") as lines,
            Pool(make, min(worker_count(workers), max(1, facts.beds))) as pool,
        ):
            for done in pool.map(file_tasks(facts.folder)):
                lines.write(done.lines)
                sums.add(done)
                progress.step("readback", sums.report.beds, facts.beds)
        report = sums.finished()
        write_paper(report, facts, folder / PAPER)
        shown = (_unshown(one) if one.where.field in facts.private else one
                 for one in report.problems)  # fmt: skip
        report = report._replace(problems=tuple(shown))
    except OSError as error:
        raise as_output_error(error, folder) from None
    return report


def _unshown(problem: Problem) -> Problem:
    """A problem for the screen: without what a code says, where that is personal. The files that
    were written have it; they are erased with the run."""
    if not problem.value:
        return problem
    what = "the code does not say what it should; what it says is personal and not shown"
    return problem._replace(what=what, value="")


class _Sums:
    """The report as it grows, file by file."""

    def __init__(self, facts: RunFacts, folder: Path) -> None:
        self._facts = facts
        self._problems: list[Problem] = []
        self._weak: list[Weak] = []
        self._sides: Counter[str] = Counter()  # slots by side; of one-sided pieces by ""
        self.report = ReadbackReport(
            folder, facts.run_id, 0, 0, 0, 0, 0, 0, 0, 0, 0, (), ()
        )
        self._record_of_slots()

    def add(self, done: FileDone) -> None:
        at = self.report
        self.report = at._replace(
            beds=at.beds + (0 if done.side == "B" else done.beds),
            files=at.files + 1, slots=at.slots + done.slots,
            codes=at.codes + done.codes, codes_good=at.codes_good + done.codes_good,
            texts=at.texts + done.texts, texts_good=at.texts_good + done.texts_good,
            degraded=at.degraded + done.degraded, failures=at.failures + done.failures,
        )
        self._sides[done.side] += done.slots
        self._problems += done.problems[: MOST_PROBLEMS - len(self._problems)]
        self._weak = list(weakest([*self._weak, *done.weakest]))

    def finished(self) -> ReadbackReport:
        front, behind = self._sides["A"], self._sides["B"]
        pieces = self._sides[""] + front  # a two-sided piece lies in two slots
        if pieces != self._facts.records:
            self._fail(
                "slots-missing", "slots.jsonl",
                f"it lists {pieces} slots, and the run printed {self._facts.records} records",
            )
        if front != behind:
            self._fail(
                "slots-missing", "slots.jsonl",
                f"it lists {front} slots of side A, and {behind} of side B",
            )
        listed = [name for name in self._facts.hashes if name.startswith("beds/")]
        if len(listed) != self.report.files:
            self._fail(
                "files-missing", "slots.jsonl",
                f"it names {self.report.files} bed files, and the run has {len(listed)}",
            )
        return self.report._replace(
            problems=tuple(self._problems), weakest=tuple(self._weak)
        )

    def _record_of_slots(self) -> None:
        path = self._facts.folder / "slots.jsonl"
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        if digest != self._facts.hashes.get(path.name):
            self._fail(
                "file-changed", path.name, "it is not the one that was built: its sha256 differs"
            )

    def _fail(self, kind: str, file: str, what: str) -> None:
        self._problems.append(
            Problem(kind, Severity.ERROR, what, "build the run again", Where(file=file))
        )
        self.report = self.report._replace(failures=self.report.failures + 1)
