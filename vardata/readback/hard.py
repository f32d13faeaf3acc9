"""Degraded reading: how much a code's picture may be spoiled before it no longer reads.

In: a code as seen, a pixel a dot. Out: for each kind of spoiling the hardest step of a fixed
list that still reads; the steps are tried in order and end at the first that does not. The
steps are a choice of ours to rank codes of one run, not a grade: they stand for nothing that
a machine or a blank does.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from PIL import Image, ImageFilter

from vardata.readback import decode
from vardata.readback.plates import Grey

BLUR = (1.0, 2.0, 3.0, 4.0, 6.0, 8.0)  # standard deviation in dots
CONTRAST = (50, 30, 20, 10, 5)  # percent that is left
SPREAD = (1, 2, 3, 4, 5, 6)  # dots by which every edge of ink moves outwards
TURN = (2, 5, 10, 20, 45)  # degrees
SAMPLES = (5.0, 4.0, 3.0, 2.5, 2.0, 1.5)  # pixels a module
_MARGIN = 4  # modules of light around the zone, so that nothing is cut off

Step = Callable[["Subject", float], Grey]


class Subject(NamedTuple):
    """What is spoiled. ``module`` is the smaller side of a module, in pixels."""

    picture: Grey
    module: float
    light: int
    symbology: str
    text: str


class Hardest(NamedTuple):
    """For each list the hardest step that reads; None: not even the first does. ``score``
    counts the steps that read, of all lists."""

    blur_dots: float | None
    contrast_percent: float | None
    spread_dots: float | None
    turn_degrees: float | None
    pixels_a_module: float | None
    score: int


def subject(
    picture: Grey, module: int, symbology: str, text: str, *, inverted: bool
) -> Subject:
    """A code with room around it; one in white ink is turned into dark on light first."""
    if inverted:
        picture = 255 - picture
    light = int(picture.max())
    return Subject(
        np.pad(picture, _MARGIN * module, constant_values=light), module, light, symbology, text
    )


def hardest(of: Subject) -> Hardest:
    found: list[float | None] = []
    score = 0
    for steps, spoil in _LISTS:
        best: float | None = None
        for step in steps:
            reading = decode.read(spoil(of, step), of.symbology)
            if reading is None or not decode.says(reading, of.symbology, of.text):
                break
            best, score = step, score + 1
        found.append(best)
    blur, contrast, spread, turn, samples = found
    return Hardest(blur, contrast, spread, turn, samples, score)


def _blurred(of: Subject, dots: float) -> Grey:
    return np.asarray(Image.fromarray(of.picture).filter(ImageFilter.GaussianBlur(dots)))


def _paled(of: Subject, percent: float) -> Grey:
    greys = of.light - (of.light - np.arange(256)) * percent / 100
    return greys.clip(0, 255).astype(np.uint8).take(of.picture)


def _spread(of: Subject, dots: float) -> Grey:
    """Each pixel takes the darkest within the square around it; one axis after the other."""
    picture = of.picture
    for _ in range(int(dots)):
        across = picture.copy()
        np.minimum(across[:, 1:], picture[:, :-1], out=across[:, 1:])
        np.minimum(across[:, :-1], picture[:, 1:], out=across[:, :-1])
        picture = across.copy()
        np.minimum(picture[1:], across[:-1], out=picture[1:])
        np.minimum(picture[:-1], across[1:], out=picture[:-1])
    return picture


def _turned(of: Subject, degrees: float) -> Grey:
    image = Image.fromarray(of.picture)
    turned = image.rotate(degrees, Image.Resampling.BILINEAR, expand=True, fillcolor=of.light)
    return np.asarray(turned)


def _sampled(of: Subject, pixels: float) -> Grey:
    scale = pixels / of.module
    high, wide = (max(1, round(side * scale)) for side in of.picture.shape)
    return np.asarray(Image.fromarray(of.picture).resize((wide, high), Image.Resampling.BOX))


_LISTS: tuple[tuple[tuple[float, ...], Step], ...] = (
    (BLUR, _blurred), (CONTRAST, _paled), (SPREAD, _spread), (TURN, _turned), (SAMPLES, _sampled),
)
