"""Strokes of an SVG as shapes that a printer strokes or fills the same way.

In: an outline in user units, its ``Stroke`` and the matrix to item mm. Out: shapes in item
mm. A stroke stays a stroke where the matrix scales it evenly; otherwise it becomes the
outline of its ink. Dashes are cut here, because a mark has none.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely

from vardata.dress import geometry
from vardata.dress import stroke as stroking
from vardata.dress.drawing import Shape
from vardata.dress.geometry import Points
from vardata.dress.outline import KAPPA
from vardata.dress.svg_look import Stroke
from vardata.marks import Command, Commands
from vardata.svg.values import Matrix

DIGITS = 5  # decimals of mm
EVEN = 1e-4  # how much two scales may differ, relatively, and still count as one
FINE = 0.001  # mm: how closely dashes follow a curve
MOST_DASHES = 20_000  # of one shape


def moved(commands: Commands, matrix: Matrix) -> Commands:
    """Commands under a matrix, rounded to 10 nm."""
    made: list[Command] = []
    for command in commands:
        n = [float(part) for part in command[1:]]
        flat: list[float] = []
        for x, y in zip(n[::2], n[1::2]):
            px, py = matrix.at(x, y)
            flat += (round(px, DIGITS) + 0.0, round(py, DIGITS) + 0.0)  # + 0.0: no -0.0
        made.append((command[0], *flat))
    return tuple(made)


def circle(cx: float, cy: float, rx: float, ry: float) -> Commands:
    """An ellipse from its rightmost point towards +y, where SVG 1.1, 9.3 and 9.4 begin it."""
    kx, ky = rx * KAPPA, ry * KAPPA
    return (
        ("m", cx + rx, cy),
        ("c", cx + rx, cy + ky, cx + kx, cy + ry, cx, cy + ry),
        ("c", cx - kx, cy + ry, cx - rx, cy + ky, cx - rx, cy),
        ("c", cx - rx, cy - ky, cx - kx, cy - ry, cx, cy - ry),
        ("c", cx + kx, cy - ry, cx + rx, cy - ky, cx + rx, cy),
        ("h",),
    )


def stroked(commands: Commands, stroke: Stroke, matrix: Matrix) -> list[Shape]:
    """The shapes of one stroke. Raises ``ValueError`` where there are too many dashes."""
    most, least = matrix.scales()
    if most <= 0 or least <= most * 1e-6:
        return []  # flattened to a line: SVG 1.1, 7.4: a singular matrix draws nothing
    lines: list[Command] = []
    dots: list[tuple[float, float]] = []
    for part in sub_paths(commands):
        if all(command[-2:] == part[0][-2:] for command in part if command[0] != "h"):
            if len(part) > 1:
                dots.append((float(part[0][1]), float(part[0][2])))
        else:
            lines += part
    made: list[Shape] = []
    if lines:
        made += _lines(tuple(lines), stroke, matrix, most, least)
    if stroke.cap:  # SVG 1.1, 11.4: a line without length shows its caps, if it has any
        half = stroke.width / 2
        for x, y in dots:
            dot = (
                circle(x, y, half, half)
                if stroke.cap == 1
                else geometry.rectangle_path(x - half, y - half, stroke.width, stroke.width)
            )
            made.append(Shape(moved(dot, matrix), stroke.ink.cmyk))
    return made


def _lines(
    lines: Commands, stroke: Stroke, matrix: Matrix, most: float, least: float
) -> list[Shape]:
    if stroke.dashes:
        lines = _dashed(lines, stroke, FINE / most)
    if not lines:
        return []
    if most - least <= EVEN * most:
        width = round(stroke.width * most, DIGITS)
        style = (stroke.cap, stroke.join, stroke.miter)
        # A line thinner than 10 nm would be taken for a fill.
        return [Shape(moved(lines, matrix), stroke.ink.cmyk, False, width, *style)] if width else []
    # In mm before the uneven part of the matrix, so that flattening is fine enough.
    large = Matrix(a=most, d=most)
    area = stroking.covered(
        moved(lines, large), stroke.width * most, stroke.cap, stroke.join, stroke.miter
    )
    a, b, c, d, e, f = matrix
    small = np.array([[a, c], [b, d]]) / most
    area = shapely.transform(area, lambda points: points @ small.T + (e, f))
    filled = geometry.commands(area)
    return [Shape(filled, stroke.ink.cmyk)] if filled else []


def sub_paths(commands: Commands) -> Iterator[list[Command]]:
    """The commands from each "m" to the next."""
    part: list[Command] = []
    for command in commands:
        if command[0] == "m" and part:
            yield part
            part = []
        part.append(command)
    if part:
        yield part


def _dashed(commands: Commands, stroke: Stroke, tolerance: float) -> Commands:
    """The lines that a dash pattern leaves of a path, each sub-path from its own start."""
    period = sum(stroke.dashes)
    made: list[Command] = []
    count = 0
    for points, closed in geometry.flatten(commands, tolerance):
        ring = np.vstack([points, points[:1]]) if closed else points
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])
        count += math.ceil(along[-1] / period) * len(stroke.dashes)
        if count > MOST_DASHES:
            raise ValueError(f"the line has more than {MOST_DASHES:,} dashes")
        pieces = [_piece(ring, along, *span) for span in _intervals(stroke, float(along[-1]))]
        if closed and len(pieces) > 1 and pieces[0][0] == pieces[-1][-1]:
            # A dash that runs over the start of a closed line is one dash, with its join.
            pieces = [pieces[-1] + pieces[0][1:], *pieces[1:-1]]
        for piece in pieces:
            made.append(("m", *piece[0]))
            made += [("l", *point) for point in piece[1:]]
    return tuple(made)


def _intervals(stroke: Stroke, total: float) -> Iterator[tuple[float, float]]:
    """(start, end) of each dash along a line of length ``total``."""
    at = -(stroke.offset % sum(stroke.dashes))
    index = 0
    while at < total:
        end = at + stroke.dashes[index % len(stroke.dashes)]
        if index % 2 == 0 and end >= 0 and (end > 0 or at == 0):
            yield max(at, 0.0), min(end, total)
        at = end
        index += 1


def _piece(ring: Points, along: Points, start: float, end: float) -> list[tuple[float, float]]:
    inside = np.nonzero((along > start) & (along < end))[0]
    corners = [_at(ring, along, start), *map(tuple, ring[inside]), _at(ring, along, end)]
    return [(float(x), float(y)) for x, y in corners]


def _at(ring: Points, along: Points, distance: float) -> tuple[float, float]:
    x = np.interp(distance, along, ring[:, 0])
    return float(x), float(np.interp(distance, along, ring[:, 1]))
