"""Runs of glyphs at one setting: what each glyph needs, and which runs need nothing special.

In: glyphs, a font, a size, a squeeze, a choke. Out: a table of glyphs, and whether the white
of a whole run is one fill and stroke.

Why fill and stroke is true. Let A and B be things that do not overlap, and let each be
filled and then stroked at tint 0, 2c wide. White that A keeps lies at least c inside A, so
at least c from B, and B's stroke reaches c beyond B: it cannot take any of it. With unequal
chokes the larger is painted first; the later fill puts back what the larger stroke took,
and the smaller stroke does not reach. Where glyphs do overlap, a stroke runs through the
other's ink; that white is put back as a seam, worked out from the joined outline.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Callable
from typing import NamedTuple

from vardata.dress.apart import Pairs
from vardata.dress.glyphs import DRAWN, Glyphs, GlyphWhite, Setting
from vardata.marks import Commands

# Chokes of one run that differ by no more than this share of the wanted one are drawn as the
# smallest of them: the white of a word has one even edge, and it is one operator.
_ALIKE = 0.5
_NOT_PLAIN = -2.0  # in place of a choke: areas are needed


class _Ids(dict[int, Callable[[bytes], tuple[int, ...]]]):
    """What takes the glyph ids out of so many bytes."""

    def __missing__(self, size: int) -> Callable[[bytes], tuple[int, ...]]:
        found = self[size] = struct.Struct(f">{size // 2}H").unpack
        return found


_IDS = _Ids()


class SubRun(NamedTuple):
    """Some glyphs of a run that share a choke; ``x`` mm from the run's origin."""

    choke: float
    x: float
    glyphs: bytes
    kerns: tuple[float, ...]


class RunPlan(NamedTuple):
    """White for one run whose glyphs need different things, mm from the run's origin.

    ``runs`` by falling choke; ``areas`` are (x, commands); ``least`` is the smallest choke.
    """

    runs: tuple[SubRun, ...]
    areas: tuple[tuple[float, Commands], ...]
    least: float


class Row(NamedTuple):
    """One glyph at one setting: advance and ink in em, and its white (None: no ink)."""

    advance: float
    left: float
    bottom: float
    right: float
    top: float
    white: GlyphWhite | None


class _Chokes(dict[int, float]):
    """The choke of each glyph; infinite without ink, ``_NOT_PLAIN`` where it takes areas."""

    def __init__(self, table: Table) -> None:
        super().__init__()
        self._table = table

    def __missing__(self, glyph: int) -> float:
        choke = self[glyph] = self._of(glyph)
        if choke in (self._table.setting.choke, math.inf):
            self._table.whole.add(glyph)
        return choke

    def _of(self, glyph: int) -> float:
        table = self._table
        if table.takes(glyph):
            return table.setting.choke
        white = table[glyph].white
        if white is None:
            return math.inf
        return _NOT_PLAIN if white.extras or white.choke == DRAWN else white.choke


class Table(dict[int, Row]):
    """Rows of one setting by glyph id, made when first asked for."""

    def __init__(self, glyphs: Glyphs, setting: Setting, pairs: Pairs) -> None:
        super().__init__()
        self._glyphs, self.setting, self._pairs = glyphs, setting, pairs
        self._chokes = _Chokes(self)
        self.whole: set[int] = set()  # glyphs that bear the whole choke, or have no ink
        self._eaten, self._wanted = glyphs.eaten(setting), setting.choke

    def __missing__(self, glyph: int) -> Row:
        font = self.setting.font
        advance, ink = self._glyphs.advance(font, glyph), self._glyphs.ink(font, glyph)
        if ink is None:
            row = Row(advance, 0.0, 0.0, 0.0, 0.0, None)
        else:
            row = Row(advance, *ink, self._glyphs.white(self.setting, glyph))
        self[glyph] = row
        return row

    def takes(self, glyph: int) -> bool:
        """Whether a glyph has ink that takes the whole choke, as nearly all do; no row is made
        for that."""
        font, glyphs = self.setting.font, self._glyphs
        return glyphs.ink(font, glyph) is not None and glyphs.takes(font, glyph, self._eaten)

    def even(self, glyphs: bytes, kerns: tuple[float, ...]) -> float | None:
        """The choke that serves a whole run of glyphs that lie apart; None if not sure.

        ``glyphs`` and ``kerns`` as in ``marks.GlyphRun``.
        """
        ids = _IDS[len(glyphs)](glyphs)
        choke: float | None = self._wanted
        if not self.whole.issuperset(ids):
            choke = self._choke(ids)
        return choke if choke is not None and self._pairs.all_apart(ids, kerns) else None

    def _choke(self, ids: tuple[int, ...]) -> float | None:
        """The smallest choke of the glyphs, if that serves all of them."""
        wanted = self.setting.choke
        chokes = list(map(self._chokes.__getitem__, ids))
        least = min(chokes, default=math.inf)
        if least == math.inf or least == _NOT_PLAIN:
            return None
        alike = least >= _ALIKE * wanted or {least, math.inf}.issuperset(chokes)
        return least if alike else None
