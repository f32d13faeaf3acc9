"""The size of a square module on dots that are not square.

In: the step of whole dots along either axis, the room that a module has, and its bounds. Out:
a width and a height, each whole dots, as near to a square as the dots allow. Where the steps
are equal that is a square; knows no boxes and no symbols.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import TypeAlias

# Axial nonuniformity, the difference of the sides by their mean: grade 4 of ISO/IEC 15415
# (from memory).
MOST_NONUNIFORM = Fraction(6, 100)
# A module may be so much smaller than the largest, if that makes it squarer. Common practice,
# no source.
_NEARLY = Fraction(9, 10)
# Forgives lengths that came from inches or points as floats; far below any dot.
HAIR = Fraction(1, 10**7)

Sides: TypeAlias = tuple[Fraction, Fraction]


def largest(steps: Sides, limits: Sides, least: Fraction) -> Sides | None:
    """The squarest of the largest modules, None where none is allowed.

    No side passes its limit or is less than ``least``. Among all whose smaller side is 90 % of
    the largest possible, the squarest is taken, then the largest.
    """
    coarse = max(steps)
    top = math.floor((max(limits) + HAIR) / coarse)
    found: list[Sides] = []
    for number in range(top, 0, -1):
        if number * coarse + HAIR < least:
            break
        found += (
            sides
            for sides in _near(number, steps, limits)
            if min(sides) + HAIR >= least
            and all(side <= limit + HAIR for side, limit in zip(sides, limits))
        )
        if found and number * coarse < _NEARLY * min(found[0]):
            break
    if not found:
        return None
    enough = _NEARLY * max(map(min, found))
    return min(
        (sides for sides in found if min(sides) >= enough),
        key=lambda sides: (nonuniformity(sides), -min(sides)),
    )


def smallest(steps: Sides, least: Fraction) -> Sides:
    """The smallest module allowed: neither side less than ``least``."""
    coarse = max(steps)
    number = max(1, math.ceil((least - HAIR) / coarse))
    while True:
        near = [sides for sides in _near(number, steps) if min(sides) + HAIR >= least]
        if near:
            return min(near, key=max)
        number += 1


def nonuniformity(sides: Sides) -> Fraction:
    """Axial nonuniformity of one module (ISO/IEC 15415, from memory)."""
    return abs(sides[0] - sides[1]) * 2 / (sides[0] + sides[1])


def _near(number: int, steps: Sides, limits: Sides | None = None) -> Iterator[Sides]:
    """Modules of so many steps along the coarser axis that are square enough: the squarest,
    and the squarest within the limit of the finer axis."""
    coarse, fine = max(steps), min(steps)
    turned = steps[0] != coarse
    exact = number * coarse / fine
    counts = {math.floor(exact), math.ceil(exact)}
    if limits is not None:
        counts.add(min(math.floor(exact), math.floor((limits[not turned] + HAIR) / fine)))
    for count in sorted(counts - {0}):
        sides = (number * coarse, count * fine)
        if nonuniformity(sides) <= MOST_NONUNIFORM:
            yield sides[::-1] if turned else sides
