"""The pick list's tables, in a worker: rows that the beds left on disk in, two files out."""

from __future__ import annotations

from typing import NamedTuple

from vardata.runid import sha256_of
from vardata.spool import Parts
from vardata.work.plan import RunPlan

FileFacts = dict[str, tuple[int, str]]  # by name in the run's folder: bytes, sha256


class TablesTask(NamedTuple):
    """The rows of all beds, as CSV and as the XML of a worksheet."""

    plan: RunPlan
    csv: Parts
    rows: Parts


def write_tables(task: TablesTask) -> FileFacts:
    """Writes ``picklist.csv`` and ``picklist.xlsx``. Raises ``OSError``, ``OutputError``."""
    from vardata.output.tables import headings, write_csv
    from vardata.output.xlsxfile import write_xlsx

    plan = task.plan
    table, book = plan.folder / "picklist.csv", plan.folder / "picklist.xlsx"
    names = headings(plan.fields, plan.extras)
    write_csv(table, names, task.csv)
    write_xlsx(book, names, task.rows, plan.at)
    return {path.name: (path.stat().st_size, sha256_of(path)) for path in (table, book)}
