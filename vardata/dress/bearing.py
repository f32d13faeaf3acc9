"""How large an erosion a glyph bears, found by trials, and only as closely as it is asked.

In: the area of a glyph. Out: whether it bears an erosion, and whether its strokes have one
width. The trials of a glyph come in an order of their own: what was asked before changes how
many of them are made, never an answer. Units: em is 1/1000 of the size.
"""

from __future__ import annotations

from bisect import bisect
from functools import cached_property

from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry

_LADDER = tuple(2.0 * 1.02**i for i in range(198))  # em: erosions tried, 2 to 100
_MEAN = 0.95  # of half the mean width of strokes: what a plain face bears
# A glyph whose ink is mostly thin at so many times what it bears has strokes of one width.
_ONE_WIDTH, _MOSTLY = 1.5, 0.5
_SEGMENTS = 4  # of a quarter of the disc; its chords leave the arc by 2 percent
_NOTHING = 1 / 40  # of the erosion: narrower white is left out of account
_CRUMB = 1e-3  # squares of the erosion: what is smaller is no ink


class Bearing:
    """One glyph.

    The first trial is near half the mean width of its strokes, so that few are needed; from
    there the two steps of the ladder that the answer lies between close in on it.
    """

    def __init__(self, shape: BaseGeometry) -> None:
        self._shape = shape
        # The largest step that it is known to bear, and the smallest that it is known not to.
        self._low, self._high = -1, len(_LADDER)
        half = _MEAN * shape.area / shape.length if shape.length else _LADDER[0]
        self._next, self._stride = min(bisect(_LADDER, half), len(_LADDER) - 1), 4

    def bears(self, em: float) -> bool:
        """Whether it bears an erosion without thin places."""
        while self._high - self._low > 1:
            if self._low >= 0 and em <= _LADDER[self._low]:
                return True
            if em > _LADDER[self._high - 1]:
                return False
            self._try()
        return em <= self.most

    @cached_property
    def most(self) -> float:
        """The largest step of the ladder (em) that it bears; 0 if it bears none."""
        while self._high - self._low > 1:
            self._try()
        return _LADDER[self._low] if self._low >= 0 else 0.0

    @cached_property
    def one_width(self) -> bool:
        """Whether its strokes are about as thin everywhere as where they are thinnest."""
        thin = self._thin(_ONE_WIDTH * max(self.most, _LADDER[0]))
        return bool(thin.area > _MOSTLY * self._shape.area)

    def _try(self) -> None:
        """The next trial."""
        step = self._next
        if self._thin(_LADDER[step]).is_empty:
            self._low = step
        else:
            self._high = step
        if self._low < 0 or self._high == len(_LADDER):  # one end is still open: longer strides
            step += self._stride if self._low >= 0 else -self._stride
            self._stride *= 2
        else:
            step = (self._low + self._high) // 2
        self._next = min(max(step, self._low + 1), self._high - 1)

    def _thin(self, by: float) -> BaseGeometry:
        """What an erosion by ``by`` em loses of it; white that is next to nothing is nothing."""
        white = geometry.areas(self._shape.buffer(-by, quad_segs=_SEGMENTS))
        white = white.simplify(_NOTHING * by, preserve_topology=False)
        return chokes.lacking(self._shape, white, by, _CRUMB * by * by)
