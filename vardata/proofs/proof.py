"""Proofs of a job: the hardest records, an order for its customer, the first piece to be made.

In: a setup and what is wanted. Out: a PDF, and a PNG of each page where it is asked for; of a mixed
job with all its products. The same stages as a run up to dress; no serial is used up, nothing is
noted in the ledger.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from vardata.dress.outline import item_outline
from vardata.gather import Gathered
from vardata.job.fonts import text_chain
from vardata.job.model import Bed, Setup, TextField
from vardata.job.near import choose
from vardata.marks import Placement
from vardata.merge import gathered
from vardata.numbering import RecordSource
from vardata.output.pdf.bedload import PageContent
from vardata.output.pdf.look import write_look_file
from vardata.output.wholefile import check_name, write_whole
from vardata.problems import CallError, Problem, fail
from vardata.products import product_number
from vardata.progress import Progress
from vardata.proofs.approval import approval_of, order_held
from vardata.proofs.captions import of_hardest, of_order, of_specimen
from vardata.proofs.guides import guides
from vardata.proofs.hardest import Hardest, Pick
from vardata.proofs.pages import Line, Part, Sheet, Shown, build_proof, joined
from vardata.work.fitted import Fitted
from vardata.work.fitting import FittedReader
from vardata.work.papers import run_paper
from vardata.work.plan import RunPlan
from vardata.work.sides import BothSides, stages_of
from vardata.work.stages import Stages
from vardata.write import arranged

_ROOM = 3.0  # mm of picture around an item
_DPI = 200
_MOST = 400  # items of one order that are shown
_JUDGED = ("good", "not good")
_SIGN_PROOF = (
    Line("", ("approved as shown", "to be changed:")), Line("name, date"), Line("signature"),
)  # fmt: skip
_SIGN_SPECIMEN = (
    Line("position", _JUDGED), Line("adhesion", _JUDGED), Line("scan of codes", _JUDGED),
    Line("name and date"),
)  # fmt: skip


class WantedProof(NamedTuple):
    """The hardest records; or an ``order`` for its customer; or a ``specimen`` to sign at the
    machine. ``png`` writes each page as a picture beside the PDF. Of a mixed job all products are
    shown, or the ``product`` that is named."""

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


class _Seen(NamedTuple):
    """The records of one product that are to be shown, on one side or on both."""

    setup: Setup
    sides: tuple[Stages, ...]
    picks: list[Pick]


def proof(
    setup: Setup, wanted: WantedProof, out: Path, *, at: datetime, workers: int | None = None,
    progress: Progress | None = None,
) -> Proofed:
    """Writes the PDF ``out``, whole or not at all. Raises ``CallError`` for an order that is not
    there, and whatever a build would raise."""
    if wanted.order is not None and wanted.specimen:
        raise fail(CallError, "two-proofs", "--order and --specimen each ask for one proof",
                   "give one of them")  # fmt: skip
    check_name(out, ".pdf", "PDF", setup.read_files())
    only = product_number(setup, wanted.product)
    if only is not None and wanted.order is not None:
        raise fail(CallError, "part-of-order", "--product would leave a part of the order out, and "
                   "an order is approved whole", "leave --product out")  # fmt: skip
    with gathered(setup, workers=workers, progress=progress) as (intake, found, scratch):
        mark, held = "", 0
        problems: tuple[Problem, ...] = ()
        products = range(len(setup.parts())) if only is None else (only,)
        seen = _seen(setup, products, wanted, intake, found, FittedReader(scratch))
        if wanted.order is not None:
            order = approval_of(setup, intake, found, wanted.order, "", at)
            mark, held, problems = order.mark, order.held, order.problems
        items = sum(len(one.picks) for one in seen)
        plan = RunPlan(mark, at, 0, items, out.parent, scratch)
        papers = []
        for together in [[one] for one in seen] if wanted.specimen else [seen]:
            parts = [_part(one, wanted, len(together) > 1) for one in together]
            layouts = ", ".join(dict.fromkeys(one.setup.layout.name for one in together))
            run = run_paper(together[0].setup, plan)._replace(layout=layouts)
            papers.append(build_proof(run, _sheet(setup, wanted, found, together, held), parts))
        data = joined(papers)
    write_whole(out, data)
    return Proofed(items, (out, *(_pictures(out, data) if wanted.png else ())), mark,
                   held, problems)  # fmt: skip


def _seen(
    setup: Setup, products: Sequence[int], wanted: WantedProof, intake: RecordSource,
    found: Gathered, reader: FittedReader,
) -> list[_Seen]:
    """What is to be shown of each product, of those that have anything."""
    seen: list[_Seen] = []
    orders: dict[str, None] = {}
    for product in products:
        part = setup.parts()[product]
        both = stages_of(part, intake.names, product)
        sides = (both.a, both.b) if isinstance(both, BothSides) else (both,)
        stream = _printed(setup, found, reader, product)
        if wanted.order is not None:
            picks = list(_of_order(wanted.order, stream, orders))
        else:
            picks = _hardest(sides, stream, wanted.specimen)
        if picks:
            seen.append(_Seen(part, sides, picks))
    if not seen and wanted.order in found.aside.orders:
        raise order_held(wanted.order)
    if not seen and wanted.order is not None:
        raise fail(CallError, "no-order", f"no record of order {wanted.order!r} is printed",
                   choose(wanted.order, orders))  # fmt: skip
    if not seen:
        raise fail(CallError, "no-record", "there is no record to show", "see vardata check")
    return seen


def _printed(
    setup: Setup, found: Gathered, reader: FittedReader, product: int
) -> Iterator[Fitted]:
    """The records of a product in printing order."""
    arrangement = arranged(setup, found)
    for position, record in enumerate(arrangement.printing):
        if not setup.products or arrangement.where(position)[2] == product:
            yield reader.get(*found.index.place(record))


def _hardest(
    sides: Sequence[Stages], stream: Iterator[Fitted], specimen: bool
) -> list[Pick]:
    """The hardest records of each side, in printing order."""
    hardest = [_hardest_of(side) for side in sides]
    for record in stream:
        for of_side in hardest:
            of_side.take((record,))
    known: dict[int, Pick] = {}
    for side, of_side in zip(sides, hardest):
        names = [side.book.face(index).postscript_name for index in range(len(side.book))]
        for pick in of_side.picks(names):
            before = known.get(pick.number)
            reasons = (*before.reasons, *pick.reasons) if before else pick.reasons
            known[pick.number] = pick._replace(reasons=reasons)
    picks = [known[number] for number in sorted(known)]
    if specimen and picks:
        return [max(picks, key=lambda pick: (len(pick.reasons), -pick.number))]
    return picks


def _hardest_of(side: Stages) -> Hardest:
    layout = side.setup.layout
    hardest = Hardest(layout, side.before)
    for index, field in enumerate(layout.fields):
        if isinstance(field, TextField):
            chain = text_chain(layout, field)
            hardest.lead(index, side.book.chain(chain[:1])[0].index)
    return hardest


def _of_order(order: str, stream: Iterator[Fitted], orders: dict[str, None]) -> Iterator[Pick]:
    """The records of an order; the names of all orders are noted on the way."""
    for number, record in enumerate(stream):
        orders.setdefault(record.order)
        if record.order == order:
            yield Pick(number, record, ())


def _sheet(
    setup: Setup, wanted: WantedProof, found: Gathered, seen: Sequence[_Seen], held: int
) -> Sheet:
    """What is said around the items."""
    title, items = setup.job.name, sum(len(one.picks) for one in seen)
    if wanted.order is None:
        layouts = dict.fromkeys(one.setup.layout.name for one in seen)
        held_rows = found.aside.held_rows
        about = (
            ("layout", ", ".join(layouts)),
            ("records", f"{len(found.index)} fit, {held_rows} row{'s' * (held_rows != 1)} held"),
        )
        if wanted.specimen:
            note = "Print this piece first, and check it before the rest."
            return Sheet("First-off", title, about, _SIGN_SPECIMEN, note=note)
        return Sheet("Proof: the hardest records", title, about)
    if items > _MOST:
        raise fail(CallError, "too-many-items", f"order {wanted.order!r} has {items} items; a "
                   f"proof shows up to {_MOST}", "make a job of a part of the order")  # fmt: skip
    told = [("order", wanted.order), ("items", str(items))]
    if held:
        rows = "row of this order is" if held == 1 else "rows of this order are"
        told.append(("not shown", f"{held} {rows} held, not shown and not approved with it"))
    return Sheet(
        "Proof for approval", title, tuple(told), _SIGN_PROOF, "PROOF",
        "Approved as shown: spelling, position and colours. Colours on screen differ from print.",
    )


def _part(seen: _Seen, wanted: WantedProof, named: bool) -> Part:
    """The items of one product with their pictures; ``named`` where there are several."""
    layout = seen.setup.layout
    items = [_shown(side, pick, wanted) for pick in seen.picks for side in seen.sides]
    size = f"{layout.width:g} x {layout.height:g} mm"
    heading = f"{layout.name}, {size}" if named else ""
    looks = tuple(
        _looks(side.setup, side, [side.own(pick.record) for pick in seen.picks])
        for side in seen.sides
    )
    return Part(heading, (layout.width, layout.height), tuple(items), looks, _ROOM)


def _shown(side: Stages, pick: Pick, wanted: WantedProof) -> Shown:
    """One side of an item; why it is shown is said of side A."""
    layout, record = side.setup.layout, side.own(pick.record)
    if side.setup.side:
        record = record._replace(key=f"{record.key}, side {side.setup.side}")
        pick = pick._replace(record=record, reasons=() if side.setup.side == "B" else pick.reasons)
    if wanted.order is not None:
        return Shown(of_order(pick))
    told = (of_specimen if wanted.specimen else of_hardest)(layout, pick)
    return Shown(told, tuple(guides(layout, record)))


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
