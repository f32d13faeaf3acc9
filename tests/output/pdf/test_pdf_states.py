"""No state leaks from mark to mark: many marks on one page are the sum of each on its own."""

from __future__ import annotations

import random

import numpy as np
import pypdfium2
import pytest
from bedkit import BOLD, COLOUR, SANS, SCRIPT, WHITE, make_bed, make_layout, page, run, write

from vardata.deflated import deflated
from vardata.dress.drawing import Picture
from vardata.marks import (
    BLACK,
    Cmyk,
    Image,
    Item,
    Mark,
    ModuleGrid,
    Path,
    Placement,
    Ref,
    RunOnPlates,
    Statics,
)
from vardata.output.pdf.bedload import PageContent

COLUMNS, ROWS, CELL = 6, 5, 12.0
PITCH = 1.5 * CELL  # of items that are turned
SIZE = (COLUMNS * CELL, ROWS * CELL)
AT = Placement(SIZE[0] / 2, SIZE[1] / 2, 0.0)
PHOTO = Picture("p", 2, 2, "DeviceGray", "FlateDecode", deflated(b"\x20\x60\xa0\xe0"), (),
                b"\x80\x40", ())  # fmt: skip
ART = Statics(
    {
        "art": tuple(
            mark
            for on in (COLOUR, WHITE)
            for mark in (
                Path(on, BLACK if on == COLOUR else 1.0, (("re", 1.0, 1.0, 4.0, 2.0),)),
                run("art", font=SCRIPT, at=(2.0, 5.0), size=9.0, on=on, squeeze=0.9,
                    choke=0.05 if on == WHITE else 0.0),
            )
        )
    }
)  # fmt: skip


def any_mark(dice: random.Random, on: int, x: float, y: float) -> Mark:
    """Some mark within the cell whose lower left corner is (x, y)."""
    if on == COLOUR:
        paint = dice.choice([BLACK, Cmyk(0.0, 1.0, 1.0, 0.0), Cmyk(1.0, 0.2, 0.0, 0.1)])
    else:
        paint = dice.choice([1.0, 0.5])
    kind = dice.randrange(7)
    if kind <= 2:
        angle = dice.choice([0.0, 0.0, 90.0, 20.0])
        start = (x + 2.0, y + 3.0) if angle != 90.0 else (x + 8.0, y + 2.0)
        return run(dice.choice(["AVo", "nim", "Te"]), font=dice.choice([SANS, BOLD, SCRIPT]),
                   size=dice.choice([10.0, 12.5]), at=start, angle=angle, on=on, paint=paint,
                   squeeze=dice.choice([1.0, 1.0, 0.85]),
                   choke=dice.choice([0.0, 0.0, 0.06, 0.1]) if on == WHITE else 0.0)  # fmt: skip
    if kind == 3:
        hook = (("m", 2.0, 2.0), ("l", 9.0, 4.0), ("l", 4.0, 9.0))
        return Path(on, paint, hook, x, y, 0.0, False, dice.choice([0.0, 0.5, 1.2]))
    if kind == 4:
        return ModuleGrid(on, paint, 8, 2, b"\xb2\x4d", x + 2, y + 2, 8.0, 4.0, dice.randrange(4))
    if kind == 5:
        return Image(on, paint, "p", x + 2.0, y + 2.0, 7.0, 7.0, dice.choice([0.0, 30.0]))
    return Path(on, paint, (("re", 2.0, 2.0, 7.0, 5.0),), x, y, dice.choice([0.0, 15.0]))


def drawn(sheet) -> np.ndarray:
    return np.asarray(sheet.render(scale=3).to_pil().convert("RGB"))


@pytest.mark.parametrize("on", [COLOUR, WHITE])
@pytest.mark.parametrize("seed", range(4))
def test_marks_do_not_touch_each_others_states(tmp_path, on, seed):
    dice = random.Random(seed)
    cells = [(column * CELL, row * CELL) for row in range(ROWS) for column in range(COLUMNS)]
    marks: list[Mark] = [any_mark(dice, on, x, y) for x, y in cells[1:]]
    marks.insert(dice.randrange(3, len(marks)), Ref(on, "art"))  # lies in the first cell
    settings = {"bed": make_bed(*SIZE), "layout": make_layout(*SIZE), "statics": ART,
                "pictures": {"p": PHOTO}.__getitem__}  # fmt: skip
    write(tmp_path / "one.pdf", page(*marks, at=AT), **settings)
    write(tmp_path / "each.pdf", *(page(mark, at=AT) for mark in marks), **settings)
    whole = drawn(pypdfium2.PdfDocument(tmp_path / "one.pdf")[0])
    summed = np.minimum.reduce([drawn(p) for p in pypdfium2.PdfDocument(tmp_path / "each.pdf")])
    different = np.abs(whole.astype(int) - summed.astype(int)).max(axis=2) > 8
    assert (summed < 250).any(axis=2).mean() > 0.05
    assert not different.any(), f"{np.count_nonzero(different)} pixels differ"


def items_in_cells(dice: random.Random, on: int) -> list[tuple[Placement, Item]]:
    """Items of a cell each, upright or turned, with up to three marks of any kind one over the
    other; some lists are shorter, and the same place of two lists holds different kinds."""
    found = []
    for n in range(COLUMNS * ROWS):
        at = Placement((n % COLUMNS + 0.5) * PITCH, (n // COLUMNS + 0.5) * PITCH,
                       dice.choice([0.0, 0.0, 90.0, 180.0, 30.0]))  # fmt: skip
        marks: list[Mark | RunOnPlates] = [
            any_mark(dice, on, 0.0, 0.0) for _ in range(dice.randrange(4))
        ]
        if dice.random() < 0.5:
            text = run("Te", size=10.0, at=(2.0, 3.0), squeeze=dice.choice([1.0, 0.9]))
            paints = (1.0, 0.5) if on == WHITE else (BLACK, Cmyk(0.0, 1.0, 0.0, 0.0))
            marks.append(RunOnPlates(((on, dice.choice(paints), 0.0),), *text[2:10]))
        found.append((at, Item(f"s!{n}#1", tuple(marks))))
    return found


@pytest.mark.parametrize("on", [COLOUR, WHITE])
@pytest.mark.parametrize("seed", range(4))
def test_items_do_not_touch_each_other(tmp_path, on, seed):
    """What items have in one place of their lists is written together; within an item marks keep
    their order, and each item is what it is alone."""
    items = items_in_cells(random.Random(seed), on)
    settings = {"bed": make_bed(COLUMNS * PITCH, ROWS * PITCH), "layout": make_layout(CELL, CELL),
                "pictures": {"p": PHOTO}.__getitem__}  # fmt: skip
    write(tmp_path / "bed.pdf", PageContent(tuple(items), ""), **settings)
    write(tmp_path / "each.pdf", *(PageContent((pair,), "") for pair in items), **settings)
    whole = drawn(pypdfium2.PdfDocument(tmp_path / "bed.pdf")[0])
    summed = np.minimum.reduce([drawn(p) for p in pypdfium2.PdfDocument(tmp_path / "each.pdf")])
    different = np.abs(whole.astype(int) - summed.astype(int)).max(axis=2) > 8
    assert (summed < 250).any(axis=2).mean() > 0.05
    assert not different.any(), f"{np.count_nonzero(different)} pixels differ"
