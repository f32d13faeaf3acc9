"""How large a symbol gets in its box: the largest whole-dot module, and where it lies.

In: the size of a symbol in modules and what its field allows. Out: millimetres in the box, or
the shortfall. Knows no texts and no symbologies beyond "square modules" or "bars".
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from vardata.fit.codes import dots, modules
from vardata.fit.codes.modules import HAIR as _HAIR
from vardata.fit.codes.quiet import Quiet

# Bars lower than this cannot be scanned by hand. Common practice, no source.
MIN_BARS = 2.0


class Strip(NamedTuple):
    """Height kept free of bars: ``mm`` and so many ``modules`` of theirs, ``least`` modules at
    the least."""

    mm: float = 0.0
    modules: float = 0.0
    least: float = 0.0

    def height(self, module: Fraction) -> Fraction:
        """The height for a width of modules, exactly."""
        grown = dots.exact(self.mm) + dots.exact(self.modules) * module
        return max(grown, dots.exact(self.least) * module)

    def height_mm(self, module: float) -> float:
        """The same to the last bits of a float."""
        return max(self.mm + self.modules * module, self.least * module)


NO_STRIP = Strip()


class Frame(NamedTuple):
    """What a field, its print mode and its turns allow; lengths in mm.

    ``foot`` is the height that a human-readable line takes at the foot of the box, ``head`` what
    the digits of an add-on take at its top, ``tail`` the modules that guard bars go on below the
    others. ``most`` is the largest module asked for, None where the box alone decides.
    """

    w: float
    h: float
    most: float | None
    least: float
    foot: Strip
    quiet: Quiet
    dpi: tuple[float, float]
    turns: frozenset[int]
    square: bool  # a 2D code; otherwise bars, whose height fills the box
    head: Strip = NO_STRIP
    tail: float = 0.0


class Room(NamedTuple):
    """A symbol in its box: the width of a module, lower left corner and size of the symbol,
    quiet zone. A module is as high as wide, or as nearly so as the dots allow; where the symbol
    lies both ways on dots that are not square, its size is that of an even turn, and its sides
    in dots change places at the others. Some bars go on for ``tail`` mm below it, and some begin
    ``head`` mm above it."""

    module: float
    x: float
    y: float
    w: float
    h: float
    quiet: tuple[float, float, float, float]
    tail: float = 0.0
    head: float = 0.0


class Shortfall(NamedTuple):
    """Why there is no room; mm.

    ``low``: the height is too small for bars; ``gives``: the module that the box has room for,
    whole dots or not; ``smallest``: the larger side of the smallest module allowed, in whole
    dots, which come in ``step``; ``box``: what the smallest module needs, no side less than the
    box has; ``most`` is set where the largest module asked for stands in the way.
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

    The module is the largest whole-dot one that fits the box and ``most``, as square as the
    dots allow; the box also keeps one dot of play each way along both axes, half of it on
    either side. The symbol with its quiet zone is centred.
    """
    quiet, turns, dpi = frame.quiet, frame.turns, frame.dpi
    both_ways = frame.square and dots.both_ways(turns) and dpi[0] != dpi[1]
    steps = (dots.step(dpi, turns, upright=False), dots.step(dpi, turns, upright=True))
    if both_ways:  # sides of the bed's dots; the symbol's own change places with its turn
        steps = (dots.pitch(dpi[0]), dots.pitch(dpi[1]))
    across = columns + quiet.left + quiet.right
    upwards = rows + quiet.bottom + quiet.top
    free_w = dots.exact(frame.w) - dots.play(dpi, turns, upright=False)
    free_h = dots.exact(frame.h) - dots.play(dpi, turns, upright=True)

    limits = (free_w / across, free_w / across)
    if frame.square:
        limits = (limits[0], (free_h - frame.foot.height(Fraction(0))) / upwards)
    gives = min(limits)
    most = dots.exact(frame.most) if frame.most is not None else max(limits)
    limits = (min(limits[0], most), min(limits[1], most))
    if both_ways:
        limits = (min(limits), min(limits))
    least = dots.exact(frame.least)
    lowest = max(1, math.ceil((dots.exact(MIN_BARS) - _HAIR) / steps[1])) * steps[1]
    grid = steps if frame.square else (steps[0], steps[0])
    module = modules.largest(grid, limits, least)

    def bars(width: Fraction) -> Fraction:
        return _whole(free_h - _ends(frame, width, steps[1]), steps[1])

    while not frame.square and module is not None and bars(module[0]) < lowest:
        # What stands above and below may grow with the module: a smaller one leaves more room.
        smaller = module[0] - steps[0]
        module = modules.largest(grid, (smaller, smaller), least)

    if module is None:
        smallest = modules.smallest(grid, least)
        if both_ways:
            smallest = (max(smallest), max(smallest))
        need_w = across * smallest[0] + dots.exact(frame.w) - free_w
        need_h = dots.exact(frame.h) - free_h + _ends(frame, smallest[0], steps[1])
        need_h += upwards * smallest[1] if frame.square else lowest
        return Shortfall(
            low=not frame.square and bars(smallest[0]) < lowest,
            gives=max(0.0, float(gives)),
            smallest=float(max(smallest)),
            step=float(max(grid)),
            box=(max(frame.w, _rounded_up(need_w)), max(frame.h, _rounded_up(need_h))),
            most=frame.most if most + _HAIR < max(smallest) else None,
        )

    column, row = module
    w = columns * column
    h = rows * row if frame.square else bars(column)
    if both_ways:  # room for the larger side whichever way it lies
        column = row = max(module)
    x = (dots.exact(frame.w) - across * column) / 2 + quiet.left * column
    foot, head, tail = frame.foot.height(column), _head(frame, column, steps[1]), Fraction(0)
    block = upwards * row if frame.square else h
    y = foot + (dots.exact(frame.h) - foot - head - block) / 2 + quiet.bottom * row
    if frame.tail:
        tail = max(1, round(dots.exact(frame.tail) * column / steps[1])) * steps[1]
    left, right = float(quiet.left * column), float(quiet.right * column)
    bottom, top = float(quiet.bottom * row), float(quiet.top * row)
    zone = (left, bottom, right, top)
    lies = (float(x), float(y), float(w), float(h))
    return Room(float(module[0]), *lies, zone, float(tail), float(head))


def _ends(frame: Frame, module: Fraction, step: Fraction) -> Fraction:
    """The height that is kept free of bars below and above them."""
    return frame.foot.height(module) + _head(frame, module, step)


def _head(frame: Frame, module: Fraction, step: Fraction) -> Fraction:
    """What is kept free above the bars of an add-on, to whole steps: others begin there."""
    return math.ceil(frame.head.height(module) / step) * step


def _whole(length: Fraction, step: Fraction) -> Fraction:
    """The largest whole number of steps in a length, not below none."""
    return max(0, math.floor((length + _HAIR) / step)) * step


def _rounded_up(length: Fraction) -> float:
    """To the next hundredth of a mm, so that a box as large as a message says is enough."""
    return math.ceil(length * 100) / 100
