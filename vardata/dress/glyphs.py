"""What the choke needs to know of single glyphs, worked out once and kept.

In: outlines of the font book, a size, a squeeze, a choke. Out: how a glyph gets its white,
where two glyphs of a run meet, and the white that is missing there. Every answer follows
from its arguments alone, never from what was asked before, so any order of records gives
the same marks. Units: em is 1/1000 of the size; everything else is mm from the pen.
"""

from __future__ import annotations

import math
from functools import cached_property, lru_cache
from typing import NamedTuple

import shapely
from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry
from vardata.dress.bearing import Bearing
from vardata.dress.geometry import FLAT, NOTHING, Bounds
from vardata.fit.colourglyphs import GlyphLayer
from vardata.fit.fontbook import FontBook
from vardata.marks import Commands
from vardata.memo import Memo
from vardata.units import MM_PER_PT

DRAWN = -1.0  # in place of a choke: the glyph's white is drawn as an area
_SIZE_STEP = 1.05  # sizes for which the white of thin places is worked out
_EVEN_STEPS = (0.9, 0.8, 0.7, 0.6, 0.5, 0.25, 0.0)  # of the choke, all along such strokes
# With more than this part of its white in thin places, a glyph is thin all over.
_THIN_UNEVEN = 0.9


class GlyphWhite(NamedTuple):
    """How one glyph gets its white.

    ``choke`` (mm) is for a fill at tint 1 and a stroke at tint 0; 0 is a plain fill and
    ``DRAWN`` no fill at all. ``extras`` are areas of white to be painted afterwards.
    ``least`` is the smallest choke used in it anywhere.
    """

    choke: float
    extras: Commands
    least: float


class Setting(NamedTuple):
    """How glyphs are set: what their white depends on besides themselves."""

    font: int
    size_pt: float
    squeeze: float
    choke: float

    @property
    def em(self) -> float:
        """Height of 1/1000 em in mm."""
        return self.size_pt * MM_PER_PT / 1000.0

    @property
    def em_x(self) -> float:
        """Width of 1/1000 em in mm, squeezed."""
        return self.size_pt * MM_PER_PT * self.squeeze / 1000.0


