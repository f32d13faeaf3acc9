"""A text field with more than its letters: a contour, a shadow, an outline, each on its own plate.

In: a fit, the field's decoration and inks. Out: areas and glyph runs from the lowest up. Ink that
follows knocks out what lies below it on the same plate, by being painted over it; white ink takes
colour out where it lies over some. White under colour is one area under all of it, so that a choke
follows the outer edge alone. Its letters are glyphs, once; all else is areas.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import NamedTuple

from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry
from vardata.dress.decoration import Decoration, Part, fine
from vardata.dress.geometry import Bounds
from vardata.dress.ink import NO_INK, Ink
from vardata.dress.lettering import STAY, Lettering
from vardata.dress.meeting import Role, Thing
from vardata.dress.sheet import Glossy, Sheet, Waiting, WhiteLayer
from vardata.dress.styledtext import repainted
from vardata.dress.text import Texts
from vardata.dress.variable import InkPlaces, Pictures, Report, Surroundings, TextVariable
from vardata.dress.white import Status, WhitePlate
from vardata.fit.result import FieldFit, TextFit
from vardata.job.model import Box
from vardata.marks import Mark, Paint, Path, Placement


class Layer(NamedTuple):
    """One thing that is painted: the number of its ink, its area in item mm, its marks.

    What has a ``rank`` lies within everything of a higher one.
    """

    ink: int
    area: BaseGeometry
    marks: Callable[[int, Paint], list[Mark]]
    rank: int = 0


class DecoratedLettering(Lettering):
    """Brings texts with their decoration into item mm; ``plain`` brings their letters."""

    def __init__(
        self, box: Box, rotation: float, texts: Texts, plain: Lettering, decoration: Decoration
    ) -> None:
        super().__init__(box, rotation, texts)
        self.plain, self.decoration = plain, decoration

    def bounds(self, ink: Bounds, shift: tuple[float, float] = STAY) -> Bounds:
        return self.plain.bounds(ink, shift)

    def area(
        self, fit: TextFit, shift: tuple[float, float] = STAY, within: Bounds | None = None
    ) -> BaseGeometry:
        letters = self.plain.area(fit, shift)
        parts = [*self.decoration.below(letters, self.angle), *self.decoration.above(letters)]
        return geometry.clipped(geometry.union((letters, *(area for _, area in parts))), within)


class LayeredText(TextVariable):
    """``inks`` are those of the letters (the field's own, then those of its table); ``parts`` are
    those of the decoration. Inks are numbered in this order. ``styles`` are process inks of the
    letters of some styles."""

    def __init__(
        self, index: int, lettering: DecoratedLettering, inks: Sequence[Ink],
        parts: dict[Part, Ink], colour: Sequence[int], over_colour: bool,
        styles: Sequence[Ink | None] = (),
    ) -> None:  # fmt: skip
        super().__init__(index, lettering, inks[0], colour, over_colour)
        self.edges = lettering.decoration.edges
        self._plain, self._decoration = lettering.plain, lettering.decoration
        self._plates = tuple(colour)
        self._styles = tuple(styles)
        self._over = over_colour
        self._inks = (*inks, *parts.values())
        # Inks that a record chooses lie on the plates of the field's own.
        self._places: tuple[int, ...] = (*[0] * len(inks), *range(1, len(parts) + 1))
        self._number = {part: len(inks) + n for n, part in enumerate(parts)}

    def together(self, near: Surroundings, whites: Sequence[WhitePlate]) -> Surroundings:
        return near

    def put(
        self, sheet: Sheet, fit: FieldFit, near: Surroundings, placement: Placement,
        store: Pictures, report: Report,
    ) -> None:  # fmt: skip
        if not isinstance(fit, TextFit) or not fit.runs:
            return
        if not self.lettering.inside(fit.ink):
            sheet.loose = True
        layers = self._layers(fit)
        sheet.colour += self._coloured(layers)
        bounds = self.lettering.bounds(fit.ink)
        under, alone = (
            {number: "mixed" if sheet.mixed else status for number, status in places}
            for places in (near.under, near.alone)
        )
        for number in dict.fromkeys((*under, *alone)):
            statuses = under.get(number, "covered"), alone.get(number, "covered")
            self._white(sheet.layer(number), number, statuses, layers, near, bounds, report)
        self._glossed(sheet, layers, near, bounds)

    def _layers(self, fit: TextFit) -> list[Layer]:
        """From the lowest up."""
        plain = self._plain
        letters = fine(plain.area(fit))
        return [
            *(self._part(part, area, _RANKS[part])
              for part, area in self._decoration.below(letters, plain.angle)),
            Layer(fit.paint, letters, lambda plate, paint: self._letters(plate, paint, fit), 1),
            *(self._part(*part) for part in self._decoration.above(letters)),
        ]

    def _letters(self, plate: int, paint: Paint, fit: TextFit) -> list[Mark]:
        marks = self._plain.ink(plate, paint, fit)
        return repainted(marks, fit, self._styles, self._plates) if any(fit.styles) else marks

    def _part(self, part: Part, area: BaseGeometry, rank: int = 0) -> Layer:
        def marks(plate: int, paint: Paint) -> list[Mark]:
            return area_marks(plate, paint, area)

        return Layer(self._number[part], area, marks, rank)

    def _coloured(self, layers: Sequence[Layer]) -> list[Mark]:
        marks: list[Mark] = []
        below = self._over
        for layer in layers:
            ink = self._inks[layer.ink]
            if ink.kind == "colour" or (ink.kind == "white" and below):
                paint = ink.paint if ink.kind == "colour" else NO_INK
                for plate in self._plates:
                    marks += layer.marks(plate, paint)
                below = True
        return marks

    def _white(
        self, white: WhiteLayer, number: int, statuses: tuple[Status, Status],
        layers: Sequence[Layer], near: Surroundings, bounds: Bounds, report: Report,
    ) -> None:  # fmt: skip
        """One white plate: white under colour, choked where no white ink goes on, and white ink."""
        under, alone = (
            [number in getattr(self._of(near, layer), role) for layer in layers]
            for role in ("under", "alone")
        )
        solid = [self._inks[layer.ink].kind != "gloss" for layer in layers]
        covering = [one and not other for one, other in zip(solid, under)]
        wanted, ink = _seen(layers, under, covering), _seen(layers, alone, under)
        index, choke = white.plate.index, white.plate.choke_texts
        if not wanted.is_empty and statuses[0] != "covered":
            if white.plate.cover == "knockout":
                least, tint, drawn = choke, 0.0, chokes.erode(wanted, choke)
            elif self._thick(layers, under, covering, choke):
                least, tint, drawn = choke, 1.0, chokes.erode(_one(wanted, ink), choke)
            else:
                made = chokes.choked(_one(wanted, ink), ink, choke)
                least, tint, drawn = made.least, 1.0, made.white
            thing = thing_of("under", bounds, wanted, least)
            waiting = Waiting(thing, self.index, [], area_marks(index, tint, drawn), [], choke)
            mixed = white.plate.cover == "knockout" and not ink.is_empty
            self.under(white, "mixed" if mixed else statuses[0], waiting, report)
        if not ink.is_empty:
            thing = thing_of("alone", bounds, ink, choke)
            self.alone(white, statuses[1], thing, area_marks(index, 1.0, ink))

    def _thick(
        self, layers: Sequence[Layer], under: Sequence[bool], covering: Sequence[bool],
        choke: float,
    ) -> bool:
        """Whether coloured ink is wide enough everywhere for the choke to leave white near all of
        it: letters that are spread by as much, and nothing of them taken away."""
        if choke < 0 or _covered(under, covering):
            return False
        ranks = {layer.rank for layer, one in zip(layers, under) if one}
        shadow = any(layer.rank == 0 for layer, one in zip(layers, under) if one)
        wide = self.edges.ground if 3 in ranks and not shadow else self.edges.outset
        return 1 in ranks and len(ranks) > 1 and wide >= choke + chokes.HAIR

    def _of(self, near: Surroundings, layer: Layer) -> InkPlaces:
        return near.parts[self._places[layer.ink]]

    def _glossed(
        self, sheet: Sheet, layers: Sequence[Layer], near: Surroundings, bounds: Bounds
    ) -> None:
        for gloss in dict.fromkeys(plate for part in near.parts for plate in part.gloss):
            for own in (False, True):  # what asks for gloss, then what is printed in it
                chosen = [
                    gloss in self._of(near, layer).gloss
                    and (self._inks[layer.ink].kind == "gloss") == own
                    for layer in layers
                ]
                area = _seen(layers, chosen, [False] * len(layers))
                if not area.is_empty:
                    marks = area_marks(gloss.index, 1.0 if own else gloss.tint, area)
                    sheet.glossy.append(Glossy(gloss, marks, bounds, partial(_itself, area)))


def _one(wanted: BaseGeometry, ink: BaseGeometry) -> BaseGeometry:
    """White under colour and white ink as one: no choke along the edge where they meet."""
    return wanted if ink.is_empty else chokes.closed(geometry.union((wanted, ink)))


def _itself(area: BaseGeometry) -> BaseGeometry:
    return area


_RANKS: dict[Part, int] = {"contour": 3, "outline": 2, "shadow": 0}


def area_marks(plate: int, paint: Paint, area: BaseGeometry) -> list[Mark]:
    """An area on one plate; nothing if it is empty."""
    drawn = geometry.commands(fine(area), 0.0)
    return [Path(plate, paint, drawn)] if drawn else []


def _covered(chosen: Sequence[bool], covering: Sequence[bool]) -> bool:
    """Whether something that covers lies over a chosen layer."""
    return True in chosen and True in covering[list(chosen).index(True) + 1 :]


def _seen(
    layers: Sequence[Layer], chosen: Sequence[bool], covering: Sequence[bool]
) -> BaseGeometry:
    """What is seen of the chosen layers between those above them that cover."""
    if not _covered(chosen, covering):
        highest = max((layer.rank for layer, one in zip(layers, chosen) if one), default=0)
        return geometry.union(
            layer.area for layer, one in zip(layers, chosen) if one and layer.rank in (0, highest)
        )
    seen = []
    for at, layer in enumerate(layers):
        if chosen[at]:
            above = [other.area for other, covers in zip(layers[at + 1 :], covering[at + 1 :])
                     if covers]  # fmt: skip
            left = layer.area.difference(geometry.union(above)) if above else layer.area
            seen.append(geometry.areas(left))
    return geometry.union(seen)


def thing_of(role: Role, bounds: Bounds, area: BaseGeometry, least: float) -> Thing:
    """An area as a thing of the white plates; its boxes are those of its parts."""
    boxes = [part.bounds for part in getattr(area, "geoms", [area])]
    return Thing(role, bounds, lambda within: geometry.clipped(area, within), lambda: boxes, least)
