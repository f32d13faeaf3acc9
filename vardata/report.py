"""What a command has to say when it is done: facts for faces, nothing printed here."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from vardata.problems import Problem, Severity

if TYPE_CHECKING:
    from vardata.readback.report import ReadbackReport


class Earlier(NamedTuple):
    """Rows of the sheet against earlier runs. ``built`` are skipped, ``changed`` held until a
    person decides; ``gone`` are lines that were built and are in the sheet no more."""

    new: int
    built: int
    changed: int
    gone: int


class CheckReport(NamedTuple):
    rows: int
    records: int
    beds: int
    held_rows: int
    held_records: int
    skipped_rows: int
    problems: tuple[Problem, ...]
    earlier: Earlier | None = None  # where the job names a line column
    found: Mapping[tuple[Severity, str], int] = {}  # cells and rows by level and kind

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
    earlier: Earlier | None = None  # where the job names a line column

    def counts(self) -> dict[str, object]:
        return _counts(self)


def _counts(report: CheckReport | RunReport) -> dict[str, object]:
    """The numbers that both kinds share, for machines."""
    earlier = {} if report.earlier is None else {"earlier": report.earlier._asdict()}
    return {
        **earlier,
        "rows": report.rows,
        "records": report.records,
        "beds": report.beds,
        "held_rows": report.held_rows,
        "held_records": report.held_records,
        "skipped_rows": report.skipped_rows,
    }
