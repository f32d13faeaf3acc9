"""Texts on an arc or a path as marks in item mm: their ink letter by letter, their white exact.

In: a ``TextFit`` with a turn for each run. Out: the same marks and areas as ``Lettering`` gives.
Letters that stand at angles to each other have no even choke to look up, so their white is drawn
from the joined outlines of the text.
"""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry
from vardata.dress.geometry import Bounds
from vardata.dress.lettering import STAY, Lettering, TextWhite
from vardata.fit.result import TextFit
from vardata.marks import GlyphRun, Mark, Paint, Path, RunOnPlates, Share


class CurveLettering(Lettering):
    """Brings texts whose letters are turned one by one into item mm."""

    def _letters(self, fit: TextFit) -> list[BaseGeometry]:
        """The ink of each letter, mm in the box."""
        out = []
        for run, turn in zip(fit.runs, fit.turns):
            flat = fit._replace(runs=(run._replace(x=0.0, y=0.0),), turns=())
            out += [geometry.placed(area, run.x, run.y, turn) for area in self._texts.glyphs(flat)]
        return out

    def area(
        self, fit: TextFit, shift: tuple[float, float] = STAY, within: Bounds | None = None
    ) -> BaseGeometry:
        ink = geometry.placed(geometry.union(self._letters(fit)), *self.at(*shift), self.angle)
        return ink if within is None else geometry.clipped(ink, within)

    def boxes(self, fit: TextFit, shift: tuple[float, float] = STAY) -> list[Bounds]:
        return [self.bounds(area.bounds, shift) for area in self._letters(fit)]

    def ink(
        self, plate: int, paint: Paint, fit: TextFit, shift: tuple[float, float] = STAY
    ) -> list[Mark]:
        marks: list[Mark] = []
        for run, turn in zip(fit.runs, fit.turns):
            x, y = self.at(run.x + shift[0], run.y + shift[1])
            marks.append(
                GlyphRun(plate, paint, run.font, fit.size_pt, x, y, self.angle + turn,
                         fit.squeeze, run.glyphs, run.kerns)
            )  # fmt: skip
        return marks

    def on_plates(self, shares: tuple[Share, ...], fit: TextFit) -> list[RunOnPlates] | None:
        return None

    def white(
        self, plate: int, fit: TextFit, choke: float, shift: tuple[float, float] = STAY
    ) -> TextWhite:
        ink = geometry.union(self._letters(fit))
        drawn = chokes.choked(ink, geometry.NOTHING, choke)
        return TextWhite([], self._drawn(plate, 1.0, drawn.white, shift), drawn.least)

    def cores(
        self, plate: int, fit: TextFit, choke: float, shift: tuple[float, float] = STAY
    ) -> list[Mark]:
        ink = geometry.union(self._letters(fit))
        return self._drawn(plate, 0.0, chokes.erode(ink, choke), shift)

    def _drawn(
        self, plate: int, tint: float, shape: BaseGeometry, shift: tuple[float, float]
    ) -> list[Mark]:
        drawn = geometry.commands(shape)
        return [Path(plate, tint, drawn, *self.at(*shift), self.angle)] if drawn else []


