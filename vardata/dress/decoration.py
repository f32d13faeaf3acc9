"""What is drawn round and behind letters, as areas: outline, contour, shadow.

In: a text field, and the ink of its letters joined to one area in mm. Out: an area for each part,
by true geometry: what is wide is wide everywhere, whatever the size or the squeeze of the letters,
and letters that overlap are one.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from shapely.geometry.base import BaseGeometry

from vardata.dress import geometry
from vardata.dress.stroke import segments
from vardata.job.textstyle import Decorated, Joined, outside

FINE = 0.004  # mm: how far edges may leave the true ones; a tenth of a dot at 600 dpi
Part = Literal["contour", "shadow", "outline"]


class Edges(NamedTuple):
    """What decoration does to the edges of letters, in mm: how much of a letter it covers, how far
    an outline reaches beyond it, how far any ink does that lies round it."""

    inset: float = 0.0
    outset: float = 0.0
    ground: float = 0.0


class Decoration:
    """The decoration of one field; ``mirrored`` if its text is."""

    def __init__(self, field: Decorated, mirrored: bool = False) -> None:
        self._across = -1.0 if mirrored else 1.0
        self._outline, self._contour, self._shadow = field.outline, field.contour, field.shadow
        out = outside(self._outline) if self._outline else 0.0
        covers = self._outline.width - out if self._outline else 0.0
        around = self._contour.spread if self._contour else 0.0
        self.edges = Edges(covers, out, out + around)

    def below(self, letters: BaseGeometry, angle: float) -> list[tuple[Part, BaseGeometry]]:
        """What is painted before the letters, the lowest first; an outline outside of them is
        painted under them too, so that no gap can open. ``angle`` is the turn of the text."""
        found: list[tuple[Part, BaseGeometry]] = []
        if self._outline:
            outer = spread(letters, outside(self._outline), self._outline)
        else:
            outer = letters
        if self._contour:
            found.append(("contour", spread(outer, self._contour.spread, self._contour)))
        if self._shadow:
            cos, sin = geometry.turn(angle)
            dx, dy = self._across * self._shadow.dx, self._shadow.dy
            at = (dx * cos - dy * sin, dx * sin + dy * cos)
            found.append(("shadow", geometry.placed(outer, *at)))
        if self._outline and self._outline.place == "outside":
            found.append(("outline", outer))
        return found

    def above(self, letters: BaseGeometry) -> list[tuple[Part, BaseGeometry]]:
        """What is painted over the letters."""
        outline = self._outline
        if outline is None or outline.place == "outside":
            return []
        out = outside(outline)
        outer, core = spread(letters, out, outline), spread(letters, out - outline.width, outline)
        return [("outline", geometry.areas(outer.difference(core)))]


def spread(shape: BaseGeometry, by: float, joined: Joined) -> BaseGeometry:
    """A shape with its edges moved outwards, or inwards if ``by`` is negative."""
    if by == 0 or shape.is_empty:
        return shape
    moved = shape.buffer(
        by, quad_segs=segments(abs(by), FINE), join_style=joined.join,
        mitre_limit=joined.mitre_limit,
    )  # fmt: skip
    return fine(geometry.areas(moved))


def fine(shape: BaseGeometry) -> BaseGeometry:
    """The shape with no more points than its edges need."""
    quick = shape.simplify(FINE, preserve_topology=False)
    if quick.is_valid and not quick.is_empty:
        return geometry.areas(quick)
    return shape.simplify(FINE)
