"""Texts with letters that their font draws in colours of its own, as layers of plain outlines.

In: the variable of a text, the inks of layers. Out: its marks; a text that has such letters is
painted run by run, each layer in its own ink, and its white and gloss are areas under and over
the union of all of it. What a layer covers is painted over, so a white layer shows the white below.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import NamedTuple

from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress.aroundtext import AroundText
from vardata.dress.colour import from_rgb
from vardata.dress.geometry import NOTHING
from vardata.dress.glyphs import Setting
from vardata.dress.ink import NO_INK, Plates
from vardata.dress.inklimit import SLACK, too_much
from vardata.dress.layeredtext import area_marks, thing_of
from vardata.dress.sheet import Glossy, Sheet, Waiting, WhiteLayer
from vardata.dress.text import Texts
from vardata.dress.variable import Pictures, Report, Surroundings, TextVariable
from vardata.dress.white import Status
from vardata.fit.colourglyphs import Rgb
from vardata.fit.result import FieldFit, Run, TextFit
from vardata.marks import Cmyk, Placement
from vardata.problems import Problem, Severity, Where

Inks = Callable[[Rgb], Cmyk]


class Stretch(NamedTuple):
    """Glyphs of one colour; ``rgb`` None is that of the text."""

    run: Run
    rgb: Rgb | None


def layer_inks(plates: Plates, key: str) -> Inks:
    """Colours of layers as process ink, as those of layouts are; white is no ink at all."""

    def ink(rgb: Rgb) -> Cmyk:
        paint = from_rgb(*(part / 255 for part in rgb))
        return plates.of_paint(paint, key).paint if any(paint) else NO_INK

    return ink


def has_layers(fit: TextFit, texts: Texts) -> bool:
    """Whether a text has letters in layers."""
    for run in fit.runs:
        layers = texts.layers(run.font)
        if layers and any(glyph in layers for glyph, _ in texts.pens(run)):
            return True
    return False


def stretches(fit: TextFit, texts: Texts) -> Iterator[Stretch]:
    """A text in its painting order, cut at its letters in layers."""
    for run in fit.runs:
        layers = texts.layers(run.font)
        across = Setting(run.font, fit.size_pt, fit.squeeze, 0.0).em_x
        start = 0
        pens = texts.pens(run)
        for at, (glyph, pen) in enumerate([*pens, (-1, 0.0)]):
            if glyph != -1 and glyph not in layers:
                continue
            if start < at:
                kerns = (*run.kerns[start : at - 1], 0.0) if run.kerns else ()
                x = round(run.x + pens[start][1] * across, 4)
                plain = run.glyphs[2 * start : 2 * at]
                yield Stretch(run._replace(x=x, glyphs=plain, kerns=kerns), None)
            start = at + 1
            x = round(run.x + pen * across, 4)
            for layer in layers.get(glyph, ()):
                own = layer.glyph.to_bytes(2, "big")
                yield Stretch(run._replace(x=x, glyphs=own, kerns=()), layer.rgb)


class ColourLetters(AroundText):
    """``plain`` paints texts without such letters; ``chosen`` are the paints of the field's own
    colour and its table."""

    def __init__(
        self, plain: TextVariable, texts: Texts, inks: Inks, chosen: Sequence[Cmyk],
        colour: Sequence[int],
    ) -> None:  # fmt: skip
        super().__init__(plain, colour)
        self._texts, self._layer_inks = texts, inks
        self._chosen, self._plates = tuple(chosen), tuple(colour)

    def put(
        self, sheet: Sheet, fit: FieldFit, near: Surroundings, placement: Placement,
        store: Pictures, report: Report,
    ) -> None:  # fmt: skip
        if not isinstance(fit, TextFit) or not has_layers(fit, self._texts):
            self._text.put(sheet, fit, near, placement, store, report)
            return
        lettering = self.lettering
        if not lettering.inside(fit.ink):
            sheet.loose = True
        self._paint(sheet, fit)
        area = lettering.area(fit)
        bounds = lettering.bounds(fit.ink)
        for number, status in near.under:
            if status != "covered":
                state: Status = "mixed" if sheet.mixed else status
                self._white(sheet.layer(number), state, fit, area, report)
        for gloss in near.gloss:
            marks = area_marks(gloss.index, gloss.tint, area)
            sheet.glossy.append(Glossy(gloss, marks, bounds, partial(_itself, area)))

    def too_heavy(self, fit: TextFit, limit: float | None, name: str) -> Problem | None:
        """Whether a layer has more ink, in percent, than the print mode takes."""
        if limit is None or not has_layers(fit, self._texts):
            return None
        colours = {rgb for _, rgb in stretches(fit, self._texts) if rgb is not None}
        most = max((100 * sum(self._layer_inks(rgb)) for rgb in colours), default=0.0)
        if most <= limit + SLACK:
            return None
        return Problem(
            "ink-limit", Severity.HOLD,
            f"a letter in colours of its own {too_much(most, limit)}",
            "take it out of the text, or choose a font that draws it in lighter colours",
            Where(field=name), fit.text,
        )  # fmt: skip

    def _paint(self, sheet: Sheet, fit: TextFit) -> None:
        parts = tuple(stretches(fit, self._texts))
        for plate in self._plates:
            for run, rgb in parts:
                paint = self._chosen[fit.paint] if rgb is None else self._layer_inks(rgb)
                alone = fit._replace(runs=(run,))
                sheet.colour += self.lettering.ink(plate, paint, alone)

    def _white(
        self, layer: WhiteLayer, status: Status, fit: TextFit, area: BaseGeometry, report: Report
    ) -> None:
        index, choke = layer.plate.index, layer.plate.choke_texts
        if layer.plate.cover == "knockout":
            tint, drawn, least = 0.0, chokes.erode(area, choke), choke
        else:
            made = chokes.choked(area, NOTHING, choke)
            tint, drawn, least = 1.0, made.white, made.least
        thing = thing_of("under", self.lettering.bounds(fit.ink), area, least)
        marks = area_marks(index, tint, drawn)
        self.under(layer, status, Waiting(thing, self.index, [], marks, [], choke), report)


def _itself(area: BaseGeometry) -> BaseGeometry:
    return area
