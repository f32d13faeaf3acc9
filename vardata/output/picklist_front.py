"""The first sheets of the pick list: what the run holds, what to fetch, what to mind.

In: ``FrontPaper``. Out: a part of ``picklist.pdf``: counts, blanks to fetch, a caution, and the
list of bed files with a box to tick for each, on as many sheets as it takes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from vardata.output.picklist_document import Paper
from vardata.output.picklist_paper import (
    BLACK,
    BOTTOM,
    GREY,
    INNER,
    LEFT,
    RIGHT,
    TOP,
    ZEBRA,
    facts,
    first_head,
    foot,
    rule,
    tick_boxes,
)
from vardata.output.picklist_values import BedFile, BlankUse, FrontPaper, RunPaper

KIND = "Pick list"
_TITLE = 10.5
_SIZE = 9.5
_STEP = 14.0
_FILE_SIZE, _FILE_STEP, _FILE_LEAST = 8.0, 13.0, 6.0
_TICK = 8.0
_FILE_HEAD = 18.0
_FILE_TITLE = "Bed files"
_WHOLE_NAMES = 24  # so many files are listed by their whole names
_MOST_USES = 24  # lines of "beds 1-4"; a run that changes oftener is told bed by bed
# The hazards are those of HSE's COSHH essentials P7 (uncured UV inks: skin, mist), IEC 62471
# (lamps) and ISO 12100 (moving parts); the wording is ours.
_CAUTIONS = (
    "Uncured ink can make skin sensitive for life: wear gloves, keep it off skin and eyes.",
    "UV light harms eyes and skin: keep the shields closed, do not look at the lamps.",
    "The carriage moves without warning: keep hands out, check the jig's height first.",
    "Follow the ink's safety data sheet and the rules of your place of work.",
)


def build_front(run: RunPaper, front: FrontPaper) -> bytes:
    """The first sheets as a PDF. Raises ``OutputError`` where a font cannot be used."""
    paper = Paper(run, "Run")
    sheets = [_first(paper, run, front)]
    shape = _shape(paper, front.files)
    done = 0
    while done < len(front.files):
        out, top = sheets[-1]
        rows = max(0, int((top - _FILE_HEAD - BOTTOM) / _FILE_STEP))
        chunk = front.files[done : done + rows * shape.columns]
        if chunk:
            rows = min(rows, -(-len(chunk) // shape.columns))
            out.append(_files(paper, chunk, shape, rows, top))
        done += len(chunk)
        if done < len(front.files):
            sheets.append(_next(paper, run))
    for number, (out, _) in enumerate(sheets, 1):
        out.append(foot(paper, run, f"run, page {number} of {len(sheets)}"))
        paper.page(out)
    return paper.finish()


def _first(paper: Paper, run: RunPaper, front: FrontPaper) -> tuple[list[str], float]:
    """The first sheet's operators down to the bed files, and where those start."""
    kind = f"{KIND}: remake" if run.remake_of else KIND
    out = [first_head(paper, run, kind, run.job, "", RIGHT)]
    y = TOP - 56.0
    half = INNER / 2
    out.append(facts(paper, (("run", run.run_named), ("layout", run.layout)), LEFT, y, half - 10))
    bed = f"{run.bed_mm[0]:g} x {run.bed_mm[1]:g} mm"
    out.append(facts(paper, (("jig", run.jig), ("bed", bed)), LEFT + half, y, half))
    y -= 38.0
    out.append(_counts(paper, run, front, y))
    y -= 62.0
    products, y = _products(paper, front, y)
    out += products
    blanks, y = _blanks(paper, front, y)
    cautions, y = _cautions(paper, y - 16.0)
    out += [*blanks, *cautions]
    return out, y - 22.0


def _next(paper: Paper, run: RunPaper) -> tuple[list[str], float]:
    title = paper.bold.shorten(run.job, 14.0, INNER - 100)
    return [paper.bold.at(LEFT, TOP - 16, title, 14.0)], TOP - 34.0


def _counts(paper: Paper, run: RunPaper, front: FrontPaper, y: float) -> str:
    """The numbers of the run, in five columns."""
    pairs = (
        ("pieces to print", front.records),
        ("beds", run.beds),
        ("orders", front.orders),
        ("rows held", front.held),
        ("rows skipped", front.skipped),
    )
    width = INNER / len(pairs)
    out = [rule(y + 16)]
    for i, (label, count) in enumerate(pairs):
        x = LEFT + i * width
        shown = f"{count:,}".replace(",", "\u202f") if count > 9999 else str(count)
        size = paper.bold.fit_size(shown, width - 8, 20.0, 10.0)
        out.append(paper.bold.at(x, y - 10, shown, size))
        out.append(f"{GREY} {paper.regular.at(x, y - 23, label, 8.0)} {BLACK}")
    return "\n".join([*out, rule(y - 32)])


def _products(paper: Paper, front: FrontPaper, y: float) -> tuple[list[str], float]:
    """In a mixed run the jigs in the order of printing, with their beds; and where it ends."""
    if not front.products:
        return [], y
    out = [paper.bold.at(LEFT, y, "Products, in the order of printing", _TITLE)]
    y -= _STEP + 2
    for use in front.products:
        beds = f"bed {use.first}" if use.first == use.last else f"beds {use.first} to {use.last}"
        out.append(paper.bold.at_right(LEFT + 44, y, str(use.pieces), _SIZE))
        text = f"{use.name}: {beds}, jig {use.jig}"
        for line in paper.regular.wrap(text, _SIZE, INNER - 54, 3):
            out.append(paper.regular.at(LEFT + 54, y, line, _SIZE))
            y -= _STEP
    return out, y - 8.0


