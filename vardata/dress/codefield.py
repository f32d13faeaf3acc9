"""Code fields: the symbol on the bed's dots, its human-readable line, and its ground.

In: a ``CodeFit``. Out: modules on the colour plates (or in white ink), a ground on the white
plates where the blank asks for one, and the zone that gloss keeps out of.
"""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import code, geometry
from vardata.dress.code import Snapped, Snapper
from vardata.dress.codebands import pieces, upright
from vardata.dress.geometry import Bounds
from vardata.dress.glyphs import grown
from vardata.dress.ink import Ink
from vardata.dress.lettering import Lettering
from vardata.dress.meeting import Thing
from vardata.dress.reduced import reduced, square_parts, thinned
from vardata.dress.sheet import Sheet, Waiting
from vardata.dress.text import Texts
from vardata.dress.variable import Pictures, Report, Surroundings, TextVariable, Variable
from vardata.fit.result import CodeFit, FieldFit
from vardata.job import model
from vardata.job.reduction import NOTHING, Off, dots_off, reduction
from vardata.job.symbologies import SYMBOLOGIES
from vardata.marks import Mark, ModuleGrid, Paint, Path, Placement
from vardata.units import MM_PER_INCH

_KEPT = 20_000  # grounds kept: one for each place and size of a code


class CodeVariable(Variable):
    """A code field. ``reach`` (item mm) is where its zone is expected to lie."""

    def __init__(
        self,
        index: int,
        field: model.CodeField,
        ink: Ink,
        colour: Sequence[int],
        over_colour: bool,
        texts: Texts,
        layout: model.Layout,
        mode: model.PrintMode,
    ) -> None:
        super().__init__(index, ink, colour, over_colour)
        self.snapper = Snapper(field, layout, mode)
        place = (field.box, field.rotation)
        self._line = TextVariable(
            index, Lettering(*place, texts), ink, colour, over_colour
        )
        self._mode = mode
        self._dot = max(MM_PER_INCH / dpi for dpi in mode.dpi)
        self._offs = _offs(field, layout, mode)
        self._round = field.symbology if field.modules == "round" else ""
        self.reach = reach(field, mode)
        self._grounds: dict[tuple[int, Bounds], Path] = {}

    def put(
        self,
        sheet: Sheet,
        fit: FieldFit,
        near: Surroundings,
        placement: Placement,
        store: Pictures,
        report: Report,
    ) -> None:
        if not isinstance(fit, CodeFit):
            return
        at = self.snapper.snap(fit, placement)
        if not self.reaches(at.zone):
            sheet.loose = True
        sheet.zones.append(at.zone)
        if near.ground:
            self._ground(sheet, near, at.zone)
        parts = pieces(fit, at, self._mode)
        for plate, paint in self.on:
            sheet.colour += [self._grid(plate, paint, *part) for part in parts]
        if not near.ground:
            self._bare(sheet, fit, at, near, report)
        if fit.line is not None:
            around = near._replace(gloss=())
            if near.ground:
                around = around._replace(under=(), alone=())
            for line in (fit.line, fit.ends):
                if line is not None and line.runs:
                    self._line.write(sheet, line, around, report, at.shift)

    def _grid(self, plate: int, paint: Paint, fit: CodeFit, at: Snapped) -> ModuleGrid:
        """The modules on a plate, as narrow as it wants them."""
        if not self._offs:
            return code.grid(plate, paint, fit, at)
        return reduced(plate, paint, fit, at, self._offs[plate][at.net], self._kept(fit))

    def _kept(self, fit: CodeFit) -> tuple[int, ...]:
        """The modules that stay square where the others are round."""
        return square_parts(self._round, fit.columns, fit.rows) if self._round else ()

    def reaches(self, bounds: Bounds) -> bool:
        """Whether a rectangle lies where the code is expected."""
        reach = self.reach
        return (
            bounds[0] >= reach[0]
            and bounds[1] >= reach[1]
            and bounds[2] <= reach[2]
            and bounds[3] <= reach[3]
        )

    def _ground(self, sheet: Sheet, near: Surroundings, zone: Bounds) -> None:
        for plate, paint in self.knocks:
            sheet.colour.append(self._filled(plate, paint, zone))
        for number, status in near.alone:
            mark = self._filled(sheet.whites[number].index, 1.0, zone)
            if status == "apart" and not sheet.mixed:
                sheet.alone.append(mark)
            else:
                layer = sheet.layer(number)
                thing = Thing(
                    "alone",
                    zone,
                    lambda within: geometry.clipped(geometry.rectangle(zone), within),
                    lambda: (zone,),
                    layer.plate.choke,
                )
                layer.waiting.append(Waiting(thing, self.index, [], [], [mark]))

    def _filled(self, plate: int, paint: Paint, zone: Bounds) -> Path:
        """A zone on a plate; a plate gets one paint there."""
        mark = self._grounds.get((plate, zone))
        if mark is None:
            if len(self._grounds) >= _KEPT:
                self._grounds.clear()
            mark = self._grounds[plate, zone] = Path(plate, paint, code.rectangle(zone))
        return mark

    def _bare(
        self, sheet: Sheet, fit: CodeFit, at: Snapped, near: Surroundings, report: Report
    ) -> None:
        """A code without a ground: white under its modules, or modules in white ink."""
        parts = pieces(fit, at, self._mode, lap=True)
        around = upright(parts)

        def boxes() -> list[Bounds]:
            return [box for part in parts for box in code.modules(*part)]

        def area(within: Bounds | None) -> BaseGeometry:
            near = [b for b in boxes() if within is None or chokes.overlap(b, within)]
            dark = geometry.union(geometry.rectangle(b) for b in near)
            return geometry.clipped(dark, within)

        for number, status in near.under:
            layer = sheet.layer(number)
            index, choke = layer.plate.index, layer.plate.choke
            # A flood stays whole under a code: no module is knocked out of it.
            if layer.plate.cover == "knockout" or (status == "covered" and not sheet.mixed):
                continue
            over = self._offs[self.on[0][0]][at.net] if self._offs and self.on else NOTHING
            thin = [
                thinned(index, *part, choke, self._dot, over, self._kept(part[0])) for part in parts
            ]
            thing = Thing("under", around, area, boxes, thin[0][1])
            waiting = Waiting(thing, self.index, [], [mark for mark, _ in thin], [])
            self.under(layer, "mixed" if sheet.mixed else status, waiting, report)
        for number, status in near.alone:
            layer = sheet.layer(number)
            own: list[Mark] = [self._grid(layer.plate.index, 1.0, *part) for part in parts]
            thing = Thing("alone", around, area, boxes, layer.plate.choke)
            self.alone(layer, "mixed" if sheet.mixed else status, thing, own)


def _offs(
    field: model.CodeField, layout: model.Layout, mode: model.PrintMode
) -> tuple[tuple[Off, ...], ...]:
    """The dots that modules lose, by plate and net turn; () where modules are drawn whole."""
    matrix = SYMBOLOGIES[field.symbology].matrix
    lost = [reduction(field, plate, mode) for plate in layout.plates]
    if not any(lost) and field.modules == "square":
        return ()
    return tuple(tuple(dots_off(mm, mode, turn, matrix) for turn in range(4)) for mm in lost)


def reach(field: model.CodeField, mode: model.PrintMode) -> Bounds:
    """The field's box, turned, in item mm, and two dots more for the snapping."""
    x, y, w, h = field.box
    cx, cy = x + w / 2, y + h / 2
    if round(field.rotation / 90.0) % 2:
        w, h = h, w
    return grown((cx - w / 2, cy - h / 2, cx + w / 2, cy + h / 2), spare(mode))


def spare(mode: model.PrintMode) -> float:
    """How far (mm) snapping may take a code's zone out of its box: two dots are plenty."""
    return 2 * max(MM_PER_INCH / dpi for dpi in mode.dpi)
