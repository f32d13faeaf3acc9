"""Do the items fit the jig and the bed? Asked once, before anything is written.

In: slots, the item's outline as points in item mm, its bleed, the bed. Out: every fault as
a ``Problem``; an item with its bleed must stay on the bed, clear of every other item, and
small enough for its pocket.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from vardata.job.model import CodeField, Setup, Slot
from vardata.job.near import listed
from vardata.problems import Problem, Severity, Where

if TYPE_CHECKING:
    from shapely import Polygon

_TOUCH = 1e-6  # mm: items may touch, they may not overlap
_MOST_OVERLAPS = 100  # more of them say nothing new


def _on_bed(outline: Polygon, width: float, height: float, slot: Slot) -> Polygon:
    from shapely import affinity

    centred = affinity.translate(outline, -width / 2, -height / 2)
    turned = affinity.rotate(centred, slot.rotation, origin=(0, 0))
    return affinity.translate(turned, slot.x, slot.y)


class _Over(NamedTuple):
    """An item that reaches past the bed: by how many mm over which edges."""

    slot: str
    edges: dict[str, float]


def _over(setup: Setup, slot: Slot, shape: Polygon) -> _Over | None:
    x0, y0, x1, y1 = shape.bounds
    wide, high = setup.bed.width, setup.bed.height
    edges = {"left": -x0, "front": -y0, "right": x1 - wide, "back": y1 - high}
    past = {edge: mm for edge, mm in edges.items() if mm > _TOUCH}
    return _Over(slot.name, past) if past else None


def _off_bed(setup: Setup, over: Sequence[_Over], file: str) -> Problem:
    """One fault, however many slots have it: a wrong offset moves them all."""
    bed = f"the bed ({setup.bed.width:g} x {setup.bed.height:g} mm)"
    if len(over) == 1:
        past = over[0].edges.items()
        words = " and ".join(f"{mm:.2f} mm over the {edge} edge" for edge, mm in past)
        what = f"the item with its bleed reaches {words} of {bed}"
        remedy = "move or block the slot, or choose a larger bed"
        return _fault("slot-off-bed", what, remedy, Where(file=file, slot=over[0].slot))
    most: dict[str, tuple[float, str]] = {}
    for slot, edges in over:
        for edge, mm in edges.items():
            if mm > most.get(edge, (0.0, ""))[0]:
                most[edge] = mm, slot
    words = ", ".join(f"{mm:.2f} mm over the {edge} edge ({slot})" for edge, (mm, slot) in
                      most.items())  # fmt: skip
    slots = listed(slot for slot, _ in over)
    what = f"the items in {len(over)} slots ({slots}) reach past {bed} with their bleed, by up to "
    remedy = "move the grid or the slots, block them, or choose a larger bed"
    return _fault("slot-off-bed", f"{what}{words}", remedy, Where(file=file))


def _overlaps(shapes: Sequence[Polygon], slots: Sequence[Slot], file: str) -> list[Problem]:
    """One fault for the first overlaps in filling order: where a pitch is wrong by a unit,
    thousands of items lie on top of each other, and every pair of them would be too many."""
    from shapely import STRtree

    tree = STRtree(shapes)
    pairs: list[tuple[str, str, float]] = []
    for one, shape in enumerate(shapes):
        for other in sorted(tree.query(shape, predicate="intersects").tolist()):
            area = shape.intersection(shapes[other]).area if other > one else 0.0
            if area > _TOUCH and len(pairs) < _MOST_OVERLAPS:
                pairs.append((slots[one].name, slots[other].name, area))
        if len(pairs) >= _MOST_OVERLAPS:
            break
    if not pairs:
        return []
    if len(pairs) == 1:
        first, second, area = pairs[0]
        what = f"the items in slots {first} and {second} overlap by {area:.2f} mm² (bleed included)"
        remedy = "widen the pitch, move a slot or block one of them"
        return [_fault("slots-overlap", what, remedy, Where(file=file, slot=first))]
    named = listed(f"{first} and {second}" for first, second, _ in pairs)
    many = f"{len(pairs)}{' or more' if len(pairs) >= _MOST_OVERLAPS else ''} pairs of slots"
    what = f"the items in {many} ({named}) overlap, by up to {max(p[2] for p in pairs):.2f} mm² "
    remedy = "widen the pitch, move the slots or block some of them"
    return [_fault("slots-overlap", f"{what}(bleed included)", remedy, Where(file=file))]


def _fault(kind: str, what: str, remedy: str, where: Where) -> Problem:
    return Problem(kind, Severity.ERROR, what, remedy, where)


def _pocket(setup: Setup, file: str) -> list[Problem]:
    pocket = setup.jig.pocket
    item = (setup.layout.width, setup.layout.height)
    if pocket is None or (item[0] <= pocket[0] + _TOUCH and item[1] <= pocket[1] + _TOUCH):
        return []
    return [
        Problem(
            "item-too-large",
            Severity.ERROR,
            f"the item is {item[0]:g} x {item[1]:g} mm, the jig's pocket "
            f"{pocket[0]:g} x {pocket[1]:g} mm",
            "choose the jig that was made for this item",
            Where(file=file, key="pocket"),
        )
    ]


def _turns(setup: Setup, slots: Sequence[Slot], file: str) -> list[Problem]:
    """A code sits at whole quarter turns, or its bars fall between the dots."""
    problems = []
    for field in setup.layout.fields:
        if not isinstance(field, CodeField):
            continue
        for slot in slots:
            turn = (slot.rotation + field.rotation) / 90.0
            if not math.isclose(turn, round(turn), abs_tol=1e-9):
                problems.append(
                    Problem(
                        "code-turned",
                        Severity.ERROR,
                        f"code field {field.name!r} would sit at "
                        f"{(slot.rotation + field.rotation) % 360:g} degrees",
                        "codes need 0, 90, 180 or 270 degrees: turn the slot or the field",
                        Where(file=file, slot=slot.name),
                    )
                )
                break
    return problems


def check_slots(setup: Setup, slots: Sequence[Slot], outline: Polygon) -> list[Problem]:
    """Every fault of ``slots`` with items of ``outline`` (item mm, without bleed)."""
    file = setup.job.jig
    if not slots:
        return [
            Problem(
                "no-slot",
                Severity.ERROR,
                "the jig has no slot that may be used",
                "unblock a slot",
                Where(file=file, key="blocked"),
            )
        ]
    bleed = setup.layout.bleed
    reach = outline.buffer(bleed) if bleed else outline
    shapes = [_on_bed(reach, setup.layout.width, setup.layout.height, slot) for slot in slots]
    problems = _pocket(setup, file) + _turns(setup, slots, file)
    found = (_over(setup, slot, shape) for slot, shape in zip(slots, shapes))
    if over := [one for one in found if one is not None]:
        problems.append(_off_bed(setup, over, file))
    return problems + _overlaps(shapes, slots, file)
