"""One white plate on one blank: its static white, and how each record's things join it.

In: static pieces, the reach of each variable field, the plate's cover. Out: static marks,
and for a record the things that need no white of their own and the seams where things
meet. Order of painting: ``first`` (what fades), fills with strokes, ``before``, areas (of
white, or in a knockout of no white), ``after``, then white that stands alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple, TypeAlias

from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry, meeting
from vardata.dress.choke import Choked
from vardata.dress.geometry import NOTHING
from vardata.dress.glyphs import grown
from vardata.dress.ink import Cover
from vardata.dress.lighter import Lighter
from vardata.dress.meeting import TOUCH, Ground, Role, Thing, Zone
from vardata.dress.piece import Piece
from vardata.marks import Commands, Mark, Path, Ref

# What a field's box says for every record: nothing is near; static white is all round it;
# look at each record.
Status: TypeAlias = Literal["apart", "covered", "mixed"]


class Reach(NamedTuple):
    """Where a variable field may print, for every record."""

    field: int
    role: Role
    area: BaseGeometry
    density: float = 1.0  # of the white under it, as a tint


class Inwards(NamedTuple):
    """How far, in mm, the edges of colour move inwards: of anything, of texts, round the holes
    that art encloses. Negative: outwards."""

    edges: float
    texts: float
    holes: float


# The white under static art by plate and by whether white ink is printed on it: the same on
# many blanks, and the dearest thing to work out.
Kept: TypeAlias = dict[tuple[int, bool, bool], Choked]


class WhitePlate:
    """A white plate on one blank.

    ``inked``: grounds and white ink go on it here; ``silent``: not even white ink that names
    it does. ``kept`` is shared by the plates of one layout.
    """

    def __init__(
        self,
        index: int,
        cover: Cover,
        inwards: Inwards,
        flood: tuple[Commands, BaseGeometry],
        pieces: Sequence[Piece],
        inked: bool,
        silent: bool,
        reaches: Sequence[Reach],
        kept: Kept,
    ) -> None:
        self.index, self.cover = index, cover
        self.choke, self.choke_texts, self.choke_holes = inwards
        self.follows = cover in ("art", "knockout")  # coloured ink changes this plate
        own = [
            p
            for p in pieces
            if not silent
            and p.ink.kind == "white"
            and (index in p.ink.plates or (not p.ink.plates and inked))
        ]
        coloured = [p for p in pieces if p.ink.kind == "colour" and p.white]
        soft: tuple[Mark, ...] = ()
        fading: list[Piece] = []
        if cover == "art":  # what fades has white of its own, below all other
            tints = [(p, p.tints(index, p.density, self.choke)) for p in coloured]
            coloured = [p for p, marks in tints if not marks]
            fading = [p for p, marks in tints if marks]
            soft = tuple(mark for _, marks in tints for mark in marks)
        under = geometry.union(p.area for p in coloured) if self.follows else NOTHING
        alone = geometry.union(p.area for p in own)
        self._under = Ground.of(under)
        self._alone = alone
        self.lighter = Lighter(
            index, coloured if cover == "art" else (), fading, alone, cover == "art"
        )
        self._densest = 0.0  # white under static art, as a tint
        self._all = Ground.of(geometry.union((under, alone)))
        self.thin: dict[str, float] = {}  # name of art or field -> smallest choke in it
        self.statics: dict[str, tuple[Mark, ...]] = {}
        self.before: tuple[Mark, ...] = ()
        self.after: tuple[Mark, ...] = ()
        self._key = f"p{index}-{cover}" + ("" if inked else "-own")
        if cover == "art" and coloured:
            place = (index, inked, silent)
            if place not in kept:
                kept[place] = chokes.choked(
                    under, alone, self.choke, holes=self.choke_holes
                )
            self._white_art(kept[place], coloured)
        else:
            self._static(flood, tuple(p.mark(index, 1.0) for p in own))
        self.first = self._ref("-soft", soft)
        self.status = {(r.field, r.role): self._status(r, reaches) for r in reaches}
        self.lone = frozenset(r.field for r in reaches if self._is_lone(r, reaches))

    def _white_art(self, made: Choked, coloured: Sequence[Piece]) -> None:
        """White under art, and the names of the pieces in which the choke was reduced."""
        self._densest = max(piece.density for piece in coloured)
        self.before = self._ref("", self._by_density(made.white, coloured))
        if made.least < self.choke:
            hair = chokes.HAIR / 2
            eroded = chokes.erode(self._all.area, self.choke + hair, self.choke_holes + hair)
            wide = max(self.choke, self.choke_holes) + hair
            bare = chokes.lost(self._under.area, geometry.union((eroded, self._alone)), wide)
            for piece in coloured:
                if piece.area.intersects(bare):
                    self.thin[piece.name] = made.least

    def _by_density(
        self, white: BaseGeometry, coloured: Sequence[Piece]
    ) -> tuple[Mark, ...]:
        """White by the density that the things above it ask for: the lighter below the denser.
        What stands alone is printed in full."""
        densities = {piece.density for piece in coloured}
        if densities == {1.0}:
            return (Path(self.index, 1.0, geometry.commands(white)),)
        marks: list[Mark] = []
        for density in sorted({*densities, 1.0}):
            asking = [piece.area for piece in coloured if piece.density >= density]
            part = geometry.areas(white.intersection(geometry.union((*asking, self._alone))))
            if density == min(densities):
                part = white
            marks.append(Path(self.index, density, geometry.commands(part)))
        return tuple(marks)

    def _static(self, flood: tuple[Commands, BaseGeometry], own: tuple[Mark, ...]) -> None:
        """The marks that every record shares, whatever colour is printed."""
        outline, inside = flood
        if self.cover == "flood":
            self.before = self._ref("", (Path(self.index, 1.0, outline), *own))
        elif self.cover == "knockout":
            taken = self._under.area.difference(self._alone)
            core = chokes.erode(taken, self.choke, self.choke_holes)
            left = geometry.areas(inside.difference(core))
            drawn = outline if core.is_empty else geometry.commands(left)
            self.before = self._ref("", (Path(self.index, 1.0, drawn),))
            self.after = self._ref("-ink", own)
        else:
            self.before = self._ref("", own)

    def _ref(self, suffix: str, marks: tuple[Mark, ...]) -> tuple[Mark, ...]:
        painted = tuple(m for m in marks if not isinstance(m, Path) or m.commands)
        if not painted:
            return ()
        self.statics[self._key + suffix] = painted
        return (Ref(self.index, self._key + suffix),)

    def _status(self, reach: Reach, reaches: Sequence[Reach]) -> Status:
        if self.lighter.than(reach.density).area.dwithin(reach.area, TOUCH):
            return "mixed"
        static = (self._all if reach.role == "under" else self._under).area
        if reach.role == "under" and static.covers(reach.area):
            return "covered"
        if static.dwithin(reach.area, TOUCH):
            return "mixed"
        for other in reaches:
            if other.field == reach.field or other.role == reach.role == "alone":
                continue
            if other.role == "under" and self._all.area.covers(other.area):
                continue
            if other.area.dwithin(reach.area, TOUCH):
                return "mixed"
        return "apart"

    def _is_lone(self, reach: Reach, reaches: Sequence[Reach]) -> bool:
        """Whether no stroke of another field's choke can come where a field prints."""
        most = max(self.choke, self.choke_texts, self.choke_holes, TOUCH)
        return not any(
            other.field != reach.field and other.area.dwithin(reach.area, most)
            for other in reaches
        )

    @property
    def idle(self) -> tuple[Mark, ...]:
        """Its marks where a record adds none but white that stands alone and apart."""
        return (*self.first, *self.before, *self.after)

    def settle(self, things: Sequence[Thing]) -> tuple[list[bool], tuple[Mark, ...]]:
        """Which things need white (or, standing alone, are printed anyway), and the seams.

        A thing that lies in static white, or in white that stands alone, needs none of its
        own. Where things that stay meet each other or static ones, a seam is painted.
        """
        needed = [not self._hidden(thing, things) for thing in things]
        kept = [thing for thing, wanted in zip(things, needed) if wanted]
        lifted = [self.lighter.below(thing, kept) for thing in kept]
        zones: list[Zone] = []
        # What is spread needs no seams: all of it spread is each of it spread.
        for i, thing in enumerate(kept if self.choke >= 0 else ()):
            if thing.role == "alone" and self.cover != "art":
                continue
            static = self._all if thing.role == "under" else self._under
            if not lifted[i]:
                zones += meeting.with_static(thing, static, self.choke)
            for other, over in zip(kept[:i], lifted):
                if over and lifted[i]:
                    continue
                if thing.role == "under" or other.role == "under":
                    zones += meeting.with_other(thing, other, self.choke)
        marks = self._seams(kept, meeting.merged(zones)) if zones else ()
        if self.cover == "knockout":
            marks += self._traps(kept)
        return needed, marks

    def _hidden(self, thing: Thing, things: Sequence[Thing]) -> bool:
        if thing.role == "alone":
            return False
        if self._all.covers(thing.bounds) and not self.lighter.below(thing, ()):
            return True
        return any(
            other.role == "alone"
            and chokes.overlap(thing.bounds, other.bounds)
            and other.area(None).covers(geometry.rectangle(thing.bounds))
            for other in things
        )

    def _seams(self, things: Sequence[Thing], zones: Sequence[Zone]) -> tuple[Mark, ...]:
        knockout = self.cover == "knockout"
        # In a knockout white that stands alone is painted afterwards.
        static, met = (
            (self._under, [t for t in things if t.role == "under"])
            if knockout
            else (self._all, list(things))
        )
        if knockout:
            zones = [zone._replace(choke=self.choke) for zone in zones]
        densities = [t.density for t in things if t.role == "under" or self.cover == "art"]
        tint = 0.0 if knockout else max([*densities, self._densest])
        drawn = meeting.seams(static, met, zones, self.choke)
        return tuple(Path(self.index, tint, commands) for commands in drawn)

    def _traps(self, things: Sequence[Thing]) -> tuple[Mark, ...]:
        """In a knockout, white that reaches by the choke from under white ink into colour."""
        coloured = [t for t in things if t.role == "under"]
        drawn = []
        for thing in things:
            if thing.role == "alone":
                around = grown(thing.bounds, 2 * self.choke)
                under = meeting.ink_near(self._under, coloured, around)
                trap = chokes.grow(thing.area(None), self.choke).intersection(under)
                drawn.append(geometry.commands(geometry.areas(trap)))
        return tuple(Path(self.index, 1.0, commands) for commands in drawn if commands)
