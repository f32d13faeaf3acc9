"""Do the items fit the jig and the bed? Asked once, before anything is written.

In: slots, the item's outline as points in item mm, its bleed, the bed. Out: every fault as
a ``Problem``; an item with its bleed must stay on the bed, clear of every other item, and
small enough for its pocket.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from vardata.job.model import CodeField, Setup, Slot
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


def _off_bed(setup: Setup, slot: Slot, shape: Polygon, where: Where) -> Problem | None:
    x0, y0, x1, y1 = shape.bounds
    over = [
        (side, distance)
        for side, distance in (
            ("left", -x0),
            ("front", -y0),
            ("right", x1 - setup.bed.width),
            ("back", y1 - setup.bed.height),
        )
        if distance > _TOUCH
    ]
    if not over:
        return None
    words = " and ".join(f"{distance:.2f} mm over the {side} edge" for side, distance in over)
    bed = f"{setup.bed.width:g} x {setup.bed.height:g} mm"
    return Problem(
        "slot-off-bed",
        Severity.ERROR,
        f"the item with its bleed reaches {words} of the bed ({bed})",
        "move or block the slot, or choose a larger bed",
        where,
    )


def _overlaps(shapes: Sequence[Polygon], slots: Sequence[Slot], file: str) -> list[Problem]:
    """The first overlaps in filling order: where a pitch is wrong by a unit, thousands of items
    lie on top of each other, and every pair of them would be too many to look at."""
    from shapely import STRtree

    tree = STRtree(shapes)
    problems: list[Problem] = []
    for one, shape in enumerate(shapes):
        for other in sorted(tree.query(shape, predicate="intersects").tolist()):
            area = shape.intersection(shapes[other]).area if other > one else 0.0
            if area <= _TOUCH:
                continue
            problems.append(
                Problem(
                    "slots-overlap",
                    Severity.ERROR,
                    f"the items in slots {slots[one].name} and {slots[other].name} overlap "
                    f"by {area:.2f} mm² (bleed included)",
                    "widen the pitch, move a slot or block one of them",
                    Where(file=file, slot=slots[one].name),
                )
            )
            if len(problems) == _MOST_OVERLAPS:
                return problems
    return problems


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
    for slot, shape in zip(slots, shapes):
        problem = _off_bed(setup, slot, shape, Where(file=file, slot=slot.name))
        if problem:
            problems.append(problem)
    return problems + _overlaps(shapes, slots, file)
