"""Finished runs by the name that a person has at hand: their folder, or their id.

In: a folder or an id of twelve hex digits, and where runs are to be looked for. Out: the other of
the two. Whether a folder is whole is for those who read it to say.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from vardata.ledger.store import folder_of
from vardata.problems import CallError, fail

_ID = re.compile("[0-9a-f]{12}")


def run_folder_named(
    name: str | Path, near: Sequence[Path] = (), ledger: Path | None = None
) -> Path:
    """The folder of a run: as named, or by its id where the ledger knows it, or in the current
    folder or one ``near``. Raises ``CallError`` for an id that stands in none or in several."""
    if Path(name).exists() or not _ID.fullmatch(str(name)):
        return Path(name)
    run_id, known = str(name), None
    if ledger is not None:
        known = folder_of(ledger, run_id)
        if known is not None and _id_in(known) == run_id:
            return known
    places = list(dict.fromkeys(place.resolve() for place in (Path.cwd(), *near)))
    found = [folder for folder in _folders(places) if _id_in(folder) == run_id]
    if not found:
        raise fail(
            CallError, "no-run", f"no run {run_id} lies in {' or '.join(map(str, places))}",
            "name its folder",
        )  # fmt: skip
    if len(found) > 1:
        raise fail(
            CallError, "which-run", f"run {run_id} lies in several folders: "
            + ", ".join(folder.name for folder in found), "name the folder",
        )  # fmt: skip
    here = Path.cwd().resolve()
    return found[0].relative_to(here) if found[0].is_relative_to(here) else found[0]


def run_id_named(name: str) -> str:
    """The id of a run: as named, or that of the run in the folder that is named."""
    return _id_in(Path(name)) or name


def _folders(places: Iterable[Path]) -> Iterator[Path]:
    for place in places:
        yield from sorted(path.parent for path in place.glob("*/run.json"))


def _id_in(folder: Path) -> str | None:
    """The id of the run in a folder; None where there is no run."""
    try:
        found = json.loads((folder / "run.json").read_text(encoding="utf-8"))
        return str(found["run_id"])
    except (OSError, ValueError, KeyError, TypeError):
        return None
