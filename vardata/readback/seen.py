"""A code as it will be seen: colour over white where white is, else over the bare blank.

In: plates rendered apart, the blank's colour. Out: a grey picture. White ink counts as the
white of paper and the blank as its ``substrate``: real inks and materials look duller, so
this tells whether a code is there to be read, not how well it will be printed.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from vardata.job.model import Layout
from vardata.readback.facing import not_read
from vardata.readback.plates import BedView, Grey, Window


class Roles(NamedTuple):
    """The plates of a layout by role, by their places in it."""

    names: tuple[str, ...]
    colour: tuple[int, ...]
    white: tuple[int, ...]
    gloss: tuple[int, ...]


def roles(layout: Layout) -> Roles:
    plates, skipped = layout.plates, not_read(layout)
    colour, white, gloss = (
        tuple(i for i, plate in enumerate(plates) if plate.role == role and i not in skipped)
        for role in ("colour", "white", "gloss")
    )
    return Roles(tuple(plate.name for plate in plates), colour, white, gloss)


class Ink(NamedTuple):
    """What was printed in a window, a picture a role: 255 is no ink. ``colour`` is what the
    process inks look like on white."""

    colour: Grey
    white: Grey | None
    gloss: Grey | None


def ink_in(view: BedView, pages: dict[str, int], by: Roles, window: Window) -> Ink:
    """All plates of a window; several of one role lie over each other."""

    def over(plates: tuple[int, ...]) -> Grey | None:
        made: Grey | None = None
        for plate in plates:
            crop = view.plate(plate, pages[by.names[plate]], window)
            made = crop if made is None else np.minimum(made, crop)
        return made

    colour = over(by.colour)
    if colour is None:
        colour = np.full((window.rows, window.columns), 255, np.uint8)
    return Ink(colour, over(by.white), over(by.gloss))


def spread(ink: Ink, by: tuple[int, int, int, int], in_white: bool) -> Ink:
    """The ink of a code's modules as it will lie on the blank: grown by so many pixels to the
    left, bottom, right and top, for which they were drawn narrower."""
    if not any(by):
        return ink
    if in_white:
        return ink if ink.white is None else ink._replace(white=_grown(ink.white, by))
    return ink._replace(colour=_grown(ink.colour, by))


def _grown(plate: Grey, by: tuple[int, int, int, int]) -> Grey:
    left, bottom, right, top = by
    out = plate.copy()
    for pixels, axis in ((left, -1), (right, 1)):
        for n in range(1, pixels + 1):
            there, here = (slice(n, None), slice(None, -n))[:: -axis]
            np.minimum(out[:, here], plate[:, there], out=out[:, here])
    wide = out.copy()
    for pixels, axis in ((top, -1), (bottom, 1)):
        for n in range(1, pixels + 1):
            there, here = (slice(n, None), slice(None, -n))[:: -axis]
            np.minimum(out[here], wide[there], out=out[here])
    return out


def as_seen(ink: Ink, substrate: str) -> Grey:
    """Colour over white over the blank."""
    if ink.white is not None and not ink.white.any():
        return ink.colour  # white all over, the usual ground
    if ink.white is None or int(ink.white.min()) == 255:
        return _over(grey_of(substrate)).take(ink.colour)
    bare = ink.white.astype(np.uint32)
    base = 255 * (255 - bare) + grey_of(substrate) * bare
    return (ink.colour * base // (255 * 255)).astype(np.uint8)


def grey_of(colour: str) -> int:
    """The grey of "#rrggbb" with the weights of ITU-R BT.601, as pdfium greys a page."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return round(0.299 * red + 0.587 * green + 0.114 * blue)


@lru_cache(maxsize=64)
def _over(base: int) -> Grey:
    """Greys of ink on white as they look on a base."""
    return (np.arange(256, dtype=np.uint32) * base // 255).astype(np.uint8)
