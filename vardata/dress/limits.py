"""How far ink may go: the item's outline grown by the layout's bleed.

In: static pieces and the fits of a record. Out: a ``Problem`` where ink would pass. A field
whose box lies inside answers by comparing numbers; everything else is asked of the true
outlines.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry, outline
from vardata.dress.geometry import Bounds
from vardata.dress.piece import Piece
from vardata.job import model
from vardata.problems import Problem, Severity, Where

_NEAR = 0.005  # mm: twice what flattening may be off


class Limits:
    """The area that ink of one layout may cover. ``dot`` is the print mode's larger dot."""

    def __init__(self, layout: model.Layout, dot: float, file: str = "") -> None:
        self._bleed = layout.bleed
        self._layout, self._file = layout, file
        self._dot = dot
        spread = max(plate.spread for plate in layout.plates)  # white passes colour by it
        allowed = chokes.erode(outline.flood(layout, layout.bleed, file)[1], spread)
        self._allowed = chokes.grow(allowed, _NEAR)
        shapely.prepare(self._allowed)
        # A code's ground is widened to whole dots and moved by half a dot at most.
        self._codes = chokes.grow(allowed, _NEAR + 1.5 * dot)
        shapely.prepare(self._codes)

    def holds(self, area: BaseGeometry) -> bool:
        """Whether an area lies within the limits."""
        inside: bool = self._allowed.covers(area)
        return inside

    def holds_code(self, bounds: Bounds) -> bool:
        """Whether a code's zone lies within the limits, but for the dots it is snapped to."""
        inside: bool = self._codes.covers(geometry.rectangle(bounds))
        return inside

    def holds_ink(self, bounds: Bounds, area: Callable[[], BaseGeometry]) -> bool:
        """The same for ink whose box is known: its true outline only if the box is not in."""
        return self.holds(geometry.rectangle(bounds)) or self.holds(area())

    def field_problem(self, name: str) -> Problem:
        """The reason to hold a record."""
        return Problem(
            "ink-outside",
            Severity.HOLD,
            f"the print would pass {self._edge()}",
            "move the field's box inwards or allow more bleed in the layout",
            Where(field=name),
        )

    def static_problems(self, pieces: Sequence[Piece]) -> list[Problem]:
        """Art, shapes and floods that pass the limits; each is named once."""
        found: dict[str, Problem] = {}
        for piece in pieces:
            if piece.name not in found and not self.holds(piece.area):
                found[piece.name] = self._error(f"{piece.name!r} passes {self._edge()}", "")
        for plate in self._layout.plates:
            over = plate.bleed - self._bleed
            if over > 0 and plate.role != "colour" and plate.cover in (
                "flood", "knockout", "inverse",
            ):  # fmt: skip
                found[plate.name] = self._error(
                    f"plate {plate.name!r} bleeds {plate.bleed:g} mm, {over:g} mm more than "
                    "the layout allows",
                    f"plates.{plate.name}.bleed",
                )
        return list(found.values())

    def _error(self, what: str, key: str) -> Problem:
        return Problem(
            "ink-outside",
            Severity.ERROR,
            what,
            'make it smaller, or raise "bleed" in the layout',
            Where(file=self._file, key=key),
        )

    def _edge(self) -> str:
        if self._bleed:
            return f"the item's outline by more than its bleed of {self._bleed:g} mm"
        return "the item's outline, and the layout allows no bleed"
