"""A jig's slots as places for items on the bed.

In: slots (``job.pockets`` gives them in the order of filling). Out: placements, and the quarter
turns at which fields come to stand. Whether items fit on the bed is ``impose.checks``'s question.
"""

from __future__ import annotations

from vardata.job.model import Slot
from vardata.job.pockets import all_slots, usable_slots
from vardata.marks import Placement

__all__ = ["all_slots", "placement", "quarter_turns", "usable_slots"]


def placement(slot: Slot) -> Placement:
    """Where an item in the slot lies on the bed."""
    return Placement(slot.x, slot.y, slot.rotation % 360.0)


def quarter_turns(slots: tuple[Slot, ...], rotation: float) -> frozenset[int] | None:
    """Net quarter turns of a field with ``rotation`` over all slots; None if one is not whole."""
    turns = set()
    for slot in slots:
        turn = ((slot.rotation + rotation) % 360.0) / 90.0
        if abs(turn - round(turn)) > 1e-9:
            return None
        turns.add(round(turn) % 4)
    return frozenset(turns)
