"""How large a symbol gets in its box: the largest whole-dot module, and where it lies.

In: the size of a symbol in modules and what its field allows. Out: millimetres in the box, or
the shortfall. Knows no texts and no symbologies beyond "square modules" or "bars".
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from vardata.fit.codes import dots
from vardata.fit.codes.quiet import Quiet

# Bars lower than this cannot be scanned by hand. Common practice, no source.
MIN_BARS = 2.0

# Forgives lengths that came from inches or points as floats; far below any dot.
_HAIR = Fraction(1, 10**7)


class Frame(NamedTuple):
    """What a field, its print mode and its turns allow; lengths in mm.

    ``strip`` is the height that a human-readable line takes at the foot of the box.
    ``most`` is the largest module asked for, None where the box alone decides.
    """

    w: float
    h: float
    most: float | None
    least: float
    strip: float
    quiet: Quiet
    dpi: tuple[float, float]
    turns: frozenset[int]
    square: bool  # a 2D code; otherwise bars, whose height fills the box


class Room(NamedTuple):
    """A symbol in its box: module, lower left corner and size of the symbol, quiet zone."""

    module: float
    x: float
    y: float
    w: float
    h: float
    quiet: tuple[float, float, float, float]


class Shortfall(NamedTuple):
    """Why there is no room; mm.

    ``low``: the height is too small for bars; ``gives``: the module that the box has room for,
    whole dots or not; ``smallest``: the smallest module allowed, in whole dots, which come in
    ``step``; ``box``: what the smallest module needs, no side less than the box has; ``most``
    is set where the largest module asked for stands in the way.
    """

    low: bool
    gives: float
    smallest: float
    step: float
    box: tuple[float, float]
    most: float | None


@lru_cache(maxsize=4096)
def room(frame: Frame, columns: int, rows: int) -> Room | Shortfall:
    """Places a symbol of so many modules in the frame; a linear one has one row.

    The module is the largest whole-dot one that fits the box and ``most``; the box also keeps
    one dot of play each way along both axes, half of it on either side. The symbol with its
    quiet zone is centred.
    """
    quiet, turns, dpi = frame.quiet, frame.turns, frame.dpi
    step = dots.square_step(dpi) if frame.square else dots.step(dpi, turns, upright=False)
    across = columns + quiet.left + quiet.right
    upwards = rows + quiet.bottom + quiet.top
    free_w = dots.exact(frame.w) - dots.play(dpi, turns, upright=False)
    free_h = dots.exact(frame.h) - dots.play(dpi, turns, upright=True) - dots.exact(frame.strip)

    gives = min(free_w / across, free_h / upwards) if frame.square else free_w / across
    bar_step = dots.step(dpi, turns, upright=True)
    bars = _whole(free_h, bar_step)
    lowest = max(1, math.ceil((dots.exact(MIN_BARS) - _HAIR) / bar_step)) * bar_step
    low = not frame.square and bars < lowest
    most = dots.exact(frame.most) if frame.most is not None else gives
    smallest = max(1, math.ceil((dots.exact(frame.least) - _HAIR) / step)) * step
    module = _whole(min(gives, most), step)

    if module < smallest or low:
        need_w = across * smallest + dots.exact(frame.w) - free_w
        need_h = dots.exact(frame.h) - free_h + (upwards * smallest if frame.square else lowest)
        return Shortfall(
            low=low,
            gives=max(0.0, float(gives)),
            smallest=float(smallest),
            step=float(step),
            box=(max(frame.w, _rounded_up(need_w)), max(frame.h, _rounded_up(need_h))),
            most=frame.most if most + _HAIR < smallest else None,
        )

    w = columns * module
    h = rows * module if frame.square else bars
    x = (dots.exact(frame.w) - across * module) / 2 + quiet.left * module
    block = upwards * module if frame.square else bars
    y = dots.exact(frame.strip) + (dots.exact(frame.h) - dots.exact(frame.strip) - block) / 2
    y += quiet.bottom * module
    left, bottom, right, top = (float(modules * module) for modules in quiet)
    return Room(float(module), float(x), float(y), float(w), float(h), (left, bottom, right, top))


def _whole(length: Fraction, step: Fraction) -> Fraction:
    """The largest whole number of steps in a length, not below none."""
    return max(0, math.floor((length + _HAIR) / step)) * step


def _rounded_up(length: Fraction) -> float:
    """To the next hundredth of a mm, so that a box as large as a message says is enough."""
    return math.ceil(length * 100) / 100
