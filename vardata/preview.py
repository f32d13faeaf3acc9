"""Pictures of beds and items before anything is built.

In: a setup and what is wanted. Out: a PNG. The same stages as a run up to dress, then the
picture for eyes (``output.pdf.look``), rendered by pdfium.
"""

from __future__ import annotations

import difflib
import io
import re
from pathlib import Path
from typing import NamedTuple

from vardata.dress.outline import item_outline
from vardata.gather import Gathered
from vardata.impose.plan import plan_beds, sequence
from vardata.job.model import Bed, Setup
from vardata.marks import Placement
from vardata.merge import gathered
from vardata.output.folder import as_output_error
from vardata.output.pdf.bed import PageContent
from vardata.output.pdf.look import write_look_file
from vardata.problems import CallError, fail
from vardata.progress import Progress
from vardata.work.fitting import FittedReader
from vardata.work.stages import Fitted, Stages

BED_DPI, ITEM_DPI = 100, 300
_MARGIN = 2.0  # mm around a single item
_MOST_PIXELS = 200_000_000
_BACKGROUND = "#e6e6e6"


class Wanted(NamedTuple):
    """What to show. ``record`` or ``slot`` ask for one item; ``plates`` empty means all."""

    bed: int = 1
    record: str | None = None
    slot: str | None = None
    plates: tuple[str, ...] = ()
    substrate: str | None = None
    dpi: int | None = None


class Shown(NamedTuple):
    what: str
    width: int
    height: int


def preview(
    setup: Setup, wanted: Wanted, out: Path, *, workers: int | None = None,
    progress: Progress | None = None,
) -> Shown:
    """Writes the PNG ``out``. Raises ``CallError`` for a bed, record, slot or plate that is
    not there, and whatever a build would raise."""
    plates = _plates(setup, wanted)
    _check_colour(wanted.substrate)
    with gathered(setup, workers=workers, progress=progress) as (intake, found, scratch):
        stages = Stages(setup, intake.names)
        reader = FittedReader(scratch)
        if wanted.record or wanted.slot:
            fitted, slot = _item(stages, found, reader, wanted)
            item = stages.dress(fitted, slot)
            # An item alone keeps its slot's dots but is shown upright on a bed of its own.
            bed = _small_bed(setup)
            at = Placement(bed.width / 2, bed.height / 2, 0.0)
            pages = PageContent(((at, item),), fitted.key)
            records, what = [fitted], f"record {fitted.key}"
        else:
            bed = setup.bed
            records = _bed_records(stages, found, reader, wanted.bed)
            items = [stages.dress(record, slot) for slot, record in enumerate(records)]
            pages = PageContent(tuple(zip(stages.placements, items)), f"bed {wanted.bed}")
            what = f"bed {wanted.bed}, {len(records)} items"
        colours = {
            record.key: wanted.substrate or stages.substrate(record.blank) for record in records
        }
        look = io.BytesIO()
        write_look_file(
            look, bed=bed, layout=setup.layout, pages=[pages], statics=stages.statics,
            book=stages.book, pictures=stages.pictures.by_key,
            substrate=lambda item: colours[item.record], outline=item_outline(setup.layout),
            plates=plates, background=_BACKGROUND,
        )
    alone = bool(wanted.record or wanted.slot)
    width, height = _render(look.getvalue(), out, wanted.dpi or (ITEM_DPI if alone else BED_DPI))
    return Shown(what, width, height)


def _plates(setup: Setup, wanted: Wanted) -> tuple[int, ...] | None:
    names = [plate.name for plate in setup.layout.plates]
    for name in wanted.plates:
        if name not in names:
            near = difflib.get_close_matches(name, names, 1)
            hint = f"did you mean {near[0]!r}?" if near else "use one of " + ", ".join(names)
            raise fail(CallError, "no-plate", f"the layout has no plate {name!r}", hint)
    return tuple(names.index(name) for name in wanted.plates) or None


def _check_colour(colour: str | None) -> None:
    if colour and not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
        raise fail(
            CallError, "bad-colour", f"--substrate {colour!r} is no colour", 'write it as "#1a2b3c"'
        )


def _small_bed(setup: Setup) -> Bed:
    room = 2 * (_MARGIN + setup.layout.bleed)
    return setup.bed.model_copy(
        update={"width": setup.layout.width + room, "height": setup.layout.height + room}
    )


def _bed_records(
    stages: Stages, found: Gathered, reader: FittedReader, bed: int
) -> list[Fitted]:
    printing = sequence(found.index.ordinals)
    for plan in plan_beds(printing, len(stages.slots)):
        if plan.number == bed:
            return [reader.get(*found.index.place(record)) for record in plan.records]
    beds = -(-len(printing) // len(stages.slots))
    if not beds:
        raise fail(CallError, "no-bed", "there is no record to show", "see vardata check")
    raise fail(CallError, "no-bed", f"there is no bed {bed}", f"beds are numbered 1 to {beds}")


def _item(
    stages: Stages, found: Gathered, reader: FittedReader, wanted: Wanted
) -> tuple[Fitted, int]:
    """The item asked for and the slot that it lies in."""
    if wanted.record:
        for position, record in enumerate(sequence(found.index.ordinals)):
            fitted = reader.get(*found.index.place(record))
            if fitted.key == wanted.record or fitted.key == f"{wanted.record}#1":
                return fitted, position % len(stages.slots)
        raise fail(
            CallError, "no-record", f"no record {wanted.record!r} is printed",
            "a key is sheet!row#piece; held records are listed by vardata check",
        )
    names = [slot.name for slot in stages.slots]
    if wanted.slot not in names:
        raise fail(
            CallError, "no-slot", f"the jig has no slot {wanted.slot!r}",
            f"use one of {', '.join(names[:12])}{' ...' if len(names) > 12 else ''}",
        )
    slot = names.index(wanted.slot)
    records = _bed_records(stages, found, reader, wanted.bed)
    if slot >= len(records):
        raise fail(
            CallError, "empty-slot", f"slot {wanted.slot} of bed {wanted.bed} is empty",
            f"the bed has {len(records)} items",
        )
    return records[slot], slot


def _render(pdf: bytes, out: Path, dpi: int) -> tuple[int, int]:
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    width, height = (side * dpi / 72 for side in page.get_size())
    if width * height > _MOST_PIXELS:
        raise fail(
            CallError, "too-many-pixels",
            f"a picture of {width:.0f} x {height:.0f} pixels is too large",
            "choose a smaller --dpi",
        )
    image = page.render(scale=dpi / 72).to_pil()
    try:
        image.save(out, "PNG", dpi=(dpi, dpi))
    except OSError as error:
        raise as_output_error(error, out) from None
    except ValueError:
        raise fail(
            CallError, "bad-name", f"{out} is no name for a PNG", "end it in .png"
        ) from None
    return image.size[0], image.size[1]
