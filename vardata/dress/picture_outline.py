"""The outline of a picture's painted pixels, for the plates that lie under or over it.

In: a mask of pixels. Out: closed lines in the unit square, y up, painted area on their left,
so that the non-zero and the even-odd rule fill the same. No point of the pixels' edge lies
further than half a pixel from the outline.
"""

from __future__ import annotations

import math
from typing import NamedTuple, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from vardata.marks import Command, Commands

Mask: TypeAlias = NDArray[np.bool_]
Ints: TypeAlias = NDArray[np.int64]
Points: TypeAlias = NDArray[np.float64]

# A cut corner of a pixel step leaves the step by 1/4 sqrt 2 pixel; the rest of half a pixel
# is left to simplification.
_CUT = math.sqrt(2) / 4
_SIMPLIFY = 0.5 - _CUT
_DIGITS = 7  # of the unit square
MOST_EDGES = 200_000  # straight edges of an outline; more are noise, not a shape
WHOLE: Commands = (("re", 0.0, 0.0, 1.0, 1.0),)


class Outline(NamedTuple):
    """``coarser``: pixels a side that were taken together because the mask is noise."""

    commands: Commands
    coarser: int = 1


def outline(mask: Mask) -> Outline:
    """The outline of the True pixels; rows run from the top."""
    if mask.all():
        return Outline(WHOLE)
    if not mask.any():
        return Outline(())
    coarser = 1
    seen = mask
    while _edges(seen) > MOST_EDGES:
        coarser *= 2
        seen = _by_majority(mask, coarser)
    height, width = mask.shape[0] / coarser, mask.shape[1] / coarser
    return Outline(tuple(_commands(_rings(seen), width, height)), coarser)


