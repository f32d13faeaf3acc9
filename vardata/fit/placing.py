"""Shaped glyphs as runs: where each stands, what is kerned, where the ink ends.

In: the glyphs of one stretch of text in one font, and the places that the shaper gave them, in
the font's own units. Out: a ``ShapedLine`` in 1/1000 em. No knowledge of text or fallback.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate, groupby
from operator import add, sub
from typing import NamedTuple

from vardata.fit.fonts import NO_INK, Face, Glyph
from vardata.fit.outlines import Bounds

# As uharfbuzz gives it: x offset, y offset, x advance, y advance.
Place = tuple[int, int, int, int]


class ShapedRun(NamedTuple):
    """Glyphs of one face on one baseline, from (x, y) 1/1000 em; as ``marks.GlyphRun``."""

    font: int
    x: float
    y: float
    glyphs: bytes
    kerns: tuple[float, ...]


class ShapedLine(NamedTuple):
    """A line, or a part of one, at 1000 units an em.

    ``advance`` is the pen's way over it. ``ink`` is its true box, None where it has none.
    ``blanks`` counts the glyphs without ink.
    """

    runs: tuple[ShapedRun, ...]
    advance: float
    ink: Bounds | None
    blanks: int


NOTHING = ShapedLine((), 0.0, None, 0)


def placed(face: Face, glyphs: list[Glyph], places: list[Place], pen: float) -> ShapedLine:
    """One stretch, its pen starting at ``pen`` 1/1000 em. ``glyphs`` are not empty."""
    own, lefts, bottoms, rights, tops, ids = zip(*glyphs)
    shifts, rises, ways, _ = zip(*places)
    xs = list(accumulate(ways, initial=0))
    end = xs.pop()
    scale = face.scale
    if any(rises) or any(shifts):
        xs = list(map(add, xs, shifts))
        bottoms, tops = tuple(map(add, bottoms, rises)), tuple(map(add, tops, rises))
        runs = tuple(
            _run(face, own[a:b], tuple(map(sub, xs[a + 1 : b], xs[a:])), ids[a:b],
                 pen + xs[a] * scale, rises[a] * scale)
            for a, b in _levels(rises)
        )  # fmt: skip
    else:
        runs = (_run(face, own, ways, ids, pen, 0.0),)
    blanks = lefts.count(NO_INK)
    if blanks == len(ids):
        return ShapedLine(runs, end * scale, None, blanks)
    ink = (
        pen + min(map(add, xs, lefts)) * scale,
        min(bottoms) * scale,
        pen + max(map(add, xs, rights)) * scale,
        max(tops) * scale,
    )
    return ShapedLine(runs, end * scale, ink, blanks)


def _levels(rises: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Stretches of glyphs on one height: a run has no rise of its own."""
    start = 0
    for _, group in groupby(rises):
        end = start + len(list(group))
        yield start, end
        start = end


def _run(
    face: Face,
    own: tuple[int, ...],
    ways: tuple[int, ...],
    ids: tuple[bytes, ...],
    x: float,
    y: float,
) -> ShapedRun:
    """A run; its kerns are what the way to the next glyph falls short of the font's advance.

    Nothing follows the last glyph of a run, so its own way does not matter.
    """
    kerns: tuple[float, ...] = ()
    if ways != own:
        short = list(map(sub, own[:-1], ways))
        if any(short):
            kern = face.kerns
            kerns = (*[kern[units] for units in short], 0.0)
    return ShapedRun(face.index, x, y, b"".join(ids), kerns)


def union(one: ShapedLine, other: ShapedLine) -> ShapedLine:
    """Two parts of a line, the second set where the first ends."""
    ink = one.ink or other.ink
    if one.ink and other.ink:
        (a, b, c, d), (e, f, g, h) = one.ink, other.ink
        ink = min(a, e), min(b, f), max(c, g), max(d, h)
    return ShapedLine(
        one.runs + other.runs, one.advance + other.advance, ink, one.blanks + other.blanks
    )


class Strip:
    """A line shaped as a whole that may be cut: each part looks as if it were shaped alone.

    ``starts`` are the characters that the glyphs begin with, in rising order.
    """

    def __init__(
        self, face: Face, starts: list[int], glyphs: list[Glyph], places: list[Place]
    ) -> None:
        self._face = face
        self._starts = starts
        self._glyphs = glyphs
        self._places = places

    def line(self, start: int, end: int) -> ShapedLine:
        """The characters from ``start`` up to ``end`` on a line of their own."""
        a, b = self._stretch(start, end)
        return placed(self._face, self._glyphs[a:b], self._places[a:b], 0.0) if a < b else NOTHING

    def inks(self, words: Iterable[tuple[int, int]]) -> tuple[list[float], list[float]]:
        """Where the ink of each stretch of characters begins and ends, in 1/1000 em along the
        whole line. One without ink begins after its end."""
        _, lefts, _, rights, _, _ = zip(*self._glyphs)
        shifts, _, ways, _ = zip(*self._places)
        xs = list(map(add, accumulate(ways, initial=0), shifts))
        lefts, rights = tuple(map(add, xs, lefts)), tuple(map(add, xs, rights))
        stretches = [self._stretch(start, end) for start, end in words]
        scale = self._face.scale
        return (
            [min(lefts[a:b], default=NO_INK) * scale for a, b in stretches],
            [max(rights[a:b], default=-NO_INK) * scale for a, b in stretches],
        )

    def _stretch(self, start: int, end: int) -> tuple[int, int]:
        return bisect_left(self._starts, start), bisect_left(self._starts, end)
