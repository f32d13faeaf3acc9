"""Neighbours in a run: which pairs of glyphs of a font lie apart, at any size and squeeze.

In: glyph ids and kerns of runs. Out: whether each glyph meets no other. What is found is kept,
because pairs are few and repeat. Units: em is 1/1000 of the size.
"""

from __future__ import annotations

from vardata.dress.glyphs import Glyphs

_OVER = 100.0  # em: how far ink of an ordinary glyph hangs over its pen's way
_PAIRS = 100_000  # kept at a time


class Pairs:
    """The pairs of one font."""

    def __init__(self, glyphs: Glyphs, font: int) -> None:
        self._glyphs, self._font = glyphs, font
        self._apart: set[tuple[int, int, float]] = set()

    def all_apart(self, ids: tuple[int, ...], kerns: tuple[float, ...]) -> bool:
        """Whether no glyph of a run meets another; ``kerns`` as in ``marks.GlyphRun``."""
        kerns = kerns or (0.0,) * len(ids)
        return self._apart.issuperset(zip(ids, ids[1:], kerns)) or self._found(ids, kerns)

    def _found(self, ids: tuple[int, ...], kerns: tuple[float, ...]) -> bool:
        if len(self._apart) > _PAIRS:
            self._apart.clear()
        for pair in zip(ids, ids[1:], kerns):
            if pair not in self._apart:
                if not self._are_apart(*pair):
                    return False
                self._apart.add(pair)
        return True

    def _are_apart(self, left: int, right: int, kern: float) -> bool:
        """Whether the glyphs of a pair are apart, from each other and from others.

        No ink passes the next pen by more than ``_OVER``, none begins further before its own,
        and pens are at least twice that apart: so only neighbours can meet.
        """
        glyphs, font = self._glyphs, self._font
        one, other = glyphs.ink(font, left), glyphs.ink(font, right)
        (one_left, _, one_right, _), (other_left, _, other_right, _) = one or _NONE, other or _NONE
        step = glyphs.advance(font, left) - kern
        if step < 2 * _OVER or one_right - step > _OVER or other_left < -_OVER:
            return False
        if one_left < -_OVER or other_right - glyphs.advance(font, right) > 2 * _OVER:
            return False
        if one is None or other is None or one_right <= step + other_left:
            return True
        return glyphs.meet(font, left, right, round(step, 3)) is None


_NONE = (0.0, 0.0, 0.0, 0.0)  # a glyph without ink
