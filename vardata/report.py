"""What a command has to say when it is done: facts for faces, nothing printed here."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from vardata.problems import Problem

if TYPE_CHECKING:
    from vardata.readback.report import ReadbackReport


class CheckReport(NamedTuple):
    rows: int
    records: int
    beds: int
    held_rows: int
    held_records: int
    skipped_rows: int
    problems: tuple[Problem, ...]

    def counts(self) -> dict[str, object]:
        return _counts(self)


class RunReport(NamedTuple):
    """A finished run. ``kinds`` counts held rows by the kind of their first problem."""

    run_id: str
    folder: Path
    rows: int
    records: int
    beds: int
    held_rows: int
    held_records: int
    skipped_rows: int
    kinds: Counter[str]
    notes: tuple[Problem, ...]
    readback: ReadbackReport | None = None  # where it was asked for

    def counts(self) -> dict[str, object]:
        return _counts(self)


def _counts(report: CheckReport | RunReport) -> dict[str, object]:
    """The numbers that both kinds share, for machines."""
    return {
        "rows": report.rows,
        "records": report.records,
        "beds": report.beds,
        "held_rows": report.held_rows,
        "held_records": report.held_records,
        "skipped_rows": report.skipped_rows,
    }
