"""What differs between two runs, plate by plate, from their bed files alone.

In: the folders of two finished runs. Out: for each bed the area of each plate that was added
or taken away, and a PNG of one bed: what both print is grey, what only the other prints is
blue, what it lacks is red; a strip below says so. Bed files are rendered by pdfium; nothing is
taken from the jobs.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple, TypeAlias

import numpy as np

from vardata.output.wholefile import check_name, write_whole
from vardata.pagepicture import labelled
from vardata.problems import CallError, fail
from vardata.readback.facts import RunFacts, Slot, file_tasks, read_facts
from vardata.readback.plates import BedUnreadable, BedView, Grey, Window
from vardata.units import MM_PER_INCH

DPI = 150
_MORE, _LESS, _EITHER, _SAME = (0, 70, 220), (220, 0, 40), (150, 0, 150), (190, 190, 190)
_LEGEND = (
    ("more", _MORE), ("less", _LESS), ("more on a plate, less on another", _EITHER),
    ("the same", _SAME),
)  # fmt: skip
_INKED = 64  # levels of 255 by which a pixel has to change: edges of letters vary by less


class PlateChange(NamedTuple):
    """Areas in mm2 of one plate of one bed that only one of the runs prints; ``side`` is that of
    two-sided pieces."""

    bed: int
    plate: str
    added: float
    taken: float
    side: str = ""


class Difference(NamedTuple):
    """``alone`` are beds that only one of the runs has; ``shown`` is the bed of the picture, 0
    where nothing differs."""

    beds: int
    changes: tuple[PlateChange, ...]
    alone: tuple[int, ...]
    shown: int


_Side: TypeAlias = tuple[int, str]


class _Run(NamedTuple):
    """``beds`` holds a slot of each bed, by the bed's number and the side of its pieces."""

    facts: RunFacts
    beds: dict[_Side, Slot]


def difference(
    one: Path, other: Path, out: Path, *, bed: int | None = None, dpi: int = DPI
) -> Difference:
    """Compares two runs and writes the picture of ``bed``, else of the first bed that differs.

    Raises ``CallError`` where they cannot be compared, ``OutputError`` if the PNG cannot be
    written.
    """
    check_name(out, ".png", "PNG")
    runs = _read(one), _read(other)
    both = sorted(runs[0].beds.keys() & runs[1].beds.keys())
    numbers = dict.fromkeys(number for number, _ in both)
    if bed is not None and bed not in numbers:
        raise fail(CallError, "no-bed", f"there is no bed {bed} in both runs",
                   f"they share the beds {both[0][0]} to {both[-1][0]}" if both else
                   "they share no bed")  # fmt: skip
    changes: list[PlateChange] = []
    picture: Grey | None = None
    shown, drawn = 0, False
    for side in both:
        found = list(_plates(runs, side, dpi))
        changed = [change for change, _, _ in found if change.added or change.taken]
        changes += changed
        # Of a bed that is asked for, the first side that differs, else the first.
        asked = side[0] == bed and (picture is None or (changed and not drawn))
        if asked or (bed is None and changed and not shown):
            shown, picture = side[0], _drawn([(a, b) for _, a, b in found])
            drawn = bool(changed)
    if picture is not None:
        _write(picture, out, dpi)
    alone = tuple(sorted({number for number, _ in runs[0].beds.keys() ^ runs[1].beds.keys()}))
    return Difference(len(numbers), tuple(changes), alone, shown)


def _read(folder: Path) -> _Run:
    facts = read_facts(folder)
    beds: dict[_Side, Slot] = {}
    for task in file_tasks(folder):
        for slot in task.slots:
            beds.setdefault((slot["bed"], slot.get("side", "")), slot)
    return _Run(facts, beds)


def _plates(
    runs: tuple[_Run, _Run], side: _Side, dpi: int
) -> Iterator[tuple[PlateChange, Grey, Grey]]:
    """Each plate of a bed as both runs print it, 255 where there is no ink."""
    number, name_of_side = side
    facts = [
        run.facts.of(str(run.beds[side].get("product", "")), name_of_side) for run in runs
    ]
    one, other = ((f.bed.width, f.bed.height) for f in facts)
    names, others = ([plate.name for plate in f.layout.plates] for f in facts)
    if one != other or names != others:
        what = f"bed {number} has another size or other plates in the two runs"
        raise fail(CallError, "other-bed", what, "compare runs of one machine and one layout")
    columns, rows = (max(1, round(side * dpi / MM_PER_INCH)) for side in one)
    window = Window(one[0] / 2, one[1] / 2, *one, 0.0, columns, rows)
    pixel = one[0] * one[1] / (columns * rows)
    views = [_view(run, f, side) for run, f in zip(runs, facts)]
    try:
        for i, name in enumerate(names):
            a, b = (
                view.plate(i, run.beds[side]["pages"][name], window)
                for view, run in zip(views, runs)
            )
            step = a.astype(np.int16) - b
            added, taken = int((step > _INKED).sum()), int((step < -_INKED).sum())
            change = PlateChange(
                number, name, round(added * pixel, 2), round(taken * pixel, 2), name_of_side
            )
            yield change, a, b
    except BedUnreadable as error:
        raise fail(CallError, "bed-unreadable", f"bed {number} cannot be looked at: {error}",
                   "build the run again") from None  # fmt: skip
    finally:
        for view in views:
            view.close()


def _view(run: _Run, facts: RunFacts, side: _Side) -> BedView:
    path = facts.folder / "beds" / str(run.beds[side]["file"])
    try:
        return BedView(path.read_bytes(), facts.bed, facts.layout)
    except OSError as error:
        what = f"the bed file cannot be read ({error.strerror or error})"
        raise fail(
            CallError, "file-missing", what, "build the run again", file=str(path)
        ) from None


def _drawn(plates: list[tuple[Grey, Grey]]) -> Grey:
    """Red, green, blue: what both print in grey, over it what was taken and what was added."""
    rows, columns = plates[0][0].shape
    both = np.full((rows, columns), 255, np.uint8)
    taken, added = np.zeros((2, rows, columns), np.bool_)
    for a, b in plates:
        np.minimum(both, np.maximum(a, b) // 3 + 170, out=both)
        step = a.astype(np.int16) - b
        added |= step > _INKED
        taken |= step < -_INKED
    picture = np.repeat(both[:, :, None], 3, axis=2)
    picture[added] = _MORE
    picture[taken] = _LESS
    picture[added & taken] = _EITHER
    return picture


def _write(picture: Any, out: Path, dpi: int) -> None:
    from PIL import Image

    data = io.BytesIO()
    image = labelled(Image.fromarray(picture), (("as printed", None), *_LEGEND), dpi)
    image.save(data, "PNG", dpi=(dpi, dpi))
    write_whole(out, data.getvalue())
