"""Spoiled pieces printed again: a small run of their records only.

In: a job, the folder of its run, slots of that run. Out: a run's folder as ``merge.build``
makes it, with the same record keys, its papers saying that it is a remake; and the trail of
each piece in the ledger.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import NamedTuple

from vardata.gather import gather
from vardata.grouping import Sizes, grouping_of
from vardata.job.model import Setup
from vardata.ledger.serials import Serials
from vardata.merge import (
    check_setup,
    make_files,
    make_pool,
    scratch_folder,
    seal,
    settle,
)
from vardata.output.folder import refuse_existing, run_folder
from vardata.problems import Problem
from vardata.progress import Progress, Silent
from vardata.readback.facts import read_facts
from vardata.renumbering import Change, renumber
from vardata.report import RunReport
from vardata.rows import all_rows, ledger_file
from vardata.spoiled import both_sides, find_records, layout_notes, spoiled_slots


class RemakeReport(NamedTuple):
    """The run that was made, what became of the serials of each piece, and remarks on that."""

    run: RunReport
    changes: tuple[Change, ...]
    remarks: tuple[Problem, ...]


def remake(
    setup: Setup,
    run: Path,
    slots: Sequence[str],
    out: Path,
    *,
    destroyed: bool = False,
    at: datetime | None = None,
    workers: int | None = None,
    replace: bool = False,
    readback: bool = False,
    progress: Progress | None = None,
) -> RemakeReport:
    """Makes the folder ``out`` with the pieces in ``slots`` ("2/B4") of the run in ``run``.

    ``destroyed``: a person confirms that the spoiled pieces exist no more. All is checked
    before the ledger changes. Raises ``CallError``, ``JobError``, ``SheetError``,
    ``OutputError``; then no folder is left behind.
    """
    progress = progress or Silent()
    problems = check_setup(setup)
    facts = read_facts(run)
    spoiled = spoiled_slots(facts, slots)  # a wrong slot is told first
    refuse_existing(out, replace)
    now = datetime.now(UTC)
    intake = all_rows(setup)
    found = find_records(intake, spoiled, setup.sheet_file.name)
    with (
        ExitStack() as sealed,  # folder and ledger: both or neither
        run_folder(out, replace, around=sealed) as folder,
        scratch_folder(folder.parent, out) as scratch,
    ):
        source = renumber(
            setup, intake, found, facts, Serials(ledger_file(setup)), destroyed=destroyed,
            day=(at or now).date(), now=now,
        )
        with make_pool(setup, source, scratch, workers) as pool:
            printed = Sizes(of_run=facts.run_id)  # sizes stay as they were printed
            grouping = grouping_of(setup, ledger_file(setup), printed)
            fitted = gather(source, pool, scratch, progress, grouping)
            report = make_files(
                setup, source, pool, fitted, folder, scratch, progress, at=at, now=now,
                workers=workers, readback=readback, origin=source.origin(),
                notes=(*problems, *layout_notes(setup, facts), *both_sides(found)),
                sizes=grouping.state() if grouping else "",
            )
        also = partial(grouping.write, run_id=report.run_id) if grouping else None
        seal(sealed, setup, report, out, also)
    return RemakeReport(settle(source, fitted, report, out), source.changes, source.remarks)