def _blanks(paper: Paper, front: FrontPaper, y: float) -> tuple[list[str], float]:
    """Blanks to fetch: in total, then for which beds; and where it ends."""
    out = [paper.bold.at(LEFT, y, "Blanks to fetch", _TITLE)]
    y -= _STEP + 2
    for label, count in front.totals:
        out.append(paper.bold.at_right(LEFT + 44, y, str(count), _SIZE))
        for line in paper.regular.wrap(label or "(no blank named)", _SIZE, INNER - 54, 3):
            out.append(paper.regular.at(LEFT + 54, y, line, _SIZE))
            y -= _STEP
    y -= 2
    if len(front.blanks) > _MOST_USES:
        text = "The mixture changes from bed to bed; each bed's first sheet says what it takes."
        out.append(paper.regular.at(LEFT, y, text, _SIZE))
        return out, y - _STEP
    for use in front.blanks:
        out.append(f"{GREY} {paper.regular.at(LEFT, y, _beds(use), _SIZE)} {BLACK}")
        for line in paper.regular.wrap(_pieces(use), _SIZE, INNER - 84, 6):
            out.append(paper.regular.at(LEFT + 84, y, line, _SIZE))
            y -= _STEP
    return out, y


def _beds(use: BlankUse) -> str:
    return f"bed {use.first}" if use.first == use.last else f"beds {use.first} to {use.last}"


def _pieces(use: BlankUse) -> str:
    told = ", ".join(f"{count} {label or '(no blank named)'}" for label, count in use.pieces)
    return told if use.first == use.last else f"{told} each"


def _cautions(paper: Paper, y: float) -> tuple[list[str], float]:
    """A box with what to mind at the machine; and where it ends."""
    height = 24.0 + _STEP * len(_CAUTIONS)
    top = y + 10.0
    out = [
        f"{ZEBRA} {LEFT} {top - height:.2f} {INNER:.2f} {height:.2f} re f",
        f"{BLACK} {LEFT} {top - height:.2f} 3 {height:.2f} re f",
        paper.bold.at(LEFT + 14, top - 15, "Take care", _TITLE),
    ]
    y = top - 15
    for caution in _CAUTIONS:
        y -= _STEP
        out.append(paper.regular.at(LEFT + 14, y, caution, _SIZE))
    return out, top - height


class _Shape(NamedTuple):
    """How the files are listed: what all their names begin with, in how many columns the rest."""

    shared: str
    columns: int
    number: float  # width of the beds' numbers, in points


def _shape(paper: Paper, files: Sequence[BedFile]) -> _Shape:
    """A few files by their whole names; many without what their names have in common."""
    shared = ""
    if len(files) > _WHOLE_NAMES:
        shared = _common(files[0].file, files[-1].file)
        if not all(file.file.startswith(shared) for file in files):
            shared = ""
    number = max((paper.bold.width(_beds_of(file), _FILE_SIZE) for file in files), default=0.0)
    rest = max((file.file[len(shared) :] for file in files), key=len, default="")
    need = paper.regular.width(rest, _FILE_SIZE) + number + _TICK + 24.0
    return _Shape(shared, max(1, min(5, int(INNER / need))), number)


def _common(one: str, other: str) -> str:
    """What both begin with, up to a hyphen."""
    end = 0
    for place, (left, right) in enumerate(zip(one, other), 1):
        if left != right:
            break
        if left == "-":
            end = place
    return one[:end]


def _beds_of(file: BedFile) -> str:
    beds = str(file.first) if file.first == file.last else f"{file.first}-{file.last}"
    return f"{beds} {file.side}" if file.side else beds


def _files(paper: Paper, files: Sequence[BedFile], shape: _Shape, rows: int, top: float) -> str:
    """A heading and the files, column by column, each with a box."""
    width = INNER / shape.columns
    out = [paper.bold.at(LEFT, top, _FILE_TITLE, _TITLE)]
    if shape.shared:
        x = LEFT + paper.bold.width(_FILE_TITLE, _TITLE) + 10.0
        text = f"each name begins with {shape.shared}"
        size = paper.regular.fit_size(text, RIGHT - x, _FILE_SIZE, _FILE_LEAST)
        out.append(paper.regular.at(x, top, paper.regular.shorten(text, size, RIGHT - x), size))
    ticks = []
    for index, file in enumerate(files):
        column, row = divmod(index, rows)
        x, y = LEFT + column * width, top - _FILE_HEAD - row * _FILE_STEP
        ticks.append((x + 1, y - 1.0))
        after = x + _TICK + 7.0 + shape.number
        out.append(paper.bold.at_right(after, y, _beds_of(file), _FILE_SIZE))
        name = file.file.removeprefix(shape.shared)
        room = x + width - after - 14.0
        size = paper.regular.fit_size(name, room, _FILE_SIZE, _FILE_LEAST)
        out.append(paper.regular.at(after + 6.0, y, paper.regular.shorten(name, size, room), size))
    return "\n".join([*out, tick_boxes(ticks, _TICK)])
