"""A code as it is seen: its modules, its polarity, its quiet zone, the size of a module.

In: what was rendered of a code's zone, and where its modules should be. Out: measures and
faults. Nothing here decodes; what the decoder would forgive is found here.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from vardata.readback.place import CodePlace
from vardata.readback.plates import Grey
from vardata.readback.qrform import Modules

INKED = 250  # of 255: what is darker than this in a plate is ink
_EDGE = 1  # pixel at every edge that a renderer may give to either side
_EVEN = 0.25  # of the contrast: how far one module may vary
_NO_SYMBOL = 0.02  # of full contrast: less is nothing to be seen


class Symbol(NamedTuple):
    """``modules``: True where dark (light, for a code in white ink), upright.

    ``contrast`` is that of light and dark in linear light, from 0 to 1. ``uneven`` counts
    modules that are not of one tone; ``quiet_ink`` and ``quiet_dark`` are pixels of the quiet
    zone with colour ink, and pixels that are not light. ``dots`` is the measured size of a
    module across and upwards (0: not measured).
    """

    modules: Modules
    contrast: float
    uneven: int
    inverted: bool
    quiet_ink: int
    quiet_dark: int
    dots: tuple[float, float]


def symbol_area(place: CodePlace) -> tuple[slice, slice]:
    """The symbol's rows and columns of pixels in its window."""
    return (
        slice(place.top, place.top + place.rows * place.py),
        slice(place.left, place.left + place.columns * place.px),
    )


def within(window: Any) -> Any:
    """A window without its outermost pixels, which what lies outside may touch."""
    return window[_EDGE:-_EDGE, _EDGE:-_EDGE]


def look(seen: Grey, colour: Grey | None, place: CodePlace) -> Symbol | None:
    """The symbol in ``seen``; None where there is nothing but one tone.

    ``colour`` is the colour plates alone; None for a code in white ink, which is light on
    dark: then light and dark change their parts in all that follows.
    """
    area = seen[symbol_area(place)]
    low, high = int(area.min()), int(area.max())
    contrast = linear(high) - linear(low)
    if contrast < _NO_SYMBOL:
        return None
    if colour is None:
        seen, low, high = 255 - seen, 255 - high, 255 - low
        area = seen[symbol_area(place)]
    middle = (low + high) / 2
    # Down the rows of pixels first, then across: far quicker than both at once.
    edge_x, edge_y = (_EDGE + inset for inset in place.inset)
    cells = area.reshape(place.rows, place.py, -1)[:, edge_y:-edge_y]
    across = (place.rows, place.columns, place.px)
    darkest = cells.min(axis=1).reshape(across)[:, :, edge_x:-edge_x].min(axis=2)
    lightest = cells.max(axis=1).reshape(across)[:, :, edge_x:-edge_x].max(axis=2)
    spread = lightest.astype(np.int16) - darkest
    if place.hole:  # a logo may lie there
        spread[place.hole.start : place.hole.stop, place.hole.start : place.hole.stop] = 0
    modules = darkest.astype(np.int16) + lightest < 2 * middle
    light = high - _EVEN * (high - low)
    return Symbol(
        modules=modules,
        contrast=contrast,
        uneven=int((spread > _EVEN * (high - low)).sum()),
        inverted=_inverted(modules),
        quiet_ink=0 if colour is None else _below(colour, INKED, place),
        quiet_dark=_below(seen, light, place),
        dots=_module_dots(seen < middle, place),
    )


def _below(picture: Grey, light: float, place: CodePlace) -> int:
    """The pixels of the quiet zone that are darker than ``light``, seams left out."""
    rows, columns = symbol_area(place)
    high, wide = picture.shape
    top, bottom = max(_EDGE, rows.start - _EDGE), min(high - _EDGE, rows.stop + _EDGE)
    left, right = max(_EDGE, columns.start - _EDGE), min(wide - _EDGE, columns.stop + _EDGE)
    bands = (
        picture[_EDGE:top, _EDGE:-_EDGE], picture[bottom:-_EDGE, _EDGE:-_EDGE],
        picture[top:bottom, _EDGE:left], picture[top:bottom, right:-_EDGE],
    )  # fmt: skip
    return sum(int(np.count_nonzero(band < light)) for band in bands if band.size)


def linear(grey: int) -> float:
    """Light from 0 to 1 of a grey of 0 to 255 (the curve of IEC 61966-2-1)."""
    part = grey / 255
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def _inverted(modules: Modules) -> bool:
    """Every symbology here begins and ends with a dark bar; a QR symbol has dark corners."""
    corners = modules[[0, 0, -1, -1], [0, -1, 0, -1]]
    return int(corners.sum()) <= 1


def _module_dots(dark: Modules, place: CodePlace) -> tuple[float, float]:
    """A module's size in dots, by the extent of the symbol's ink and the number of modules."""
    across, upwards = np.flatnonzero(dark.any(axis=0)), np.flatnonzero(dark.any(axis=1))
    if not len(across):
        return (0.0, 0.0)
    wide, high = (int(found[-1] - found[0] + 1) for found in (across, upwards))
    return (
        wide / place.columns / place.px * place.dots[0],
        high / place.rows / place.py * place.dots[1],
    )
