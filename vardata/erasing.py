"""A finished run stripped of its personal columns; serials and counts stay.

In: the folder of a run whose job named personal columns. Out: the same folder, swapped in one
step: tables without the values, and without the files that show them (beds, pick list on paper);
the read-back beside it, which shows them too, is gone. Nothing else is changed, and the ledger
stays as it is.
"""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Collection, Iterator, Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from vardata.intake.heldseal import HELD_SEAL
from vardata.output.folder import run_folder
from vardata.output.tables import BOM, csv_rows
from vardata.output.xlsxfile import Form, pick_form, write_rows
from vardata.problems import CallError, VardataError, fail
from vardata.readback.facts import LINES, PAPER, beside
from vardata.remakes import Remakes, ledger_near, remakes_of
from vardata.runid import sha256_of
from vardata.spreadsafe import HELD_MARK, unguard

_TABLES = ("held.csv", "skipped.csv", "picklist.csv")
_REWRITTEN = ("run.json", "slots.jsonl", "held.xlsx", "picklist.xlsx", *_TABLES)
# Their words may repeat what a cell held, and a digest may be guessed from.
_REASONS = (HELD_MARK, "held: how to mend", HELD_SEAL)


class Erased(NamedTuple):
    folder: Path
    columns: tuple[str, ...]
    removed: tuple[str, ...]
    readback: Path | None  # the read-back beside the run, if there was one to remove
    remakes: Remakes  # runs that print its pieces again, not stripped
    ledger: Path | None  # that told of them, if one was found


def erase(run: Path, at: datetime, job: Path | None = None) -> Erased:
    """Strips a run. ``job`` is the job's file, where it lies neither here nor beside the run: its
    ledger knows of remakes. Raises ``CallError`` where there is nothing to strip, ``OutputError``.
    """
    facts = _facts(run)
    personal = facts["personal"]
    ledger = ledger_near(run, facts["job"]["ledger"], job)
    remakes = remakes_of(run, facts["run_id"], ledger)
    shown = bool(personal["fields"]) or bool(personal["order"])
    with run_folder(run, True) as fresh:
        removed = []
        for path in sorted(p for p in run.rglob("*") if p.is_file()):
            name = path.relative_to(run).as_posix()
            if name in _REWRITTEN:
                continue
            if shown:  # beds, papers, pictures and read-backs show what was printed
                removed.append(name)
                continue
            (fresh / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, fresh / name)
        _strip_slots(run / "slots.jsonl", fresh / "slots.jsonl", personal)
        for name in _TABLES:
            if (run / name).is_file():
                _strip_table(run / name, fresh, personal, at)
        facts["erased"] = {"at": at.isoformat(), "removed": removed}
        facts["files"] = [
            {
                "file": path.relative_to(fresh).as_posix(), "bytes": path.stat().st_size,
                "sha256": sha256_of(path),
            }
            for path in sorted(p for p in fresh.rglob("*") if p.is_file())
        ]  # fmt: skip
        text = json.dumps(facts, ensure_ascii=False, indent=1)
        (fresh / "run.json").write_text(text + "\n", encoding="utf-8")
        # Before the swap: a run that is stripped is not stripped again.
        readback = _without_readback(run, removed) if shown else None
    return Erased(run, tuple(personal["columns"]), tuple(removed), readback, remakes, ledger)


def _without_readback(run: Path, removed: Collection[str]) -> Path | None:
    """Removes the read-back beside a run; one that tells of other bed files is left alone."""
    folder = beside(run)
    try:
        with (folder / LINES).open(encoding="utf-8") as lines:
            bed = json.loads(next(lines, "{}"))["file"]
    except (OSError, ValueError, KeyError, TypeError):
        return None
    if f"beds/{bed}" not in removed:
        return None
    for name in (PAPER, LINES):
        (folder / name).unlink(missing_ok=True)
    with suppress(OSError):  # somebody else's files in it stay
        folder.rmdir()
    return folder


def _facts(run: Path) -> dict[str, Any]:
    try:
        facts = json.loads((run / "run.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        facts = None
    if not isinstance(facts, dict) or "run_id" not in facts:
        raise _refused(run, "it is not the folder of a run", "name a folder that build made")
    if "personal" not in facts:
        what = "its job named no personal columns, so nothing in it is known to be personal"
        raise _refused(run, what, "write personal = [...] in the job before a run is built")
    if "erased" in facts:
        raise _refused(run, f"it was stripped already, on {facts['erased']['at'][:10]}", "")
    return facts


def _refused(run: Path, what: str, remedy: str) -> VardataError:
    return fail(CallError, "nothing-to-erase", what, remedy, file=str(run))


def _strip_slots(old: Path, new: Path, personal: dict[str, Any]) -> None:
    fields = set(personal["fields"])
    with old.open(encoding="utf-8") as source, new.open("w", encoding="utf-8") as target:
        for line in source:
            slot = json.loads(line)
            for shown in (*slot["texts"], *slot["codes"]):
                if shown["field"] in fields:
                    shown["text"] = ""
            if personal["order"]:
                slot["order"] = ""
            target.write(json.dumps(slot, ensure_ascii=False, separators=(",", ":")) + "\n")


def _strip_table(path: Path, fresh: Path, personal: dict[str, Any], at: datetime) -> None:
    """A table as csv and, where there was one, as xlsx."""
    listed = path.name == "picklist.csv"
    if listed:
        empty = {*personal["fields"], *(("order",) if personal["order"] else ())}
    else:
        empty = {*personal["columns"], *_REASONS}
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = csv.reader(file)
        headings = next(rows)
        kept = [heading not in empty for heading in headings]
        with (fresh / path.name).open("wb") as target:
            target.write(BOM + csv_rows([headings]))

            def stripped() -> Iterator[Sequence[str]]:
                for row in rows:
                    cells = _emptied(row, kept)
                    target.write(csv_rows([cells]))
                    yield cells

            if path.with_suffix(".xlsx").is_file():
                form = pick_form(len(headings)) if listed else Form("Held")
                write_rows(fresh / f"{path.stem}.xlsx", headings, stripped(), at, form)
            else:
                for _ in stripped():
                    pass


def _emptied(row: Sequence[str], kept: Collection[bool]) -> list[str]:
    return [unguard(cell) if keep else "" for cell, keep in zip(row, kept)]
