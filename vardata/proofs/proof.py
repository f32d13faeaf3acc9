"""Proofs of a job: the hardest records, an order for its customer, the first piece to be made.

In: a setup and what is wanted. Out: a PDF, and a PNG of each page where it is asked for. The
same stages as a run up to dress; no serial is used up, nothing is noted in the ledger.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from vardata.dress.outline import item_outline
from vardata.fit.result import TextFit
from vardata.gather import Gathered
from vardata.job.fonts import text_chain
from vardata.job.model import Bed, Setup, TextField
from vardata.job.near import choose
from vardata.marks import Placement
from vardata.merge import gathered
from vardata.output.pdf.bed import PageContent
from vardata.output.pdf.look import write_look_file
from vardata.output.wholefile import check_name, write_whole
from vardata.problems import CallError, Problem, fail
from vardata.progress import Progress
from vardata.proofs.approval import approval_of
from vardata.proofs.guides import guides
from vardata.proofs.hardest import Hardest, Pick
from vardata.proofs.pages import Sheet, Shown, build_proof
from vardata.work.fitting import FittedReader
from vardata.work.papers import run_paper
from vardata.work.plan import RunPlan
from vardata.work.stages import Fitted, Stages
from vardata.write import arranged

_ROOM = 3.0  # mm of picture around an item
_DPI = 200
_MOST = 400  # items of one order that are shown
_SIGN_PROOF = ("name", "date", "signature")
_SIGN_SPECIMEN = ("position", "adhesion", "scan of codes", "name and date")


class WantedProof(NamedTuple):
    """The hardest records; or an ``order`` for its customer; or a ``specimen`` to sign at the
    machine. ``png`` writes each page as a picture beside the PDF. Of a mixed job ``product`` is
    shown, by default the first."""

    order: str | None = None
    specimen: bool = False
    png: bool = False
    product: str | None = None


class Proofed(NamedTuple):
    """What was made: items shown, the files, the mark that an approval refers to; and how many
    rows of an order are held, so not shown, with the reasons."""

    items: int
    files: tuple[Path, ...]
    mark: str
    held: int = 0
    problems: tuple[Problem, ...] = ()


def proof(
    setup: Setup, wanted: WantedProof, out: Path, *, at: datetime, workers: int | None = None,
    progress: Progress | None = None,
) -> Proofed:
    """Writes the PDF ``out``, whole or not at all. Raises ``CallError`` for an order that is not
    there, and whatever a build would raise."""
    if wanted.order is not None and wanted.specimen:
        raise fail(CallError, "two-proofs", "--order and --specimen each ask for one proof",
                   "give one of them")  # fmt: skip
    check_name(out, ".pdf", "PDF")
    whole, product = setup, _product(setup, wanted.product)
    with gathered(whole, workers=workers, progress=progress) as (intake, found, scratch):
        setup = whole.parts()[product]
        stages = Stages(setup, intake.names, product)
        stream = _printed(whole, found, FittedReader(scratch), product)
        mark, held = "", 0
        problems: tuple[Problem, ...] = ()
        if wanted.order is not None:
            order = approval_of(whole, intake, found, wanted.order, "", at)
            mark, held, problems = order.mark, order.held, order.problems
            picks, sheet = _order(setup, wanted.order, stream, held)
        else:
            picks, sheet = _hardest(setup, stages, stream, found, wanted.specimen)
        looks = _looks(setup, stages, [pick.record for pick in picks])
        items = [
            Shown(look, _captions(setup, pick, wanted),
                  () if wanted.order is not None else tuple(guides(setup.layout, pick.record)))
            for look, pick in enumerate(picks)
        ]  # fmt: skip
        plan = RunPlan(mark, at, 0, len(picks), out.parent, scratch)
        data = build_proof(run_paper(setup, plan), sheet, items, looks, _ROOM)
    write_whole(out, data)
    return Proofed(len(items), (out, *(_pictures(out, data) if wanted.png else ())), mark,
                   held, problems)  # fmt: skip


def _product(setup: Setup, name: str | None) -> int:
    """The place of the product that is to be shown."""
    names = [part.layout.name for part in setup.products]
    if name is None:
        return 0
    if name not in names:
        raise fail(CallError, "no-product", f"the job has no product {name!r}",
                   choose(name, names, "it has none: leave --product out"))  # fmt: skip
    return names.index(name)


def _printed(
    setup: Setup, found: Gathered, reader: FittedReader, product: int
) -> Iterator[Fitted]:
    """The records of a product in printing order."""
    arrangement = arranged(setup, found)
    for position, record in enumerate(arrangement.printing):
        if not setup.products or arrangement.where(position)[2] == product:
            yield reader.get(*found.index.place(record))


def _hardest(
    setup: Setup, stages: Stages, stream: Iterator[Fitted], found: Gathered, specimen: bool
) -> tuple[list[Pick], Sheet]:
    hardest = Hardest(setup.layout)
    for index, field in enumerate(setup.layout.fields):
        if isinstance(field, TextField):
            chain = text_chain(setup.layout, field)
            hardest.lead(index, stages.book.chain(chain[:1])[0].index)
    hardest.take(stream)
    names = [stages.book.face(index).postscript_name for index in range(len(stages.book))]
    picks = hardest.picks(names)
    if not picks:
        raise fail(CallError, "no-record", "there is no record to show", "see vardata check")
    about = (
        ("layout", setup.layout.name),
        ("records", f"{len(found.index)} fit, {found.aside.held_rows} rows held"),
    )
    if specimen:
        hard = max(picks, key=lambda pick: (len(pick.reasons), -pick.number))
        note = "Print this piece first, and check it before the rest."
        return [hard], Sheet("First-off", setup.job.name, about, _SIGN_SPECIMEN, note=note)
    return picks, Sheet("Proof: the hardest records", setup.job.name, about)


def _order(
    setup: Setup, order: str, stream: Iterator[Fitted], held: int
) -> tuple[list[Pick], Sheet]:
    orders: dict[str, None] = {}
    picks: list[Pick] = []
    for number, record in enumerate(stream):
        orders.setdefault(record.order)
        if record.order == order:
            picks.append(Pick(number, record, ()))
    if not picks:
        raise fail(CallError, "no-order", f"no record of order {order!r} is printed",
                   choose(order, orders))  # fmt: skip
    if len(picks) > _MOST:
        raise fail(CallError, "too-many-items", f"order {order!r} has {len(picks)} items; a proof "
                   f"shows up to {_MOST}", "make a job of a part of the order")  # fmt: skip
    about = [("order", order), ("items", str(len(picks)))]
    if held:
        rows = "row of this order is" if held == 1 else "rows of this order are"
        about.append(("not shown", f"{held} {rows} held, not shown and not approved with it"))
    return picks, Sheet(
        "Proof for approval", setup.job.name, tuple(about), _SIGN_PROOF, "PROOF",
        "Approved as shown: spelling, position and colours. Colours on screen differ from print.",
    )


def _captions(setup: Setup, pick: Pick, wanted: WantedProof) -> tuple[str, ...]:
    if wanted.order is not None:
        return (pick.record.key,)
    texts = [
        f"{field.name}: {fit.size_pt:g} pt, {fit.squeeze * 100:.3g} %, {fit.lines} "
        f"line{'s' * (fit.lines > 1)}"
        for field, fit in zip(setup.layout.fields, pick.record.fits)
        if isinstance(fit, TextFit)
    ]
    return (pick.record.key, *pick.reasons, *texts)


def _looks(setup: Setup, stages: Stages, records: Sequence[Fitted]) -> bytes:
    """A PDF with a page for each item, as it will look, on a bed of its own."""
    room = 2 * _ROOM
    bed: Bed = setup.bed.model_copy(
        update={"width": setup.layout.width + room, "height": setup.layout.height + room}
    )
    middle = Placement(bed.width / 2, bed.height / 2, 0.0)
    pages = [
        stages.seen(PageContent(((middle, stages.dress(record, 0)),), record.key))
        for record in records
    ]
    colours = {record.key: stages.substrate(record.blank) for record in records}
    look = io.BytesIO()
    write_look_file(
        look, bed=bed, layout=setup.layout, pages=pages, statics=stages.statics,
        book=stages.book, pictures=stages.pictures.by_key,
        substrate=lambda item: colours[item.record], outline=item_outline(setup.layout),
    )
    return look.getvalue()


def _pictures(out: Path, data: bytes) -> Iterator[Path]:
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    for number in range(len(document)):
        picture = io.BytesIO()
        image = document[number].render(scale=_DPI / 72).to_pil()
        image.save(picture, "PNG", dpi=(_DPI, _DPI))
        path = out.with_name(f"{out.stem}-{number + 1}.png")
        write_whole(path, picture.getvalue())
        yield path
