"""Setups and sheets for the tests of intake, made by hand."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

import openpyxl

from vardata.intake import Intake, open_intake
from vardata.intake.checks.phrases import Phrase
from vardata.intake.record import HeldRow, Record, SkippedRow
from vardata.job.model import Bed, Jig, Job, Layout, PrintMode, Setup

MODE = PrintMode(dpi=(600, 600))
# A job as most tests use it: order, quantity and blank come from columns.
ORDERS: dict[str, Any] = {
    "records": {"order": "Order", "quantity": "Qty", "blank": "Blank"},
    "blanks": {"black": {"label": "Black tag"}, "clear": {"match": ("C", "klar")}},
}


def make_setup(path: Path, **job: Any) -> Setup:
    """A setup around one order sheet; ``job`` holds keys of the job file."""
    sheet = {"file": path.name, **job.pop("sheet", {})}
    keys = {"name": "j", "layout": "l", "jig": "g", "bed": "b", "print_mode": "m", **job}
    return Setup(
        job=Job(sheet=sheet, **keys),
        layout=Layout(name="l", width=10, height=10),
        jig=Jig(name="g", grid={"rows": 1, "columns": 1, "pitch": (10, 10), "offset": (5, 5)}),
        bed=Bed(name="b", width=100, height=100, modes={"m": MODE}),
        mode=MODE,
        sheet_file=path,
        job_file=path.parent / "job.toml",
        layout_file=path.parent / "layout.toml",
    )


def opened(
    path: Path, needed: str = "", codes: str = "", texts: str = "",
    phrases: Sequence[Phrase] = (), **job: Any,
) -> Intake:  # fmt: skip
    """The intake of a file; ``needed``, ``codes`` and ``texts`` are names divided by blanks."""
    exact, used, read = (frozenset(words.split()) for words in (codes, needed, texts))
    return open_intake(make_setup(path, **job), exact, used, read, phrases)


def written(folder: Path, data: str | bytes, name: str = "sheet.csv") -> Path:
    path = folder / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return path


def book(
    folder: Path,
    rows: Iterable[Iterable[Any]],
    change: Callable[[Any, Any], None] | None = None,
    name: str = "sheet.xlsx",
) -> Path:
    """A workbook written by openpyxl; ``change`` gets the workbook and its sheet "Orders"."""
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    sheet.title = "Orders"
    for row in rows:
        sheet.append(list(row))
    if change:
        change(workbook, sheet)
    path = folder / name
    workbook.save(path)
    return path


def altered(path: Path, part: str, change: Callable[[bytes], bytes]) -> Path:
    """The same workbook with one part changed."""
    data = io.BytesIO(path.read_bytes())
    with zipfile.ZipFile(data) as old, zipfile.ZipFile(path, "w") as new:
        for name in old.namelist():
            new.writestr(name, change(old.read(name)) if name == part else old.read(name))
    return path


def outcome(intake: Intake) -> list[str]:
    """What came of each row: keys and texts, or the reasons, then the notes; one line each."""
    lines = []
    for row in intake:
        if isinstance(row, Record):
            lines.append(f"{row.key} {row.order}/{row.blank} {' | '.join(row.values)}")
        elif isinstance(row, SkippedRow):
            lines.append(f"{row.key} skipped: {row.reason}")
        else:
            assert isinstance(row, HeldRow)
            lines += [f"held {row.key}: {problem}" for problem in row.problems]
    return lines + [f"{note.severity}: {note}" for note in intake.notes]
