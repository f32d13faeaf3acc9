"""Soft edges: what of a picture is see-through, as grey levels of the white plate.

In: alpha of 8 bits. Out: ``Soft``, small enough for a plate, and the same choked: each level
becomes the least within the choke (erosion of grey levels by a disc), with nothing beyond the
picture's edges. Colour stays whole over it: on a dark blank it is seen as far as white lies below
it. Where it is to fade itself, it is thinned by the same levels.
"""

from __future__ import annotations

import math
import zlib

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from vardata.deflated import deflated
from vardata.dress.drawing import Soft

MOST = 4_000_000  # levels: 500 a inch on an item of 100 mm
STEPS = 16  # areas of a fade that is drawn as areas
SEEN = 3  # of 255: what is less is not there (common practice, no source)

Levels = NDArray[np.uint8]


def soft(alpha: Levels) -> Soft:
    """The levels of a picture, fewer of them where it has many."""
    height, width = alpha.shape
    share = math.sqrt(MOST / (width * height))
    if share < 1:
        size = (max(1, round(width * share)), max(1, round(height * share)))
        alpha = np.asarray(Image.fromarray(alpha).resize(size, Image.Resampling.BOX))
    return Soft(alpha.shape[1], alpha.shape[0], deflated(np.ascontiguousarray(alpha).tobytes()))


def thinned(image: Image.Image, alpha: Levels) -> Image.Image:
    """A picture whose ink is as much less as it is see-through: over bare paper."""
    blank = Image.new(image.mode, image.size, "white") if image.mode != "CMYK" else (
        Image.new("CMYK", image.size, (0, 0, 0, 0))
    )  # fmt: skip
    return Image.composite(image, blank, Image.fromarray(alpha))


def choked(levels: Soft, across: float, up: float) -> bytes:
    """The levels, row by row from the top, less a choke of ``across`` and ``up`` of them."""
    found = np.frombuffer(zlib.decompress(levels.data), np.uint8)
    found = found.reshape(levels.height, levels.width)
    if across <= 0 or up <= 0:
        return found.tobytes()
    high = math.floor(up)
    padded = np.pad(found, ((high, high), (0, 0)))
    least = np.full_like(found, 255)
    for dy in range(-high, high + 1):
        # The disc's half width in this row: (x / across)^2 + (y / up)^2 <= 1.
        half = math.floor(across * math.sqrt(max(0.0, 1 - (dy / up) ** 2)) + 1e-9)
        rows = padded[high + dy : high + dy + levels.height]
        np.minimum(least, _least_along(rows, half), out=least)
    return least.tobytes()


def steps(levels: Soft, across: float, up: float) -> list[tuple[float, NDArray[np.bool_]]]:
    """The choked levels as ``STEPS`` areas at most, each with its tint from 0 to 1, to be painted
    one over the other. A tint is the level that most of its area has."""
    found = np.frombuffer(choked(levels, across, up), np.uint8)
    counts = np.bincount(found, minlength=256)
    counts[:SEEN] = 0
    shown = found.reshape(levels.height, levels.width)
    made = []
    for low in range(0, 256, 256 // STEPS):
        part = counts[low : low + 256 // STEPS]
        if part.any():
            made.append(((low + int(part.argmax())) / 255, shown >= max(low, SEEN)))
    return made


def _least_along(rows: Levels, half: int) -> Levels:
    """The least of each level and its ``half`` neighbours on either side; 0 lies beyond."""
    if half == 0:
        return rows
    width = rows.shape[1]
    window = np.pad(rows, ((0, 0), (half, half)))
    reach = 1
    while 2 * reach <= 2 * half + 1:  # the least of 1, 2, 4 ... levels from here on
        window = np.minimum(window[:, :-reach], window[:, reach:])
        reach *= 2
    rest = 2 * half + 1 - reach
    return np.minimum(window[:, :width], window[:, rest : rest + width])
