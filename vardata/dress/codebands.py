"""The bars of an EAN or UPC that are longer than the others, as codes of their own.

In: a ``CodeFit`` on the bed's dots. Out: its bars by how far they reach, each group with its
place, to be drawn, choked and narrowed as any code is.

Bars that go on below the others are drawn in one piece and left out of the rest, so no seam can
show: not on the bed, where all lie on the same columns of dots, and not in pictures of a coarser
grid. (Drawn as a part that adjoins the symbol they would show a light line there, drawn over it a
dark one.) The first group is as high as what all bars have in common, which is the symbol that
readers and the run's records know. It has to be there, so bars that begin above an add-on's get
their upper ends as a part that adjoins it.
"""

from __future__ import annotations

from collections.abc import Sequence

from vardata.dress import code, geometry
from vardata.dress.code import Snapped
from vardata.dress.geometry import Bounds
from vardata.fit.result import CodeFit
from vardata.job.model import PrintMode
from vardata.units import MM_PER_INCH

Piece = tuple[CodeFit, Snapped]


def pieces(fit: CodeFit, at: Snapped, mode: PrintMode, lap: bool = False) -> list[Piece]:
    """Groups of bars that are equally high; the whole symbol where all are.

    ``lap``: a part that adjoins the first group reaches a module into it, for groups that are
    then choked at all their ends.
    """
    if fit.below is None and fit.above is None:
        return [(fit, at)]
    dot = MM_PER_INCH / mode.dpi[(at.net + 1) % 2]
    tail, head = (
        0.0 if band is None else max(1, round(band[1] / dot)) * dot
        for band in (fit.below, fit.above)
    )
    size, all_bars = len(fit.bits), int.from_bytes(fit.bits, "big")
    below, above = (
        0 if band is None else int.from_bytes(band[0], "big") for band in (fit.below, fit.above)
    )
    h = at.box[3]
    within = max(1, round(fit.module / dot)) * dot if lap else 0.0
    groups = (
        (all_bars & ~below, 0.0, h),
        (below & ~above, -tail, h),
        (below & above, -tail, h + head),
        (above & ~below, h - within, h + head),
    )
    return [
        (fit._replace(bits=bars.to_bytes(size, "big"), h=top - foot), _reaching(at, foot, top))
        for bars, foot, top in groups
        if bars
    ]


def upright(parts: Sequence[Piece]) -> Bounds:
    """The upright rectangle around all of a code's bars, in item mm."""
    boxes = [code.upright(at) for _, at in parts]
    if len(boxes) == 1:
        return boxes[0]
    left, bottom, right, top = zip(*boxes)
    return (min(left), min(bottom), max(right), max(top))


def _reaching(at: Snapped, foot: float, top: float) -> Snapped:
    """The symbol's place from ``foot`` to ``top`` mm above its lower edge instead."""
    x, y, w, h = at.box
    up = (foot + top - h) / 2
    cos, sin = geometry.turn(90.0 * at.turn)
    cx, cy = x + w / 2 - sin * up, y + h / 2 + cos * up
    return at._replace(box=(cx - w / 2, cy - (top - foot) / 2, w, top - foot))
