"""Rules over the table ``[side_b]``, its layout and its jig.

In: the job, both layouts, both jigs, each with its source. Out: claims. Whether the two outlines
match, and turned pieces fit their pockets and the bed, is ``impose.sides``'s question.
"""

from __future__ import annotations

from collections.abc import Iterator

from vardata.job.claims import Claim
from vardata.job.layout import Layout
from vardata.job.lines import KeyPath
from vardata.job.mixed import Known
from vardata.job.model import Jig, Job, SideB
from vardata.job.surfaces import surface_of
from vardata.job.turning import lonely_slots

_LONGEST_NAME = 70  # that it may say which side it is of, and still be a name
_SHOWN = 6  # slots that are named; more are counted


def side_claims(
    job: Known[Job], side: SideB, layouts: tuple[Known[Layout], ...], jig: Jig, own: Jig | None
) -> Iterator[Claim]:
    """``layouts`` are those of sides A and B; ``own`` is the jig of side B, if it has one."""
    source = job.source
    if side.turn == "pieces" and side.axis_at is not None:
        what = "axis_at says where the axis of a turned jig lies, and here each piece is turned"
        remedy = 'write turn = "jig", or take it away'
        yield Claim(source, ("side_b", "axis_at"), "side-b", what, remedy)
    if side.turn == "jig" and side.jig is not None:
        what = "the whole jig is turned over with its pieces, so side B has no jig of its own"
        remedy = 'write turn = "pieces", or take it away'
        yield Claim(source, ("side_b", "jig"), "side-b", what, remedy)
    elif own is not None and (lonely := lonely_slots(jig, own)):
        yield _lonely(job, lonely, own)
    for index, field in enumerate(layouts[1].model.fields):
        if len(field.name) > _LONGEST_NAME:
            what = f"on side B a field's name has at most {_LONGEST_NAME} characters, and this "
            what += f"has {len(field.name)}"
            yield Claim(layouts[1].source, ("fields", index, "name"), "side-b", what, "shorten it")
    for known in layouts:
        surface = surface_of(known.model)
        if surface != "first":
            path: KeyPath = ("surface",) if known.model.surface else ("plate_order",)
            what = f"each side of a two-sided piece is looked at itself, and this is {surface!r}"
            remedy = 'give it surface = "first", or take [side_b] out of the job'
            yield Claim(known.source, path, "side-b", what, remedy, surface)


def _lonely(job: Known[Job], slots: tuple[str, ...], own: Jig) -> Claim:
    named = ", ".join(slots[:_SHOWN])
    more = f" and {len(slots) - _SHOWN} more" if len(slots) > _SHOWN else ""
    many = "slots" if len(slots) > 1 else "slot"
    has = "have" if len(slots) > 1 else "has"
    what = f"{many} {named}{more} of side A {has} no counterpart in the jig {own.name!r}"
    remedy = "name the slots of both jigs alike, or block what has no counterpart on side A"
    return Claim(job.source, ("side_b", "jig"), "no-counterpart", what, remedy)
