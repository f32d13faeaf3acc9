"""The marks of one record while it is being dressed, by plate and in painting order.

In: what each field puts down. Out: the marks of the item. Things that may meet others wait
until all of them are known; then each white plate settles them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from shapely.geometry.base import BaseGeometry

from vardata.dress.geometry import Bounds
from vardata.dress.gloss import GlossPlate
from vardata.dress.meeting import Thing
from vardata.dress.white import WhitePlate
from vardata.marks import GlyphRun, Mark, Path, RunOnPlates


class Waiting(NamedTuple):
    """A thing that may meet others, with the white it has alone and the choke it wanted (None:
    that of the plate)."""

    thing: Thing
    field: int
    runs: list[Mark]
    areas: list[Mark]
    alone: list[Mark]
    wanted: float | None = None


class Glossy(NamedTuple):
    """A variable thing on a gloss plate; ``near`` says that a code may be."""

    plate: GlossPlate
    marks: list[Mark]
    bounds: Bounds
    area: Callable[[], BaseGeometry]


class WhiteLayer:
    """One white plate of one record."""

    __slots__ = ("alone", "areas", "plate", "runs", "soft", "waiting")

    def __init__(self, plate: WhitePlate) -> None:
        self.plate = plate
        self.soft: list[Mark] = [*plate.first]  # what fades, below all other white
        self.runs: list[Mark] = []
        self.areas: list[Mark] = []
        self.alone: list[Mark] = []
        self.waiting: list[Waiting] = []

    def settle(self) -> list[Waiting]:
        """Puts down the things that waited and their seams; gives those that need white."""
        if not self.waiting:
            return []
        needed, seams = self.plate.settle([w.thing for w in self.waiting])
        kept = [w for w, wanted in zip(self.waiting, needed) if wanted]
        things = [w.thing for w in kept]
        lifted: list[Path] = []
        for at, waiting in enumerate(kept):
            if self.plate.lighter.below(waiting.thing, things):
                kept[at] = self._lift(waiting, things, lifted)
                continue
            self.runs += waiting.runs
            self.areas += waiting.areas
            self.alone += waiting.alone
        lifted.sort(key=lambda mark: mark.paint)
        self.areas += lifted
        self.areas += seams
        return kept

    def _lift(self, waiting: Waiting, things: Sequence[Thing], lifted: list[Path]) -> Waiting:
        """Puts a thing's white over lighter white."""
        choke = self.plate.choke if waiting.wanted is None else waiting.wanted
        made = self.plate.lighter.lifted(waiting.thing, things, choke)
        if made is None:
            return waiting
        lifted.append(made.mark)
        return waiting._replace(thing=waiting.thing._replace(least=made.least))

    def marks(self) -> list[Mark]:
        """All of it in painting order: larger chokes first, then fills."""
        plate = self.plate
        if len(self.runs) > 1:
            self.runs.sort(key=_choke, reverse=True)
        own = [*self.runs, *plate.before, *self.areas, *plate.after, *self.alone]
        return self.soft + own if self.soft else own


def _choke(mark: Mark) -> float:
    return mark.choke if type(mark) is GlyphRun else 0.0


class Sheet:
    """One record. ``mixed`` makes every thing wait, whatever its field's box promises;
    ``loose`` is set by a field whose ink left its box, so that the promise is void. ``alone`` is
    white that stands alone and apart, painted last on its plate."""

    __slots__ = ("alone", "colour", "glossy", "layers", "loose", "mixed", "whites", "zones")

    def __init__(self, whites: Sequence[WhitePlate], mixed: bool) -> None:
        self.whites = whites
        self.colour: list[Mark | RunOnPlates] = []
        self.layers: dict[int, WhiteLayer] = {}
        self.alone: list[Mark] = []
        self.glossy: list[Glossy] = []
        self.zones: list[Bounds] = []
        self.mixed = mixed
        self.loose = False

    def layer(self, number: int) -> WhiteLayer:
        """The layer of a white plate, made when it is first asked for: few records need one."""
        layer = self.layers.get(number)
        if layer is None:
            layer = self.layers[number] = WhiteLayer(self.whites[number])
        return layer

    def gloss(self, plates: Sequence[GlossPlate]) -> list[Mark]:
        """The gloss plates' marks, kept off the codes."""
        zones = tuple(self.zones)
        marks: list[Mark] = []
        for plate in plates:
            marks += plate.static(zones)
            for glossy in self.glossy:
                if glossy.plate is not plate:
                    continue
                cut = plate.around(glossy.area, glossy.bounds, zones) if zones else True
                if cut is True:
                    marks += glossy.marks
                elif cut is not None and cut is not False:
                    marks.append(cut)
            marks += plate.over
        return marks
