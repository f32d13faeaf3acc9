"""What a code's inks look like to a scanner: reflectance in red light and to a camera.

In: process ink, what lies under it. Out: reflectances from 0 to 1, symbol contrast and its
grade. Nominal values of solid inks and Murray-Davies between them; no press, no blank and no
white ink is measured here, so this tells hopeless colours from good ones and nothing finer.
"""

from __future__ import annotations

from typing import NamedTuple

from vardata.dress.colour import luminance
from vardata.marks import Cmyk

# Solid inks on white in red light, a proxy for 660 nm: the red channel, linear, of a common
# CMYK profile (Ghostscript's default_cmyk.icc), not 660 nm itself.
_RED = Cmyk(0.0, 0.85, 1.0, 0.04)
# Least symbol contrast of grades 4, 3, 2 and 1 (ISO/IEC 15416 and 15415, secondary).
_GRADES = (0.70, 0.55, 0.40, 0.20)


class Seen(NamedTuple):
    """Reflectances of one surface."""

    red: float
    camera: float


WHITE = Seen(1.0, 1.0)  # paper, and white ink: real white ink reflects less


class Contrast(NamedTuple):
    """Symbol contrast in red light and to a camera; ``inverted``: modules are lighter."""

    red: float
    camera: float
    inverted: bool
    dull: bool  # in red light the dark reflects more than half of what the light does


def grade(contrast: float) -> int:
    """The grade of a symbol contrast, 4 (best) to 0."""
    return 4 - sum(contrast < least for least in _GRADES)


def blank_seen(substrate: str) -> Seen:
    """A blank's colour "#rrggbb" as it reflects."""
    red, green, blue = (_linear(int(substrate[i : i + 2], 16) / 255) for i in (1, 3, 5))
    return Seen(red, 0.2126 * red + 0.7152 * green + 0.0722 * blue)  # IEC 61966-2-1


def ink_seen(paint: Cmyk, over: Seen) -> Seen:
    """Process ink over a surface. Inks that lie on each other are taken to filter one after
    the other; tints mix by area (Murray-Davies: R = 1 - a (1 - R of the solid))."""
    red = over.red
    for tint, solid in zip(paint, _RED):
        red *= 1.0 - tint * (1.0 - solid)
    return Seen(red, over.camera * luminance(paint))


def contrast(modules: Seen, around: Seen) -> Contrast:
    """The symbol contrast of modules on what lies around them."""
    light, dark = max(modules.red, around.red), min(modules.red, around.red)
    return Contrast(
        light - dark, abs(around.camera - modules.camera), modules.camera > around.camera,
        dark > light / 2,
    )  # fmt: skip


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else float(((part + 0.055) / 1.055) ** 2.4)
