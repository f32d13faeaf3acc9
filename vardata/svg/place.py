"""Where the page of a drawing lies in a box.

In: the page's size, the box in item mm, how it fills the box, its turn. Out: the matrix from the
page (0 to width, 0 to height, y up) to item mm.
"""

from __future__ import annotations

from typing import Literal

from vardata.svg.shape import Size
from vardata.svg.values import Matrix, turned

Filling = Literal["contain", "cover", "stretch"]


def page_placed(
    size: Size, box: tuple[float, float, float, float], fit: Filling, rotation: float
) -> Matrix:
    """The page in the middle of its box, turned with it about the box's centre."""
    (width, height), (x, y, w, h) = size, box
    sx, sy = w / width, h / height
    if fit != "stretch":
        sx = sy = max(sx, sy) if fit == "cover" else min(sx, sy)
    left, bottom = x + (w - width * sx) / 2, y + (h - height * sy) / 2
    turn = turned(rotation, x + w / 2, y + h / 2)
    return Matrix(sx, 0.0, 0.0, sy, left, bottom).then(turn)
