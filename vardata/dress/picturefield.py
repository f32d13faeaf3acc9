"""Picture fields: one raster a record, its white along its true edge.

In: a ``PictureFit`` and the ``Picture`` behind it. Out: an image on the colour plates, choked
white under what it paints, a stencil for gloss.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry, pictures
from vardata.dress.drawing import Picture, PlacedPicture
from vardata.dress.framing import Framing
from vardata.dress.geometry import NOTHING, Bounds
from vardata.dress.ink import Ink
from vardata.dress.meeting import Thing
from vardata.dress.piece import picture_area, soft_marks
from vardata.dress.sheet import Glossy, Sheet, Waiting
from vardata.dress.variable import Pictures, Report, Surroundings, Variable
from vardata.dress.white import WhitePlate
from vardata.fit.result import FieldFit, PictureFit
from vardata.job import model
from vardata.marks import BLACK, Commands, Image, Mark, Path, Placement

_KEPT = 64  # outlines of pictures kept at a time; most jobs use a picture once or always


class PictureVariable(Variable):
    """A picture field."""

    def __init__(
        self, index: int, field: model.PictureField, framing: Framing, colour: Sequence[int],
        over_colour: bool,
    ) -> None:
        super().__init__(index, Ink("colour", BLACK), colour, over_colour)
        self._box, self._fit, self._angle = field.box, field.fit, field.rotation
        self._framing = framing
        self._holes, self._specks = field.close_holes, field.drop_specks
        self._areas: dict[str, BaseGeometry] = {}
        self._softs: dict[tuple[str, int], tuple[Mark, ...]] = {}
        self._whites: dict[tuple[str, float, float, bool], tuple[Commands, float]] = {}

    def place(self, picture: Picture) -> PlacedPicture:
        """The picture where it is printed."""
        placed = pictures.place(picture, self._box, self._fit, self._angle)
        return placed._replace(holes=self._holes, specks=self._specks)

    def find(self, fit: PictureFit, store: Pictures) -> Picture:
        """The picture of a record, cropped to its box if it is to cover it."""
        return store(fit.path, self._framing)

    def area(self, picture: Picture) -> BaseGeometry:
        """What the picture paints, item mm."""
        area = self._areas.get(picture.key)
        if area is None:
            if len(self._areas) >= _KEPT:
                self._areas.clear()
            area = self._areas[picture.key] = picture_area(self.place(picture))
        return area

    def put(
        self,
        sheet: Sheet,
        fit: FieldFit,
        near: Surroundings,
        placement: Placement,
        store: Pictures,
        report: Report,
    ) -> None:
        if not isinstance(fit, PictureFit):
            return
        picture = self.find(fit, store)
        placed = self.place(picture)
        box = (placed.x, placed.y, placed.w, placed.h)
        area = partial(self.area, picture)
        bounds: Bounds = area().bounds
        for plate, _ in self.on:
            sheet.colour.append(Image(plate, BLACK, picture.key, *box, self._angle))
        for number, status in near.under:
            if sheet.mixed:
                status = "mixed"
            if status == "covered":
                continue
            layer = sheet.layer(number)
            if picture.soft is not None and layer.plate.cover == "art":
                layer.soft += self._soft(placed, layer.plate)
                continue
            knockout = layer.plate.cover == "knockout"
            drawn, least = self._white(picture, layer.plate, knockout)
            tint = 0.0 if knockout else 1.0
            areas: list[Mark] = [Path(layer.plate.index, tint, drawn)] if drawn else []
            thing = Thing(
                "under",
                bounds,
                lambda within: geometry.clipped(area(), within),
                lambda: (bounds,),
                least,
            )
            self.under(layer, status, Waiting(thing, self.index, [], areas, []), report)
        for gloss in near.gloss:
            mark: Mark = Image(gloss.index, gloss.tint, picture.key, *box, self._angle)
            if picture.space == "Page":  # as in ``Piece.mark``
                mark = Path(gloss.index, gloss.tint, geometry.commands(area()))
            sheet.glossy.append(Glossy(gloss, [mark], bounds, area))

    def _soft(self, placed: PlacedPicture, plate: WhitePlate) -> tuple[Mark, ...]:
        key = (placed.picture.key, plate.index)
        marks = self._softs.get(key)
        if marks is None:
            if len(self._softs) >= _KEPT:
                self._softs.clear()
            marks = self._softs[key] = soft_marks(placed, plate.index, 1.0, plate.choke)
        return marks

    def _white(
        self, picture: Picture, plate: WhitePlate, knockout: bool
    ) -> tuple[Commands, float]:
        choke, holes = plate.choke, plate.choke_holes
        key = (picture.key, choke, holes, knockout)
        found = self._whites.get(key)
        if found is None:
            if len(self._whites) >= _KEPT:
                self._whites.clear()
            if knockout:
                white, least = chokes.erode(self.area(picture), choke, holes), choke
            else:
                white, _, least = chokes.choked(
                    self.area(picture), NOTHING, choke, holes=holes
                )
            found = self._whites[key] = (geometry.commands(white), least)
        return found
