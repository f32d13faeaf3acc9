"""What a run cannot know of earlier ones: a ledger that has gone, rows that nothing tells apart.

In: a setup before its run begins. Out: warnings. Where the job names a line column, rows are
compared one by one (``earlier.py``), and nothing is said here of them.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from vardata.job.model import Setup
from vardata.ledger.store import latest_run
from vardata.problems import Problem, Severity, Where

_SHOWN = 3


def forgotten(setup: Setup, ledger: Path, supplement: bool) -> Iterator[Problem]:
    """``supplement``: the sheet holds only rows that were held before."""
    file = setup.job_file.name
    if not ledger.exists():
        if names := _runs_beside(setup):
            shown = ", ".join(names[:_SHOWN])
            more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
            yield Problem(
                "new-ledger", Severity.WARNING,
                f"the ledger {ledger.name} is not there, though runs of this job lie beside it "
                f"({shown}{more}): a new one begins, which knows no serial and no row of theirs",
                "put the old ledger back, if there is one", Where(file=file),
            )  # fmt: skip
        return
    own = (setup.job_file.parent / (setup.job.sheet.file or "")).resolve()
    if setup.job.records.line is not None or supplement or setup.sheet_file.resolve() == own:
        return
    if (last := latest_run(ledger, setup.job.name)) is not None:
        plural = "s" * (last.records != 1)
        yield Problem(
            "rows-not-known", Severity.WARNING,
            f"run {last.run_id} has built {last.records:,} record{plural} of this job, and without "
            f"a line column its rows are not known again: those that are in "
            f"{setup.sheet_file.name}, too, are printed again",
            'build its held.xlsx alone, or name the column with "line" under [records] before a '
            "run is built", Where(file=file),
        )  # fmt: skip


def _runs_beside(setup: Setup) -> list[str]:
    """Folders of runs of this job that lie beside it."""
    found = []
    for path in sorted(setup.job_file.absolute().parent.glob("*/run.json")):
        try:
            job = json.loads(path.read_text(encoding="utf-8"))["job"]["name"]
        except (OSError, ValueError, KeyError, TypeError):
            continue
        if job == setup.job.name:
            found.append(path.parent.name)
    return found
