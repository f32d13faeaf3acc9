"""Pictures of beds and items before anything is built.

In: a setup and what is wanted. Out: a PNG. The same stages as a run up to dress, then the
picture for eyes (``output.pdf.look``), rendered by pdfium.
"""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import NamedTuple

from vardata.blankphoto import BlankPhotos
from vardata.dress.drawing import Picture
from vardata.dress.outline import item_outline
from vardata.gather import Gathered
from vardata.impose.arrange import Arrangement
from vardata.impose.plan import BedPlan
from vardata.impose.slots import usable_slots
from vardata.job.model import Bed, Setup
from vardata.job.near import choose
from vardata.job.surfaces import face_down, mirrored_plates
from vardata.marks import Placement
from vardata.merge import gathered
from vardata.output.pdf.bedload import PageContent
from vardata.output.pdf.look import write_look_file
from vardata.output.wholefile import check_name
from vardata.pagepicture import draw_page
from vardata.problems import CallError, fail
from vardata.products import product_number
from vardata.progress import Progress
from vardata.work.fitted import Fitted
from vardata.work.fitting import FittedReader
from vardata.work.sides import BothSides, stages_of
from vardata.work.stages import Stages
from vardata.write import arranged

BED_DPI, ITEM_DPI = 100, 300
_MARGIN = 2.0  # mm around a single item
AS_SEEN, AS_PRINTED, LIT = "as seen", "as printed", "lit from behind"
_BACKGROUND, _DARK = "#e6e6e6", "#26282b"
_LAMP = "#fffaf0"  # light that comes through a clear blank


class Wanted(NamedTuple):
    """What to show. ``record`` or ``slot`` ask for one item; ``plates`` empty means all.

    ``as_printed`` shows mirrored plates mirrored, as they lie on the bed; else items are shown
    as they are seen. Blanks are shown in their own colour or photo, or all in ``substrate``, or
    on ``photo``; ``lit``: in the dark, light coming from behind.
    """

    bed: int = 1
    record: str | None = None
    slot: str | None = None
    plates: tuple[str, ...] = ()
    substrate: str | None = None
    dpi: int | None = None
    as_printed: bool = False
    product: str | None = None
    photo: Path | None = None
    lit: bool = False
    side: str | None = None  # A or B of two-sided pieces

    @property
    def one(self) -> bool:
        """Whether one item is asked for, and not a bed."""
        return self.record is not None or self.slot is not None


class Shown(NamedTuple):
    what: str
    width: int
    height: int


def preview(
    setup: Setup, wanted: Wanted, out: Path, *, workers: int | None = None,
    progress: Progress | None = None,
) -> Shown:
    """Writes the PNG ``out``, whole or not at all. Raises ``CallError`` for a bed, record, slot
    or plate that is not there, and whatever a build would raise."""
    _check_call(wanted)
    check_name(out, ".png", "PNG", setup.read_files())
    product_number(setup, wanted.product)
    if not setup.products:  # else it depends on the product that is found
        _plates(_side(setup, wanted), wanted)
    with gathered(setup, workers=workers, progress=progress) as (intake, found, scratch):
        check_name(out, ".png", "PNG", {Path(path).resolve() for path in found.pictures})
        reader = FittedReader(scratch)
        records, slot, product, bed_number = _find(setup, found, reader, wanted)
        whole = stages_of(setup.parts()[product], intake.names, product)
        setup = _side(whole.setup, wanted)
        plates = _plates(setup, wanted)
        _check_light(setup, wanted)
        stages = whole.of(setup.side) if isinstance(whole, BothSides) else whole
        records = [stages.own(record) for record in records]
        behind = _only_behind(setup, plates)
        if wanted.one:
            fitted = records[0]
            item = (stages.dress_behind if behind else stages.dress)(fitted, slot)
            # An item alone keeps its slot's dots but is shown upright on a bed of its own.
            bed = _small_bed(setup)
            at = Placement(bed.width / 2, bed.height / 2, 0.0)
            pages = PageContent(((at, item),), fitted.key)
            what = f"record {fitted.key}"
        else:
            bed = setup.bed
            pages = stages.content(records, f"bed {bed_number}")
            if behind:
                pages = pages.at(pages.behind)
            if not wanted.as_printed and not behind:
                pages = stages.seen(pages)
            what = f"bed {bed_number}, {len(records)} items"
        grounds = _Grounds(setup, stages, wanted, records)
        look = io.BytesIO()
        write_look_file(
            look, bed=bed, layout=setup.layout, pages=[pages], statics=stages.statics,
            book=stages.book, pictures=grounds.picture,
            substrate=lambda item: grounds.colours[item.record],
            photo=lambda item: grounds.photos[item.record], outline=item_outline(setup.layout),
            plates=plates, background=_DARK if wanted.lit else _BACKGROUND, lit=wanted.lit,
        )
    dpi = wanted.dpi or (ITEM_DPI if wanted.one else BED_DPI)
    label = _label(setup, wanted, behind)
    mirror = label == AS_PRINTED or (behind and not wanted.one)
    if wanted.lit:
        label = f"{label}, {LIT}" if label else LIT
    width, height = draw_page(look.getvalue(), out, dpi, label, mirror=mirror)
    what = f"{what}, side {setup.side}" if setup.side else what
    return Shown(f"{what}, {label}" if label else what, width, height)


