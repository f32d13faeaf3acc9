"""White under static art that is lighter than what lies on it asks for.

In: the pieces of art on a plate, in tints or with soft edges; the things of a record. Out: for a
thing that lies on such art its own white, as an area to be painted over that of the art. It is
choked only where no colour goes on beside it. Where things lie on no such art nothing is done.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry, meeting
from vardata.dress.glyphs import grown
from vardata.dress.meeting import TOUCH, Ground, Thing
from vardata.dress.piece import Piece
from vardata.marks import Path

_AROUND = 3.0  # chokes: what is farther away has no part in the white of a thing


class Lifted(NamedTuple):
    """The white of a thing over lighter white, and the smallest choke in it."""

    mark: Path
    least: float


class Lighter:
    """The white of art on one plate by its density; ``soft`` art counts as lighter than any;
    ``alone`` is white ink. Not ``tinted``: the plate knows no densities."""

    def __init__(
        self, index: int, even: Sequence[Piece], soft: Sequence[Piece], alone: BaseGeometry,
        tinted: bool,
    ) -> None:  # fmt: skip
        self._index, self._tinted = index, tinted
        self._tints = [(0.0, p.area) for p in soft] + [(p.density, p.area) for p in even]
        self._alone = alone
        self._found: dict[float, Ground] = {}
        self._every = Ground.of(geometry.union((*(area for _, area in self._tints), alone)))

    def than(self, density: float) -> Ground:
        """Where the white of art is lighter than a density."""
        found = self._found.get(density)
        if found is None:
            light = geometry.union(area for tint, area in self._tints if tint < density)
            if not light.is_empty:
                dense = (area for tint, area in self._tints if tint >= density)
                light = geometry.areas(light.difference(geometry.union((*dense, self._alone))))
            found = self._found[density] = Ground.of(light)
        return found

    def below(self, thing: Thing, things: Sequence[Thing]) -> bool:
        """Whether coloured ink lies over lighter white: of art, or of another thing."""
        if thing.role == "alone" or not self._tinted:
            return False
        light = self.than(thing.density)
        if light.near(thing.bounds) and light.area.intersects(geometry.rectangle(thing.bounds)):
            return True
        return any(
            other.role == "under" and other.density < thing.density
            and chokes.overlap(thing.bounds, other.bounds)
            for other in things
        )  # fmt: skip

    def lifted(self, thing: Thing, things: Sequence[Thing], choke: float) -> Lifted | None:
        """The white of a thing for itself, where it meets no bare blank up to its edges."""
        around = grown(thing.bounds, _AROUND * abs(choke) + TOUCH)
        own = thing.area(None)
        if choke < 0:
            white, least = chokes.grow(own, -choke), choke
        else:
            ink = geometry.union((meeting.ink_near(self._every, things, around), own))
            white_ink = [t for t in things if t.role == "alone"]
            alone = meeting.ink_near(Ground.of(self._alone), white_ink, around)
            made = chokes.choked(ink, alone, choke)
            white = geometry.areas(made.white.intersection(own))
            least = made.least if made.saved.intersects(own) else choke
        commands = geometry.commands(white) if not white.is_empty else ()
        return Lifted(Path(self._index, thing.density, commands), least) if commands else None
