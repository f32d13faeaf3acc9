"""Where slots lie on a bed, and where a bed lies on paper.

In: pockets in mm, room in points. Out: places and the box of a map. Bed: origin front left.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from vardata.output.picklist_values import Pocket, RunPaper


class MapBox(NamedTuple):
    """Where the bed is drawn: its front left corner in points, and points a mm of bed."""

    x: float
    y: float
    scale: float
    width: float
    height: float


class Place(NamedTuple):
    """A slot on the bed in mm: centre, half its axis-aligned size, turn."""

    name: str
    x: float
    y: float
    half_w: float
    half_h: float
    rotation: float


def map_height(run: RunPaper, width: float) -> float:
    """The height in points of a bed drawn so wide."""
    return width * run.bed_mm[1] / run.bed_mm[0]


def fit_box(run: RunPaper, x: float, top: float, width: float, height: float) -> MapBox:
    """The largest map in a box that hangs from ``top``, in the middle of its width."""
    scale = min(width / run.bed_mm[0], height / run.bed_mm[1])
    w, h = run.bed_mm[0] * scale, run.bed_mm[1] * scale
    return MapBox(x + (width - w) / 2, top - h, scale, w, h)


def place_of(pocket: Pocket, item_mm: tuple[float, float]) -> Place:
    """Where an item lies in a pocket."""
    c, s = map(abs, turn(pocket.rotation))
    half_w = (c * item_mm[0] + s * item_mm[1]) / 2
    half_h = (s * item_mm[0] + c * item_mm[1]) / 2
    return Place(pocket.name, pocket.x, pocket.y, half_w, half_h, pocket.rotation)


def turn(angle: float) -> tuple[float, float]:
    """Cosine and sine of degrees, exact at quarter turns."""
    if angle % 90.0 == 0.0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(angle // 90.0) % 4]
    return math.cos(math.radians(angle)), math.sin(math.radians(angle))
