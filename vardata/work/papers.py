"""What the papers of a run say, gathered from its setup."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from vardata.dress.outline import item_outline
from vardata.impose.slots import all_slots
from vardata.job.model import CodeField, Setup, TextField
from vardata.job.shipped import fonts_dir
from vardata.job.surfaces import face_down
from vardata.job.turning import axis_line
from vardata.output.picklist_values import (
    BedFile,
    FrontPaper,
    PaperFont,
    PaperFonts,
    Pocket,
    ProductUse,
    RunPaper,
    Turn,
)
from vardata.work.plan import RunPlan

if TYPE_CHECKING:
    from vardata.gather import Gathered
    from vardata.impose.arrange import Arrangement
    from vardata.output.blanks import BlankTally


def table_fields(setup: Setup) -> tuple[str, ...]:
    """The fields that have a column in the pick list's tables: texts, then codes."""
    fields = [field for part in setup.all_sides() for field in part.layout.fields]
    texts = [field.name for field in fields if isinstance(field, TextField)]
    codes = [field.name for field in fields if isinstance(field, CodeField)]
    return tuple(dict.fromkeys((*texts, *codes)))


def blank_labels(setup: Setup) -> dict[str, str]:
    """What papers call each blank; the key "" is the blank of a job that names none."""
    return {"": "blank"} | {key: blank.label or key for key, blank in setup.job.blanks.items()}


def paper_fonts(setups: Iterable[Setup]) -> PaperFonts:
    """Our sans for the papers; the fonts of the layouts where that lacks a character, those with
    TrueType outlines before others."""
    folder = fonts_dir()
    own = (folder / "NotoSans-Regular.ttf", folder / "NotoSans-Bold.ttf")
    others = dict.fromkeys(
        PaperFont(path, setup.members.get(name), setup.axes.get(name, ()))
        for setup in setups for name, path in setup.fonts.items() if path not in own
    )  # fmt: skip
    plain = (".ttf", ".ttc")
    return PaperFonts(*own, tuple(sorted(others, key=lambda f: f.path.suffix.lower() not in plain)))


def run_paper(setup: Setup, plan: RunPlan) -> RunPaper:
    """What every sheet says and shows."""
    blocked = set(setup.jig.blocked)
    pockets = tuple(
        Pocket(slot.name, slot.x, slot.y, slot.rotation, slot.name in blocked)
        for slot in all_slots(setup.jig)
    )
    return RunPaper(
        job=setup.job.name, run=plan.run_id, beds=plan.beds, jig=setup.jig.name,
        layout=setup.layout.name, at=plan.at, bed_mm=(setup.bed.width, setup.bed.height),
        item_mm=(setup.layout.width, setup.layout.height), outline=item_outline(setup.layout),
        pockets=pockets, fonts=paper_fonts(setup.all_sides()), face_down=face_down(setup.layout),
        remake_of=plan.remake_of, side=setup.side, turn=turn_of(setup),
    )


def turn_of(setup: Setup) -> Turn | None:
    """How pieces are turned for side B, if they have one."""
    side = setup.job.side_b
    if not setup.side or side is None:
        return None
    other = setup if setup.side_b is None else setup.side_b
    jig = other.jig.name if side.jig is not None else ""
    line = axis_line(side, setup.bed)
    return Turn(side.turn == "jig", side.axis, line, side.reads == "book", jig)


def front_paper(
    setup: Setup, plan: RunPlan, found: Gathered, tally: BlankTally, files: Sequence[BedFile],
    arrangement: Arrangement,
) -> bytes:
    """The first page of the pick list."""
    from vardata.output.picklist_front import build_front

    front = FrontPaper(
        records=plan.records, held=found.aside.held_rows, skipped=found.aside.skipped_rows,
        orders=len(found.index.orders.names()), totals=tally.totals, blanks=tally.uses,
        files=files, products=_uses(setup, arrangement),
    )
    run = run_paper(setup, plan)
    if setup.products:
        jigs = dict.fromkeys(part.jig.name for part in setup.products)
        layouts = dict.fromkeys(part.layout.name for part in setup.products)
        run = run._replace(jig=", ".join(jigs), layout=", ".join(layouts))
    return build_front(run, front)


def _uses(setup: Setup, arrangement: Arrangement) -> tuple[ProductUse, ...]:
    """Pieces and beds of each product that has any."""
    uses = []
    for at, part in enumerate(setup.products):
        count = arrangement.products.count(at)
        if count:
            first = arrangement.products.index(at) + 1
            last = first + count - 1  # beds come product by product
            pieces = arrangement.starts[last] - arrangement.starts[first - 1]
            uses.append(ProductUse(part.layout.name, part.jig.name, pieces, first, last))
    return tuple(uses)


