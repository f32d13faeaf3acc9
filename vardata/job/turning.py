"""What turning does to the slots of a two-sided piece: where side B lies on the bed.

In: the jig of side A, the job's ``SideB``, the bed. Out: the jig of side B, slot by slot under
the same names and in the same order, so that a record lies in the same place of both. Whether
turned pieces fit their pockets and the bed is the business of ``impose``.

Side B is written as it is seen. Read like a book it is what one sees of a piece that is turned
about its vertical axis, so a piece turned about the other one shows it standing on its head.
"""

from __future__ import annotations

from vardata.job.model import Bed, Jig, SideB, Slot
from vardata.job.pockets import all_slots, usable_slots

_READ_ABOUT = {"book": "vertical", "calendar": "horizontal"}


def on_its_head(side: SideB) -> bool:
    """Whether the turn leaves side B standing on its head."""
    return _READ_ABOUT[side.reads] != side.axis


def axis_line(side: SideB, bed: Bed) -> float:
    """Where the axis of a turned jig lies, in mm from the left or from the front of the bed."""
    if side.axis_at is not None:
        return side.axis_at
    return (bed.width if side.axis == "vertical" else bed.height) / 2


def turned_slot(slot: Slot, side: SideB, bed: Bed) -> Slot:
    """Where side B of the piece in a slot lies after the turn.

    A turned jig is a half turn in space about a line in the bed: seen from above, a point is
    mirrored in that line. So is an item's own frame, and a mirrored turn goes the other way.
    """
    x, y, rotation = slot.x, slot.y, slot.rotation
    if side.turn == "jig":
        line, rotation = axis_line(side, bed), -rotation
        if side.axis == "vertical":
            x = 2 * line - x
        else:
            y = 2 * line - y
    rotation += 180.0 if on_its_head(side) else 0.0
    return Slot.model_construct(name=slot.name, x=x, y=y, rotation=rotation % 360.0)


def jig_of_b(jig: Jig, side: SideB, bed: Bed, own: Jig | None = None) -> Jig:
    """The jig that side B is printed in: that of side A turned, or its ``own``, whose slots
    have been found to match."""
    if own is None:
        slots = [turned_slot(slot, side, bed) for slot in all_slots(jig)]
        # Art on the bed itself is printed once, with side A.
        changed = {"grid": None, "slots": tuple(slots), "fill": "rows", "background": ()}
        return jig.model_copy(update=changed)
    theirs = {slot.name: slot for slot in all_slots(own)}
    matching = [theirs.pop(slot.name) for slot in usable_slots(jig)]
    slots = [turned_slot(slot, side, bed) for slot in (*matching, *theirs.values())]
    return own.model_copy(
        update={"grid": None, "slots": tuple(slots), "fill": "rows", "blocked": tuple(theirs)}
    )


def lonely_slots(jig: Jig, own: Jig) -> tuple[str, ...]:
    """Slots of side A that the jig of side B lacks, or has blocked."""
    there = {slot.name for slot in usable_slots(own)}
    return tuple(slot.name for slot in usable_slots(jig) if slot.name not in there)
