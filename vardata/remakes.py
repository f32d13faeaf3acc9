"""The remakes of a run, and theirs in turn: those that lie beside it, and those the ledger knows.

In: the folder of a run, a ledger if there is one. Out: folders of remakes that still show what
they printed, and where remakes were last that are not found. Nothing is changed.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from vardata.ledger.serialremakes import remade_runs


class Remakes(NamedTuple):
    """``lost`` has the id and last folder of each that the ledger knows and that is not there."""

    folders: tuple[Path, ...]
    lost: tuple[tuple[str, str], ...]


def remakes_of(run: Path, run_id: str, ledger: Path | None) -> Remakes:
    """Remakes of a run that are not stripped of their personal columns yet."""
    of: dict[str, list[str]] = {}
    folders: dict[str, list[Path]] = {}
    stripped: set[str] = set()
    near = [path.parent for path in sorted(run.absolute().parent.glob("*/run.json"))]
    noted = remade_runs(ledger) if ledger else []
    for made, first, last in noted:
        of.setdefault(first, []).append(made)
        if last and Path(last) not in near:
            near.append(Path(last))
    for folder in near:
        facts = _facts(folder)
        made = str(facts.get("run_id"))
        if "erased" in facts:
            stripped.add(made)
        elif facts:
            folders.setdefault(made, []).append(folder)
        if isinstance(facts.get("remake"), dict):
            of.setdefault(str(facts["remake"].get("of")), []).append(made)
    known = list(_below(run_id, of))
    places = {made: last for made, _, last in noted}
    return Remakes(
        tuple(folder for made in known for folder in folders.get(made, ())),
        tuple((made, places[made]) for made in known if made not in stripped | folders.keys()),
    )


def ledger_near(run: Path, name: str, job: Path | None) -> Path | None:
    """The ledger called ``name``: beside the job where that is told, else where we are or beside
    the run."""
    places: Sequence[Path] = [job.parent] if job else [Path.cwd(), run.absolute().parent]
    return next((place / name for place in places if (place / name).is_file()), None)


def _facts(folder: Path) -> dict[str, Any]:
    try:
        found = json.loads((folder / "run.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _below(run_id: str, of: dict[str, list[str]]) -> Iterator[str]:
    """Remakes of a run, then theirs, each once."""
    waiting, seen = [run_id], {run_id}
    while waiting:
        for made in of.get(waiting.pop(0), ()):
            if made not in seen:
                seen.add(made)
                waiting.append(made)
                yield made
