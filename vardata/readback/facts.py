"""What a run says about itself: ``run.json`` and ``slots.jsonl``, read back as values.

In: the folder of a run. Out: ``RunFacts`` and a stream of ``FileTask``, all slots of one bed
file together. Nothing is taken from the job's own files: they may have changed since.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from vardata.job.model import Bed, Blank, Job, Layout, PrintMode
from vardata.problems import CallError, VardataError, fail

Slot = dict[str, Any]  # a line of slots.jsonl
LINES, PAPER = "readback.jsonl", "readback.pdf"  # what a read-back writes
_SIZES = ("size", "min_size", "size_step", "text_size")  # points, written as plain numbers


class RunFacts(NamedTuple):
    """``hashes`` holds the sha256 of every file by its name in the run's folder."""

    folder: Path
    run_id: str
    at: datetime
    job: Job
    layout: Layout
    bed: Bed
    mode: PrintMode
    records: int
    beds: int
    hashes: dict[str, str]
    products: dict[str, tuple[Layout, Bed, PrintMode]]  # of a mixed run, by name
    behind: dict[str, Layout]  # layouts of side B, by product; by "" in a run of one product
    private: frozenset[str] = frozenset()  # fields whose values are personal

    def of(self, product: str, side: str = "") -> RunFacts:
        """The same as one product has it, or side B of it; as it is in a run of one product."""
        known = product in self.products
        found = self
        if known:
            layout, bed, mode = self.products[product]
            found = self._replace(layout=layout, bed=bed, mode=mode)
        behind = self.behind.get(product if known else "") if side == "B" else None
        return found if behind is None else found._replace(layout=behind)

    def kinds(self) -> tuple[tuple[str, str], ...]:
        """Product and side of every layout of the run."""
        products = tuple(self.products) or ("",)
        return tuple(
            (product, side) for product in products
            for side in (("A", "B") if product in self.behind else ("",))
        )  # fmt: skip

    def blank(self, key: str | None) -> Blank:
        """The blank of a slot by its key; the job's own where a line names none."""
        return self.job.blanks.get(key or self.job.blank or "") or Blank()


class FileTask(NamedTuple):
    """All slots of one bed file, in the order of ``slots.jsonl``."""

    number: int
    file: str
    slots: tuple[Slot, ...]


def beside(run: Path) -> Path:
    """The folder of a run's read-back, where none is named."""
    return run.parent / f"{run.resolve().name}-readback"


def read_facts(folder: Path) -> RunFacts:
    """Raises ``CallError`` where the folder is not that of a finished run, or was erased."""
    path = folder / "run.json"
    if not path.is_file() or not (folder / "slots.jsonl").is_file():
        raise fail(
            CallError, "not-a-run", "this is not the folder of a run",
            "name a folder made by vardata build, with its run.json and slots.jsonl",
            file=str(folder),
        )
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
        if erased := found.get("erased", {}).get("removed"):
            day = found["erased"]["at"][:10]
            raise fail(
                CallError, "run-erased", f"the run was erased on {day}, {len(erased)} of its files "
                "with it, so it cannot be read, compared or printed again",
                "build its order sheet as a run of its own", file=str(folder),
            )
        return _facts(folder, found)
    except OSError as error:
        raise _damaged(path, error.strerror or str(error)) from None
    except UnicodeDecodeError:
        raise _damaged(path, "it is not UTF-8") from None
    except json.JSONDecodeError as error:
        raise _damaged(path, "it is not whole, or not JSON from here on", error.lineno) from None
    except KeyError as error:
        raise _damaged(path, f"it has no {error}") from None
    except (ValueError, TypeError, AttributeError):
        raise _damaged(path, "it does not hold what a run writes") from None


def _facts(folder: Path, found: dict[str, Any]) -> RunFacts:
    job, bed = Job.model_validate(found["job"]), Bed.model_validate(found["bed"])
    return RunFacts(
        folder=folder,
        run_id=str(found["run_id"]),
        at=datetime.fromisoformat(found["at"]),
        job=job,
        layout=_layout(found["layout"]),
        bed=bed,
        mode=bed.modes[_first_mode(found, job)],
        records=int(found["counts"]["records"]),
        beds=int(found["counts"]["beds"]),
        hashes={str(entry["file"]): str(entry["sha256"]) for entry in found["files"]},
        products={
            str(name): (_layout(one["layout"]), own, own.modes[one["print_mode"]])
            for name, one in found.get("products", {}).items()
            for own in (Bed.model_validate(one["bed"]),)
        },
        behind={
            name: _layout(one["side_b"]["layout"])
            for name, one in (found.get("products") or {"": found}).items()
            if "side_b" in one
        },
        private=frozenset(map(str, found.get("personal", {}).get("fields", ()))),
    )


def _first_mode(found: dict[str, Any], job: Job) -> str:
    """The print mode that belongs to the run's first bed; a mixed run has one for each product."""
    products = list(found.get("products", {}).values())
    return str(products[0]["print_mode"]) if products else job.print_mode


def _layout(found: dict[str, Any]) -> Layout:
    for field in found["fields"]:
        for key in _SIZES:
            if isinstance(field.get(key), int | float):
                field[key] = f"{field[key]!r}pt"
    return Layout.model_validate(found)


def _damaged(path: Path, what: str, line: int = 0) -> VardataError:
    return fail(
        CallError, "run-damaged", f"the run's record cannot be read: {what}",
        "build the run again", file=str(path), line=line,
    )


def file_tasks(folder: Path) -> Iterator[FileTask]:
    """The bed files with their slots, in order; one file's slots are in memory at a time.

    Raises ``CallError`` at a line that is not a slot's.
    """
    path = folder / "slots.jsonl"
    slots: list[Slot] = []
    number = 0
    with path.open("rb") as lines:
        for at, line in enumerate(lines, 1):
            slot = _slot(path, at, line)
            if slots and slot["file"] != slots[0]["file"]:
                yield FileTask(number, slots[0]["file"], tuple(slots))
                number, slots = number + 1, []
            slots.append(slot)
    if slots:
        yield FileTask(number, slots[0]["file"], tuple(slots))


def _slot(path: Path, at: int, line: bytes) -> Slot:
    try:
        slot = json.loads(line)
        name, codes, texts = slot["file"], slot["codes"], slot["texts"]
        good = (
            isinstance(name, str) and Path(name).name == name
            and isinstance(codes, list) and isinstance(texts, list)
            and _is_box(slot["box_mm"]) and isinstance(slot["pages"], dict)
            and isinstance(slot["rotation_deg"], int | float)
            and isinstance(slot["bed"], int) and isinstance(slot["slot"], str)
            and isinstance(slot["product"], str) and slot.get("side", "") in ("", "A", "B")
            and all(_is_code(code) for code in codes)
            and all(isinstance(text["text"], str) and text["field"] for text in texts)
        )
    except (ValueError, KeyError, TypeError):
        good = False
    if not good:
        raise _damaged(path, "this line is not a slot's", at)
    assert isinstance(slot, dict)
    return slot


def _is_box(box: Any) -> bool:
    return (
        isinstance(box, list) and len(box) == 4
        and all(isinstance(number, int | float) and math.isfinite(number) for number in box)
        and box[2] > 0 and box[3] > 0
    )  # fmt: skip


def _is_code(code: Any) -> bool:
    dots = code["module_dots"]
    return (
        isinstance(code["field"], str) and isinstance(code["text"], str)
        and _is_box(code["box_mm"]) and isinstance(dots, list) and len(dots) in (1, 2)
        and all(isinstance(number, int) and number > 0 for number in dots)
    )  # fmt: skip
