"""Texts of one box as marks in item mm: their ink, their white, their place.

In: a ``TextFit`` in its field's box. Out: glyph runs for any plate, and for a white plate the
runs with a choke and the areas that the plan of each run asks for. ``shift`` moves a text
within its box (a code's human-readable line goes with its code to the bed's dots).
"""

from __future__ import annotations

from typing import Any, NamedTuple

from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry, meeting
from vardata.dress.geometry import Bounds
from vardata.dress.runs import RunPlan
from vardata.dress.text import Texts
from vardata.fit.result import Run, TextFit
from vardata.job.model import Box
from vardata.marks import GlyphRun, Mark, Paint, Path, RunOnPlates, Share

STAY = (0.0, 0.0)
_new: Any = tuple.__new__  # what ``_make`` does, without asking for the number of values


class TextWhite(NamedTuple):
    """White for a text: runs filled and stroked, areas to be painted after them, and the
    smallest choke used."""

    runs: list[Mark]
    areas: list[Mark]
    least: float


class Lettering:
    """Brings the texts of one box, turned about its centre, into item mm."""

    def __init__(self, box: Box, rotation: float, texts: Texts) -> None:
        x, y, w, h = box
        self._texts = texts
        self.angle = rotation
        self._cos, self._sin = geometry.turn(rotation)
        self._upright = rotation % 360.0 == 0.0
        self._x, self._y = x, y
        if not self._upright:
            self._x += w / 2 - self._cos * w / 2 + self._sin * h / 2
            self._y += h / 2 - self._sin * w / 2 - self._cos * h / 2
        self._size = (w, h)

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A point of the box in item mm."""
        if self._upright:
            return self._x + x, self._y + y
        return (
            self._x + x * self._cos - y * self._sin,
            self._y + x * self._sin + y * self._cos,
        )

    def inside(self, ink: Bounds) -> bool:
        """Whether ink lies within the box."""
        w, h = self._size
        return ink[0] >= -1e-6 and ink[1] >= -1e-6 and ink[2] <= w + 1e-6 and ink[3] <= h + 1e-6

    def bounds(self, ink: Bounds, shift: tuple[float, float] = STAY) -> Bounds:
        """The upright rectangle in item mm round a rectangle of the box."""
        x0, y0, x1, y1 = ink[0] + shift[0], ink[1] + shift[1], ink[2] + shift[0], ink[3] + shift[1]
        if self._upright:
            return (self._x + x0, self._y + y0, self._x + x1, self._y + y1)
        corners = [self.at(x, y) for x in (x0, x1) for y in (y0, y1)]
        xs, ys = [c[0] for c in corners], [c[1] for c in corners]
        return (min(xs), min(ys), max(xs), max(ys))

    def area(
        self, fit: TextFit, shift: tuple[float, float] = STAY, within: Bounds | None = None
    ) -> BaseGeometry:
        """The true outline of the text's ink in item mm, or of that part which is ``within``."""
        origin = self.at(*shift)
        if within is None:
            return geometry.placed(self._texts.area(fit), *origin, self.angle)
        glyphs = self._texts.glyphs(
            fit, lambda box: chokes.overlap(self.bounds(box, shift), within)
        )
        placed = [geometry.placed(glyph, *origin, self.angle) for glyph in glyphs]
        # Cut to size one by one before they are joined: far fewer points to join.
        return geometry.union(geometry.clipped(glyph, within) for glyph in placed)

    def boxes(self, fit: TextFit, shift: tuple[float, float] = STAY) -> list[Bounds]:
        """An upright rectangle in item mm round each glyph's ink."""
        return [self.bounds(box, shift) for box, *_ in self._texts.boxes(fit)]

    def ink(
        self, plate: int, paint: Paint, fit: TextFit, shift: tuple[float, float] = STAY
    ) -> list[Mark]:
        """The text on one plate."""
        size, squeeze, angle = fit.size_pt, fit.squeeze, self.angle
        sx, sy = shift
        marks: list[Mark] = []
        for font, rx, ry, glyphs, kerns in fit.runs:
            x, y = self.at(rx + sx, ry + sy)
            marks.append(GlyphRun(plate, paint, font, size, x, y, angle, squeeze, glyphs, kerns))
        return marks

    def on_plates(self, shares: tuple[Share, ...], fit: TextFit) -> list[RunOnPlates] | None:
        """The text on all its plates at once, its choke as small as its letters want it; None if
        its white needs more than one choke."""
        size, squeeze, angle, plan = fit.size_pt, fit.squeeze, self.angle, self._texts.plan
        marks: list[RunOnPlates] = []
        borne: tuple[Share, ...] | None = None
        for run in fit.runs:
            even = shares
            for at, (plate, paint, choke) in enumerate(shares):
                if choke:
                    planned = plan(run, size, squeeze, choke)
                    if planned != choke:
                        if type(planned) is not float:
                            return None
                        even = (*even[:at], (plate, paint, planned), *even[at + 1 :])
            if borne is not None and even != borne:
                return None  # of different chokes the larger is painted first
            borne = even
            font, x, y, glyphs, kerns = run
            if self._upright:
                x, y = self._x + x, self._y + y
            else:
                x, y = self.at(x, y)
            marks.append(
                _new(RunOnPlates, (even, font, size, x, y, angle, squeeze, glyphs, kerns))
            )
        if len(marks) > 1:
            for (plate, _, choke), (_, _, least) in zip(shares, borne or shares):
                if self._between(plate, fit, choke, least, STAY):
                    return None
        return marks

    def white(
        self, plate: int, fit: TextFit, choke: float, shift: tuple[float, float] = STAY
    ) -> TextWhite:
        """The text's white, choked, if it stands alone."""
        size, squeeze, angle = fit.size_pt, fit.squeeze, self.angle
        runs: list[Mark] = []
        areas: list[Mark] = []
        least = choke
        sx, sy = shift
        for run in fit.runs:
            font, rx, ry, glyphs, kerns = run
            plan = self._texts.plan(run, size, squeeze, choke)
            if type(plan) is float:
                x, y = self.at(rx + sx, ry + sy)
                runs.append(
                    GlyphRun(plate, 1.0, font, size, x, y, angle, squeeze, glyphs, kerns, plan)
                )
                least = plan if plan < least else least
            elif isinstance(plan, RunPlan):
                for sub in plan.runs:
                    x, y = self.at(rx + sx + sub.x, ry + sy)
                    runs.append(
                        GlyphRun(
                            plate,
                            1.0,
                            font,
                            size,
                            x,
                            y,
                            angle,
                            squeeze,
                            sub.glyphs,
                            sub.kerns,
                            sub.choke,
                        )
                    )
                areas += self._areas(plate, 1.0, run, plan, shift)
                least = min(least, plan.least)
        if len(fit.runs) > 1:
            areas += self._between(plate, fit, choke, least, shift)
        return TextWhite(runs, areas, least)

    def cores(
        self, plate: int, fit: TextFit, choke: float, shift: tuple[float, float] = STAY
    ) -> list[Mark]:
        """What a knockout takes out of a flood for the text: areas at tint 0."""
        marks: list[Mark] = []
        for run in fit.runs:
            plan = self._texts.cores(run, fit.size_pt, fit.squeeze, choke)
            marks += self._areas(plate, 0.0, run, plan, shift)
        return marks

    def _areas(
        self, plate: int, tint: float, run: Run, plan: RunPlan, shift: tuple[float, float]
    ) -> list[Mark]:
        marks: list[Mark] = []
        for at, drawn in plan.areas:
            x, y = self.at(run.x + shift[0] + at, run.y + shift[1])
            marks.append(Path(plate, tint, drawn, x, y, self.angle))
        return marks

    def _between(
        self, plate: int, fit: TextFit, choke: float, least: float, shift: tuple[float, float]
    ) -> list[Mark]:
        """Seams where the runs of a text (lines, or fonts within a line) meet each other."""
        if choke <= 0:
            return []
        boxes = [self._texts.extent(run, fit.size_pt, fit.squeeze) for run in fit.runs]
        met = [
            (i, j)
            for i, one in enumerate(boxes)
            for j, other in enumerate(boxes[:i])
            if one is not None and other is not None and chokes.overlap(one, other)
        ]
        if not met:
            return []
        inks = {
            i: self._texts.area(fit._replace(runs=(fit.runs[i],))) for i in sorted({*sum(met, ())})
        }
        ink = geometry.union(inks.values())
        x, y = self.at(*shift)
        zones = meeting.zones_of(list(inks.values()), choke, least)
        drawn = meeting.seam(ink, zones) if zones else ()
        return [Path(plate, 1.0, drawn, x, y, self.angle)] if drawn else []