def _by_majority(mask: Mask, side: int) -> Mask:
    """A mask with ``side`` by ``side`` pixels made one, painted where half of them are."""
    rows, columns = (-(-n // side) * side for n in mask.shape)
    padded = np.zeros((rows, columns), dtype=np.uint32)
    padded[: mask.shape[0], : mask.shape[1]] = mask
    blocks = padded.reshape(rows // side, side, columns // side, side).sum(axis=(1, 3))
    return np.asarray(blocks * 2 >= side * side)


def _quads(mask: Mask) -> Ints:
    """For each grid point the four pixels round it as bits: 1 above left, 2 above right, 4
    below left, 8 below right."""
    grid = np.zeros((mask.shape[0] + 2, mask.shape[1] + 2), dtype=np.uint8)
    grid[1:-1, 1:-1] = mask
    quads = grid[:-1, :-1] + 2 * grid[:-1, 1:] + 4 * grid[1:, :-1] + 8 * grid[1:, 1:]
    return np.asarray(quads)


# Points where an outline turns: one or three of four pixels painted, or two across (twice).
_TURNS = np.zeros(16, dtype=np.uint8)
_TURNS[[1, 2, 4, 8, 7, 11, 13, 14]] = 1
_TURNS[[6, 9]] = 2


def _edges(mask: Mask) -> int:
    return int(_TURNS[_quads(mask)].sum())


def _rings(mask: Mask) -> list[Points]:
    """The rectilinear outlines as rings of (column, row), simplified."""
    quads = _quads(mask)
    rows, columns = np.nonzero(_TURNS[quads])
    kinds = quads[rows, columns]
    copies = _TURNS[kinds]
    # A point where two pixels meet across a corner is turned at twice; the pixels stay apart.
    y, x = np.repeat(rows, copies).astype(np.int64), np.repeat(columns, copies).astype(np.int64)
    kind = np.repeat(kinds, copies)
    count = len(x)
    second = np.zeros(count, dtype=np.int64)
    second[1:] = (x[1:] == x[:-1]) & (y[1:] == y[:-1])
    # Along a row, and along a column, turning points pair up as ends of straight edges.
    across = np.lexsort((second, x, y)).reshape(-1, 2)
    # Pixels above right and below left: the left edge belongs with the lower one.
    upright = np.lexsort((np.where(kind == 6, 1 - second, second), y, x)).reshape(-1, 2)
    partner = np.empty(count, dtype=np.int64)
    partner[upright[:, 0]], partner[upright[:, 1]] = upright[:, 1], upright[:, 0]
    # An edge runs right where its painted side is above it, else left: paint on the left.
    # The pixel above an edge, right of its left end, is bit 2 of that end.
    right = (kind[across[:, 0]] & 2) > 0
    source = np.where(right, across[:, 0], across[:, 1])
    target = np.where(right, across[:, 1], across[:, 0])
    edge_from = np.empty(count, dtype=np.int64)
    edge_from[source] = np.arange(len(source))
    order, starts = _loops(edge_from[partner[target]])
    corners = np.empty((2 * len(order), 2), dtype=np.float64)
    touching = np.empty(2 * len(order), dtype=np.bool_)
    for half, ends in enumerate((source, target)):
        corners[half::2, 0] = x[ends[order]]
        corners[half::2, 1] = y[ends[order]]
        touching[half::2] = (copies == 2).repeat(copies)[ends[order]]
    return _simplified(corners, touching, 2 * starts)


def _loops(following: Ints) -> tuple[Ints, Ints]:
    """Edges in order along each loop, and where each loop begins; ``following`` is a cycle."""
    after = following.tolist()
    seen = bytearray(len(after))
    order: list[int] = []
    starts: list[int] = []
    for first in range(len(after)):
        if seen[first]:
            continue
        starts.append(len(order))
        edge = first
        while not seen[edge]:
            seen[edge] = 1
            order.append(edge)
            edge = after[edge]
    return np.array(order, dtype=np.int64), np.array(starts, dtype=np.int64)


def _simplified(corners: Points, touching: Mask, starts: Ints) -> list[Points]:
    """Cut the corners of pixel steps, then drop points that a straight line can do without.

    Where two rings meet in a point (``touching``) the corners are cut too, so that no ring
    touches another.
    """
    count = len(corners)
    sizes = np.diff(np.append(starts, count))
    loop = np.repeat(np.arange(len(starts)), sizes)
    after = np.arange(1, count + 1)
    after[starts + sizes - 1] = starts
    before = np.empty(count, dtype=np.int64)
    before[after] = np.arange(count)
    ahead, back = corners[after] - corners, corners[before] - corners
    long_ahead, long_back = (np.abs(step).sum(axis=1) for step in (ahead, back))
    # Corners between long edges, and those of plain rectangles, are real corners.
    real = (np.minimum(long_ahead, long_back) >= 2) | (sizes[loop] == 4)
    real &= ~touching
    pull = np.where(real, 0.0, 0.5)[:, None]
    points = np.empty((count, 2, 2), dtype=np.float64)
    points[:, 0] = corners + back / long_back[:, None] * pull
    points[:, 1] = corners + ahead / long_ahead[:, None] * pull
    flat, ring_of = points.reshape(-1, 2), np.repeat(loop, 2)
    fresh = np.ones(len(flat), dtype=bool)
    fresh[1:] = (ring_of[1:] != ring_of[:-1]) | (flat[1:] != flat[:-1]).any(axis=1)
    flat, ring_of = flat[fresh], ring_of[fresh]
    rings = shapely.linearrings(flat, indices=ring_of)
    slim = shapely.simplify(rings, _SIMPLIFY, preserve_topology=False)
    kept = np.where(shapely.get_num_coordinates(slim) >= 4, slim, rings)
    xy, index = shapely.get_coordinates(kept, return_index=True)
    return list(np.split(xy, np.nonzero(np.diff(index))[0] + 1))


def _commands(rings: list[Points], width: float, height: float) -> list[Command]:
    made: list[Command] = []
    for ring in rings:
        unit = np.clip(ring / (width, height), 0.0, 1.0)  # a coarser grid may pass the edge
        unit[:, 1] = 1.0 - unit[:, 1]
        pairs = unit[:-1].round(_DIGITS).tolist()
        made.append(("m", *pairs[0]))
        made.extend(("l", *pair) for pair in pairs[1:])
        made.append(("h",))
    return made
