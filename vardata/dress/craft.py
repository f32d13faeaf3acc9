"""What a machine can print of a text: thinnest stroke and counter, smallest letters, the edge.

In: the layout's limits and the fit of a text. Out: a ``Problem`` where a true outline is finer than
the machine prints. Widths are found once for each glyph, in 1/1000 em, and scaled; a squeeze
makes strokes narrower at most by itself, so what is told errs on the safe side.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from functools import lru_cache

from shapely.geometry.base import BaseGeometry

from vardata.dress import geometry, outline
from vardata.dress.decoration import Edges
from vardata.dress.geometry import Bounds
from vardata.dress.glyphs import Glyphs
from vardata.dress.ink import Ink
from vardata.dress.widths import apart, narrowest, thinnest
from vardata.fit.fontbook import FontBook
from vardata.fit.result import TextFit
from vardata.job.layout import Craft, Layout
from vardata.problems import Problem, Severity, Where
from vardata.units import MM_PER_PT

_FINE = 2  # outlines within a quarter of 1/1000 em
_BARE = Edges()
_LARGER = "set it larger (size, min_size), or in a bolder font"


_One = tuple[int, int]  # font, glyph
_Found = tuple[str, str, str] | None  # kind, what, remedy


def _em(fit: TextFit) -> float:
    """mm of 1/1000 em."""
    return fit.size_pt * MM_PER_PT / 1000.0


def _at(fit: TextFit) -> str:
    return f"at {fit.size_pt:g} pt"


class CraftCheck:
    """Checks the texts of one layout."""

    def __init__(self, layout: Layout, craft: Craft, book: FontBook, glyphs: Glyphs) -> None:
        self._craft, self._book, self._glyphs = craft, book, glyphs
        self._stroke = lru_cache(maxsize=20_000)(self._stroke_of)
        self._counter = lru_cache(maxsize=20_000)(self._counter_of)
        self._apart = lru_cache(maxsize=20_000)(self._apart_of)
        self._edge = outline.flood(layout, 0.0)[1].boundary
        self._safe = layout.safe
        self._inner = outline.flood(layout, -layout.safe)[1]

    def _stroke_of(self, font: int, glyph: int) -> float:
        return thinnest(self._glyphs.outline(font, glyph, _FINE)[0])

    def _counter_of(self, font: int, glyph: int) -> float:
        return narrowest(self._glyphs.outline(font, glyph, _FINE)[0])

    def _apart_of(self, font: int, glyph: int) -> float:
        return apart(self._glyphs.outline(font, glyph, _FINE)[0])

    def problem(
        self, field: str, fit: TextFit, ink: Ink, chokes_below: Iterable[float], bounds: Bounds,
        area: Callable[[], BaseGeometry], edges: Edges = _BARE,
    ) -> Problem | None:
        """The first thing that is too fine; ``bounds`` and ``area`` are the ink's, in item mm;
        ``edges`` tell what an outline and a contour do to the edges of letters.

        Kinds: ``thin-stroke``, ``thin-white``, ``small-counter``, ``small-gap``, ``small-letters``,
        ``near-edge``.
        """
        glyphs = {
            (run.font, number)
            for run in fit.runs
            for at in range(0, len(run.glyphs), 2)
            if self._glyphs.ink(
                run.font, number := int.from_bytes(run.glyphs[at : at + 2], "big")
            )
        }
        found = (
            self._thin(fit, glyphs, ink.kind == "white", chokes_below, edges)
            or self._closed(fit, glyphs, ink.kind == "white", edges)
            or self._joined(fit, glyphs, edges)
            or self._small(fit, glyphs)
            or self._near(bounds, area)
        )
        if found is None:
            return None
        kind, what, remedy = found
        return Problem(kind, Severity.HOLD, what, remedy, Where(field=field), fit.text)

    def _thin(
        self, fit: TextFit, glyphs: set[_One], knocked: bool, below: Iterable[float],
        edges: Edges,
    ) -> _Found:
        craft = self._craft
        if not glyphs or not (craft.min_stroke or craft.min_knockout or craft.min_white):
            return None
        whole = min(self._stroke(*one) for one in glyphs) * _em(fit) * fit.squeeze
        stroke = max(0.0, whole - 2 * edges.inset)
        word, least = ("stroke", craft.min_stroke)
        if knocked:
            word, least = ("knocked-out stroke", craft.min_knockout)
        if stroke < least:
            what = f"the thinnest {word} is {stroke:.3f} mm {_at(fit)}, "
            return "thin-stroke", f"{what}the least that prints is {least:g} mm", _LARGER
        for choke in below:
            left = max(0.0, whole + 2 * edges.ground - 2 * choke)
            if left < craft.min_white:
                what = f"the white under the thinnest stroke is {left:.3f} mm {_at(fit)} after "
                what += f"its choke, the least that prints is {craft.min_white:g} mm"
                return "thin-white", what, _LARGER
        return None

    def _closed(
        self, fit: TextFit, glyphs: set[_One], knocked: bool, edges: Edges
    ) -> _Found:
        """Counters that ink would close; those of knocked-out text are colour, which has to print
        as any stroke."""
        least, prints = self._craft.min_counter, self._craft.min_stroke if knocked else 0.0
        if not glyphs or not (least or prints):
            return None
        counter = min(self._counter(*one) for one in glyphs) * _em(fit) * fit.squeeze
        counter = max(0.0, counter - 2 * edges.outset)
        if counter < least:
            what = f"the smallest counter is {counter:.3f} mm wide {_at(fit)}, "
            return "small-counter", f"{what}the least that stays open is {least:g} mm", _LARGER
        if counter < prints:
            what = f"the colour in the smallest counter is {counter:.3f} mm wide {_at(fit)}, "
            return "small-counter", f"{what}the least that prints is {prints:g} mm", _LARGER
        return None

    def _joined(self, fit: TextFit, glyphs: set[_One], edges: Edges) -> _Found:
        """Parts of a letter that would run together."""
        least = self._craft.min_gap
        if not glyphs or not least:
            return None
        gap = min(self._apart(*one) for one in glyphs) * _em(fit) * fit.squeeze
        gap = max(0.0, gap - 2 * edges.outset)
        if gap >= least:
            return None
        what = f"the parts of a letter (accent, dot) are {gap:.3f} mm apart {_at(fit)}, "
        return "small-gap", f"{what}the least that stays open is {least:g} mm", _LARGER

    def _small(self, fit: TextFit, glyphs: set[_One]) -> _Found:
        least = self._craft.min_x_height
        if not least:
            return None
        heights = [self._x_height(font) for font in sorted({font for font, _ in glyphs})]
        height = min((one for one in heights if one), default=math.inf) * _em(fit)
        if height >= least:
            return None
        what = f"small letters are {height:.2f} mm high {_at(fit)}, the least is {least:g} mm"
        return "small-letters", what, "set it larger (size, min_size)"

    def _near(self, bounds: Bounds, area: Callable[[], BaseGeometry]) -> _Found:
        if not self._craft.keep_safe or self._inner.covers(geometry.rectangle(bounds)):
            return None
        shape = area()
        if self._inner.covers(shape):
            return None
        off = float(self._edge.distance(shape))
        what = f"its ink comes to {off:.2f} mm from the edge of the item, "
        what += f"past the safe edge at {self._safe:g} mm"
        return "near-edge", what, "move the field's box inwards, or shorten the text"

    def _x_height(self, font: int) -> float:
        """The height of the font's own small x; 0 in a font without."""
        face = self._book.face(font)
        glyph = face.font.get_nominal_glyph(ord("x"))
        ink = self._glyphs.ink(font, glyph) if glyph else None
        return ink[3] if ink else 0.0
