"""What a plate is painted with: operators that choose its colour.

In: paints of marks (``Cmyk`` or a tint). Out: bytes of colour operators (ISO 32000-1, 8.6.8).
One ink a plate; a bed file and a picture for eyes differ in their inks and in little else.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

from vardata.marks import Paint
from vardata.output.pdf.syntax import number


class Operators(dict[Paint, bytes]):
    """Operators by paint, each written once."""

    KEPT = 10_000

    def __init__(self, write: Callable[[Paint], bytes]) -> None:
        super().__init__()
        self._write = write

    def __missing__(self, paint: Paint) -> bytes:
        if len(self) >= self.KEPT:
            self.clear()
        written = self[paint] = self._write(paint)
        return written


class Ink(NamedTuple):
    """One plate's ink: operators for fills and strokes by paint.

    ``start`` is written once before the first mark. A ``separation`` is painted in tints, and
    pictures on it are stencils. ``chokes``: runs are choked where they ask for it. ``reach``
    mm is how far a stroke paints beyond its edge on the machine: every dot that it touches
    (ISO 32000-1, 10.6.5), half a dot on the average. A choke is drawn narrower by as much.
    Soft edges are pictures in the colour ``space``; a full tint is printed as ``density``.
    """

    fill: Operators
    stroke: Operators
    start: bytes
    separation: bool
    chokes: bool
    reach: float = 0.0
    space: bytes = b"/DeviceGray"
    density: float = 1.0


@lru_cache(maxsize=1)  # what files have in common is written once
def process_ink() -> Ink:
    """The process inks: DeviceCMYK."""
    return Ink(
        Operators(lambda paint: _cmyk(paint) + b" k"),
        Operators(lambda paint: _cmyk(paint) + b" K"),
        b"",
        separation=False,
        chokes=False,
    )


@lru_cache(maxsize=256)
def separation_ink(
    space: bytes, reach: float = 0.0, density: float = 1.0, number_of: int = 0
) -> Ink:
    """An ink of its own, by the name of a colour space among the page's resources; ``density``
    is what tint 1 is printed as, ``number_of`` the number of the space's object."""
    return Ink(
        Operators(lambda paint: number(_tint(paint) * density, 4) + b" scn"),
        Operators(lambda paint: number(_tint(paint) * density, 4) + b" SCN"),
        b"%b cs %b CS" % (space, space),
        separation=True,
        chokes=True,
        reach=reach,
        space=b"%d 0 R" % number_of,
        density=density,
    )


def light_ink(red: float, green: float, blue: float, *, chokes: bool) -> Ink:
    """For pictures: light in the strength of the tint, tint 0 being black."""

    def parts(paint: Paint) -> bytes:
        tint = _tint(paint)
        return b" ".join(number(part * tint, 4) for part in (red, green, blue))

    return Ink(
        Operators(lambda paint: parts(paint) + b" rg"),
        Operators(lambda paint: parts(paint) + b" RG"),
        b"",
        separation=True,
        chokes=chokes,
    )


def shade_ink(through: float, *, chokes: bool, times: int = 1) -> Ink:
    """For pictures of what is lit from behind: the share of light that ink lets through,
    ``through`` being that of tint 1 printed once; tint 0 lets all of it through. Screens show
    light as its power of 1/2.2, so that shares multiply as they do in inks on each other."""

    def parts(paint: Paint) -> bytes:
        share = (1.0 - _tint(paint) * (1.0 - through)) ** times
        light = number(share ** (1 / 2.2), 4)
        return b"%b %b %b" % (light, light, light)

    return Ink(
        Operators(lambda paint: parts(paint) + b" rg"),
        Operators(lambda paint: parts(paint) + b" RG"),
        b"",
        separation=True,
        chokes=chokes,
    )


def _cmyk(paint: Paint) -> bytes:
    if not isinstance(paint, tuple):
        raise TypeError(f"a colour plate is painted in Cmyk, not in {paint!r}")
    return b" ".join(number(part, 4) for part in paint)


def _tint(paint: Paint) -> float:
    if isinstance(paint, tuple):
        raise TypeError(f"a separation is painted in a tint, not in {paint!r}")
    return paint
