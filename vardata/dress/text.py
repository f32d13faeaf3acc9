"""Texts: plans for the white of their runs, and their ink as areas.

In: shaped runs as fit gives them. Out: a choke with which a whole run is filled and stroked,
or a ``RunPlan``; outlines of the ink, mm in the field's box.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from itertools import repeat

from shapely.geometry.base import BaseGeometry

from vardata.dress import geometry
from vardata.dress.apart import Pairs
from vardata.dress.geometry import Bounds
from vardata.dress.glyphs import Glyphs, Setting, joined
from vardata.dress.line import Line
from vardata.dress.runs import RunPlan, Table
from vardata.fit.colourglyphs import GlyphLayer
from vardata.fit.result import Run, TextFit


class Texts:
    """Plans runs; keeps tables by setting and some plans of runs that were not plain."""

    KEPT = 5_000  # plans; a run repeats within an order or a job of few texts, if at all

    def __init__(self, glyphs: Glyphs) -> None:
        self._glyphs = glyphs
        self._tables: dict[tuple[int, float, float, float], Table] = {}
        self._pairs: dict[int, Pairs] = {}
        self._plans: dict[tuple[object, ...], RunPlan] = {}

    def plan(self, run: Run, size_pt: float, squeeze: float, choke: float) -> float | RunPlan:
        """White for a run: the choke with which all of it is filled and stroked, or a plan.

        A number smaller than ``choke`` says that every glyph is thin.
        """
        if choke <= 0:
            return choke  # none, or a spread, which any run bears
        key = (run.font, size_pt, squeeze, choke)
        table = self._tables.get(key)
        if table is None:
            table = self._table(key)
        glyphs, kerns = run.glyphs, run.kerns
        even = table.even(glyphs, kerns)
        if even is not None:
            return even
        plan_key = (key, glyphs, kerns)
        plan = self._plans.get(plan_key)
        if plan is None:
            if len(self._plans) >= self.KEPT:
                self._plans.clear()
            ids = struct.unpack(f">{len(glyphs) // 2}H", glyphs)
            line = Line(self._glyphs, table, ids, kerns)
            plan = self._plans[plan_key] = line.plan()
        return plan

    def _table(self, key: tuple[int, float, float, float]) -> Table:
        if len(self._tables) >= self.KEPT:
            self._tables.clear()
        font = key[0]
        if font not in self._pairs:
            self._pairs[font] = Pairs(self._glyphs, font)
        table = self._tables[key] = Table(self._glyphs, Setting(*key), self._pairs[font])
        return table

    def cores(self, run: Run, size_pt: float, squeeze: float, choke: float) -> RunPlan:
        """A run less the choke, as areas alone: what a knockout takes out of a flood."""
        key = (run.font, size_pt, squeeze, choke)
        ids = struct.unpack(f">{len(run.glyphs) // 2}H", run.glyphs)
        table = self._tables.get(key)
        if table is None:
            table = self._table(key)
        return Line(self._glyphs, table, ids, run.kerns).cores()

    def extent(self, run: Run, size_pt: float, squeeze: float) -> Bounds | None:
        """The box round a run's ink, mm in the field's box; None if it has no ink."""
        setting = Setting(run.font, size_pt, squeeze, 0.0)
        inks = [
            (at + ink[0], ink[1], at + ink[2], ink[3])
            for glyph, at in self.pens(run)
            if (ink := self._glyphs.ink(run.font, glyph)) is not None
        ]
        if not inks:
            return None
        x0, y0, x1, y1 = zip(*inks)
        return (
            run.x + min(x0) * setting.em_x,
            run.y + min(y0) * setting.em,
            run.x + max(x1) * setting.em_x,
            run.y + max(y1) * setting.em,
        )

    def boxes(self, fit: TextFit) -> list[tuple[Bounds, Run, int, float]]:
        """Each glyph that has ink: its box (mm in the field's box), run, id and pen (mm)."""
        found = []
        for run in fit.runs:
            setting = Setting(run.font, fit.size_pt, fit.squeeze, 0.0)
            em, em_x = setting.em, setting.em_x
            for glyph, at in self.pens(run):
                ink = self._glyphs.ink(run.font, glyph)
                if ink is not None:
                    x, y = run.x + at * em_x, run.y
                    x0, y0, x1, y1 = ink
                    box = (x + x0 * em_x, y + y0 * em, x + x1 * em_x, y + y1 * em)
                    found.append((box, run, glyph, x))
        return found

    def glyphs(
        self, fit: TextFit, wanted: Callable[[Bounds], bool] | None = None
    ) -> list[BaseGeometry]:
        """The ink of each glyph of a text, mm in the field's box; of those whose box is wanted."""
        return [
            geometry.placed(self._glyphs.area(run.font, fit.size_pt, fit.squeeze, glyph), x, run.y)
            for box, run, glyph, x in self.boxes(fit)
            if wanted is None or wanted(box)
        ]

    def area(self, fit: TextFit) -> BaseGeometry:
        """The ink of a text, mm in the field's box."""
        return joined(self.glyphs(fit))

    def pens(self, run: Run) -> list[tuple[int, float]]:
        """Each glyph of a run and its pen, in 1/1000 em from the run's start."""
        ids = struct.unpack(f">{len(run.glyphs) // 2}H", run.glyphs)
        pen, pens = 0.0, []
        for glyph, kern in zip(ids, run.kerns or repeat(0.0)):
            pens.append((glyph, pen))
            pen += self._glyphs.advance(run.font, glyph) - kern
        return pens

    def has_layers(self) -> bool:
        """Whether any font has glyphs that are layers of outlines in colours."""
        return self._glyphs.has_layers

    def layers(self, font: int) -> dict[int, tuple[GlyphLayer, ...]]:
        """Those glyphs of a font."""
        return self._glyphs.layers(font)