class _Grounds:
    """What each item lies on: a colour, and the key of a photo or none, by its record."""

    def __init__(
        self, setup: Setup, stages: Stages, wanted: Wanted, records: list[Fitted]
    ) -> None:
        plain = wanted.substrate is not None or wanted.lit
        photos = None if plain else BlankPhotos(setup, wanted.photo)
        self.colours: dict[str, str] = {}
        self.photos: dict[str, str] = {}
        for record in records:
            blank = setup.job.blanks.get(record.blank)
            lamp = wanted.lit and blank is not None and blank.surface == "clear"
            colour = wanted.substrate or (_LAMP if lamp else stages.substrate(record.blank))
            self.colours[record.key] = colour
            self.photos[record.key] = photos.key(record.blank) if photos else ""
        self._photos, self._others = photos, stages.pictures.by_key

    def picture(self, key: str) -> Picture:
        found = self._photos.by_key(key) if self._photos else None
        return found or self._others(key)


def _side(setup: Setup, wanted: Wanted) -> Setup:
    """The side that is to be shown, by default A."""
    if wanted.side is not None and setup.side_b is None:
        what = "--side names a side of two-sided pieces, and these have one"
        raise fail(CallError, "no-side", what, "leave it out, or add a table [side_b] to the job")
    return setup.side_b if setup.side_b is not None and wanted.side == "B" else setup


def _only_behind(setup: Setup, plates: tuple[int, ...] | None) -> bool:
    """Whether nothing is wanted but the mirrored plates of a layout that has others too."""
    mirrored = mirrored_plates(setup.layout)
    return not face_down(setup.layout) and bool(plates) and mirrored.issuperset(plates or ())


def _check_light(setup: Setup, wanted: Wanted) -> None:
    """A panel with art for each side has no one picture with light behind it."""
    if wanted.lit and mirrored_plates(setup.layout) and not face_down(setup.layout):
        what = "the layout is seen from both sides, and only one side can be shown lit"
        raise fail(CallError, "lit-both", what, 'leave --lit out, or use surface = "first"')


def _label(setup: Setup, wanted: Wanted, behind: bool) -> str:
    """What the picture is, where the two differ: on a first surface they do not."""
    if not face_down(setup.layout) and not behind:
        return ""
    return AS_PRINTED if wanted.as_printed else AS_SEEN


def _plates(setup: Setup, wanted: Wanted) -> tuple[int, ...] | None:
    names = [plate.name for plate in setup.layout.plates]
    for name in wanted.plates:
        if name not in names:
            what = f"the layout has no plate {name!r}"
            raise fail(CallError, "no-plate", what, choose(name, names))
    return tuple(names.index(name) for name in wanted.plates) or None


def _check_call(wanted: Wanted) -> None:
    """What can be told before a row is read."""
    colour = wanted.substrate
    if colour is not None and not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
        raise fail(
            CallError, "bad-colour", f"--substrate {colour!r} is no colour", 'write it as "#1a2b3c"'
        )
    if wanted.record is not None and wanted.slot is not None:
        raise fail(
            CallError, "two-items", "--record and --slot each ask for one item", "give one of them"
        )
    if wanted.photo is not None and (colour is not None or wanted.lit):
        other = "--lit" if colour is None else "--substrate"
        what = f"--photo and {other} each say what items lie on"
        raise fail(CallError, "two-grounds", what, "give one of them")


def _small_bed(setup: Setup) -> Bed:
    room = 2 * (_MARGIN + setup.layout.bleed)
    return setup.bed.model_copy(
        update={"width": setup.layout.width + room, "height": setup.layout.height + room}
    )


def _find(
    setup: Setup, found: Gathered, reader: FittedReader, wanted: Wanted
) -> tuple[list[Fitted], int, int, int]:
    """The records asked for, the slot of the first, their product, and the bed's number."""
    arrangement = arranged(setup, found)
    only = product_number(setup, wanted.product)
    if wanted.record is not None:
        for position, record in enumerate(arrangement.printing):
            fitted = reader.get(*found.index.place(record))
            if fitted.key == wanted.record or fitted.key == f"{wanted.record}#1":
                bed, slot, product = arrangement.where(position)
                return [fitted], slot, product, bed
        raise fail(
            CallError, "no-record", f"no record {wanted.record!r} is printed",
            "a key is sheet!row#piece; held records are listed by vardata check",
        )
    beds = [at for at, of in enumerate(arrangement.products, 1) if only in (None, of)]
    plan = _bed(arrangement, beds, wanted)
    jig = setup.parts()[plan.product].jig
    records = [reader.get(*found.index.place(record)) for record in plan.records]
    if wanted.slot is None:
        return records, 0, plan.product, plan.number
    names = [slot.name for slot in usable_slots(jig)]
    if wanted.slot not in names:
        raise fail(
            CallError, "no-slot", f"the jig has no slot {wanted.slot!r} that takes items",
            choose(wanted.slot or "", names),
        )
    slot = names.index(wanted.slot)
    if slot >= len(records):
        raise fail(
            CallError, "empty-slot", f"slot {wanted.slot} of bed {wanted.bed} is empty",
            f"the bed has {len(records)} items",
        )
    return [records[slot]], slot, plan.product, plan.number


def _bed(arrangement: Arrangement, beds: list[int], wanted: Wanted) -> BedPlan:
    """A bed by its number, or the n-th of a product."""
    if wanted.bed <= len(beds):
        return arrangement.bed(beds[wanted.bed - 1])
    of = f" of {wanted.product!r}" if wanted.product is not None else ""
    if not beds:
        raise fail(CallError, "no-bed", f"there is no record{of} to show", "see vardata check")
    which = f"beds{of} are numbered 1 to {len(beds)}"
    if len(beds) == 1:
        which = f"bed 1{of} is the only one"
    raise fail(CallError, "no-bed", f"there is no bed {wanted.bed}{of}", which)