class Glyphs:
    """Answers about the glyphs of a font book, each kept once it is known.

    ``dot`` is the larger dot of the print mode, in mm. ``memo`` is shared by processes that have
    the same fonts and dot.
    """

    def __init__(self, book: FontBook, dot: float, memo: Memo | None = None) -> None:
        self._book, self._dot = book, dot
        shared = (memo or Memo()).shared
        self.outline = lru_cache(maxsize=20_000)(self._outline)
        self.area = lru_cache(maxsize=20_000)(self._area)
        self.bearing = lru_cache(maxsize=20_000)(self._bearing)
        self.white = lru_cache(maxsize=100_000)(self._white)
        self.thin = lru_cache(maxsize=20_000)(shared("thin", self._thin_places))
        self.core = lru_cache(maxsize=100_000)(self._core)
        self.meet = lru_cache(maxsize=100_000)(self._meet)
        self.seam = lru_cache(maxsize=100_000)(self._seam)

    def ink(self, font: int, glyph: int) -> Bounds | None:
        """Extents in em, or None for a blank glyph."""
        return self._book.face(font).extents(glyph)

    def advance(self, font: int, glyph: int) -> float:
        """The pen's way in em."""
        return self._book.face(font).advance(glyph)

    def _outline(self, font: int, glyph: int, fine: int) -> tuple[BaseGeometry, bool]:
        """The area in em, curves within 2^-fine em, and whether its rings are its edge."""
        face = self._book.face(font)
        parts = []
        for inked in face.inked(glyph):
            flat = geometry.flatten(face.outline(inked), 2.0**-fine)
            parts.append(geometry.filled([points for points, _ in flat if len(points) > 2]))
        # The rings of layers are not those of the glyph that stands for them.
        return parts[0] if len(parts) == 1 else (joined([area for area, _ in parts]), False)

    def layers(self, font: int) -> dict[int, tuple[GlyphLayer, ...]]:
        """The glyphs of a font that are layers of outlines in colours."""
        return self._book.face(font).layers

    @cached_property
    def has_layers(self) -> bool:
        """Whether any font has such glyphs."""
        return any(self._book.face(font).layers for font in range(len(self._book)))

    def _area(self, font: int, size_pt: float, squeeze: float, glyph: int) -> BaseGeometry:
        """The area in mm from the glyph's origin, curves within ``FLAT``."""
        setting = Setting(font, size_pt, squeeze, 0.0)
        fine = math.ceil(-math.log2(FLAT / setting.em))
        shape, _ = self.outline(font, glyph, fine)
        return geometry.placed(shape, 0.0, 0.0, 0.0, setting.em_x, setting.em)

    def _bearing(self, font: int, glyph: int) -> Bearing:
        return Bearing(self.outline(font, glyph, 1)[0])

    def takes(self, font: int, glyph: int, em: float) -> bool:
        """Whether a fill and stroke leave a glyph enough white everywhere, its strokes eaten by
        ``em`` on each side."""
        return self._tidy(font, glyph) and self.bearing(font, glyph).bears(em)

    def _tidy(self, font: int, glyph: int) -> bool:
        """Whether the rings of an outline are its edge; looked at closely only if in doubt."""
        return self.outline(font, glyph, 1)[1] or self.outline(font, glyph, 2)[1]

    def eaten(self, setting: Setting) -> float:
        """How far (em) a stroke at tint 0 eats into the white of a glyph. Renderers paint every
        dot that a stroke touches (ISO 32000-1, 10.6.4, from memory; so does Ghostscript): up to
        a dot more on each side. A squeeze makes strokes thinner at most by itself, so this errs
        on the safe side."""
        return (setting.choke + self._dot) / setting.em_x

    def _white(self, setting: Setting, glyph: int) -> GlyphWhite:
        """The white of one glyph that stands alone.

        A glyph with enough white everywhere is filled and stroked: white under two dots wide is
        not left to a stroke. One that has too little, with strokes of one width, is filled and
        stroked with a smaller choke, or plainly filled: the edge of its white stays even. In any
        other, areas are added in the thin places, with the full choke where that leaves anything.
        Rings that cross each other have areas only.
        """
        font, size, squeeze, choke = setting
        if choke <= 0:
            return GlyphWhite(0.0, (), 0.0)
        if self.takes(font, glyph, self.eaten(setting)):
            return GlyphWhite(choke, (), choke)
        if not self._tidy(font, glyph):
            drawn = chokes.choked(self.area(font, size, squeeze, glyph), NOTHING, choke)
            return GlyphWhite(DRAWN, geometry.commands(drawn.white), drawn.least)
        bearing = self.bearing(font, glyph)
        smaller = 0.0
        for part in _EVEN_STEPS:
            if bearing.bears(self.eaten(setting._replace(choke=choke * part))):
                smaller = round(choke * part, 6)
                break
        if bearing.one_width:
            return GlyphWhite(smaller, (), smaller)
        step = _SIZE_STEP ** math.floor(math.log(size, _SIZE_STEP) + 1e-9)
        saved, least, uneven = self.thin(setting._replace(size_pt=step), glyph)
        if saved.is_empty:
            return GlyphWhite(choke, (), choke)
        if uneven:
            return GlyphWhite(smaller, (), smaller)
        larger = size / step
        saved = geometry.placed(saved, 0.0, 0.0, 0.0, larger, larger)
        return GlyphWhite(choke, geometry.commands(saved, _coarse(least)), least)

    def _thin_places(self, setting: Setting, glyph: int) -> tuple[BaseGeometry, float, bool]:
        """White that areas add in thin places, the smallest choke in it, and whether the glyph
        is thin all over.

        Asked for at steps of size, a few percent below the size itself: what is thin there is
        thin no more once it is enlarged, and its choke grows with it.
        """
        font, size, squeeze, choke = setting
        ink = self.area(font, size, squeeze, glyph)
        full = chokes.choked(ink, NOTHING, choke, self._dot, (1.0, *chokes.STEPS))
        uneven = full.saved.area > _THIN_UNEVEN * full.white.area
        return full.saved, full.least, uneven

    def _core(self, setting: Setting, glyph: int) -> Commands:
        """The glyph's area less the choke, for a knockout."""
        font, size, squeeze, choke = setting
        ink = self.area(font, size, squeeze, glyph)
        return geometry.commands(chokes.erode(ink, choke))

    def _meet(self, font: int, left: int, right: int, apart: float) -> Bounds | None:
        """Where two glyphs whose pens are ``apart`` em overlap: bounds in em, or None."""
        one = self.outline(font, left, 2)[0]
        other = geometry.placed(self.outline(font, right, 2)[0], apart, 0.0)
        if not one.intersects(other):
            return None
        bounds: Bounds = one.intersection(other).bounds
        return bounds

    def _seam(
        self,
        setting: Setting,
        members: tuple[tuple[int, float], ...],
        zone: Bounds,
        least: float,
    ) -> Commands:
        """The white of joined glyphs within a zone: what choking them one by one misses.

        ``members`` are glyphs and their pens (em) from the origin of ``zone`` (mm).
        """
        font, size, squeeze, choke = setting
        around = geometry.rectangle(grown(zone, 2 * choke))
        ink = geometry.union(
            geometry.placed(
                self.area(font, size, squeeze, glyph), at * setting.em_x, 0.0
            ).intersection(around)
            for glyph, at in members
        )
        white = chokes.erode(ink, least)
        white = geometry.areas(white.intersection(geometry.rectangle(zone)))
        return geometry.commands(white, _coarse(least))


def _coarse(least: float) -> float:
    """How far (mm) white may leave its true outline: a fifth of what lies between it and the
    edge of the colour, at most 0.01, a quarter of a 600 dpi dot. It is drawn a record at a
    time, and points are bytes."""
    return min(0.01, max(FLAT, least / 5))


def grown(bounds: Bounds, by: float) -> Bounds:
    """A bounding box moved outwards on all sides."""
    return (bounds[0] - by, bounds[1] - by, bounds[2] + by, bounds[3] + by)


def joined(glyphs: list[BaseGeometry]) -> BaseGeometry:
    """The ink of many glyphs at once."""
    return geometry.areas(shapely.union_all(glyphs)) if glyphs else NOTHING
