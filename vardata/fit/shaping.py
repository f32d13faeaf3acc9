"""Text to glyphs, by uharfbuzz, with a fallback chain of fonts.

In: one line of text and a chain of faces. Out: a ``ShapedLine`` in 1/1000 em, good for every
size, because advances and ink scale linearly; or the first cluster that no font has. A
cluster (a base with its marks, a joined sequence) is never split between fonts.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from itertools import accumulate
from typing import NamedTuple

import uharfbuzz as hb

from vardata.fit.fonts import Bounds, Face, Glyph

_JOINER = "\u200d"
_NOTDEF = 0
_CACHED = 4096  # lines remembered; repeated words (roles, towns) are common, names are not


class ShapedRun(NamedTuple):
    """Glyphs of one face on one baseline, from (x, y) 1/1000 em; as ``marks.GlyphRun``."""

    font: int
    x: float
    y: float
    glyphs: bytes
    kerns: tuple[float, ...]


class ShapedLine(NamedTuple):
    """A line at 1000 units an em. ``ink`` is its true box, None where it has none."""

    text: str
    runs: tuple[ShapedRun, ...]
    advance: float
    ink: Bounds | None


class Missing(NamedTuple):
    """A cluster that no font of the chain can show."""

    cluster: str


def _is_ignorable(char: str) -> bool:
    """Default ignorable code points that need no glyph (UAX 44): joiners, marks of direction,
    variation selectors, the soft hyphen."""
    code = ord(char)
    return (
        code == 0xAD
        or code == 0x34F
        or 0x200B <= code <= 0x200F
        or 0x202A <= code <= 0x202E
        or 0x2060 <= code <= 0x206F
        or 0xFE00 <= code <= 0xFE0F
        or code == 0xFEFF
        or 0xE0100 <= code <= 0xE01EF
    )


def _extends(char: str) -> bool:
    """Whether a character belongs to the cluster before it (after UAX 29, GB9 and GB9a)."""
    return (
        unicodedata.category(char)[0] == "M"
        or _is_ignorable(char)
        or 0x1F3FB <= ord(char) <= 0x1F3FF  # skin tones
    )


def clusters(text: str) -> Iterator[str]:
    """Bases with all that joins them."""
    cluster = ""
    for char in text:
        if cluster and not (_extends(char) or cluster.endswith(_JOINER)):
            yield cluster
            cluster = ""
        cluster += char
    if cluster:
        yield cluster


def _covers(face: Face, cluster: str) -> bool:
    charset = face.charset
    if all(char in charset or _is_ignorable(char) for char in cluster):
        return True
    composed = unicodedata.normalize("NFC", cluster)
    return composed != cluster and all(c in charset or _is_ignorable(c) for c in composed)


def itemise(text: str, chain: tuple[Face, ...]) -> list[tuple[Face, str]] | Missing:
    """Stretches of text with the first face that has each cluster."""
    items: list[tuple[Face, str]] = []
    for cluster in clusters(text):
        last = items[-1][0] if items else None
        if last is not None and cluster.isspace() and _covers(last, cluster):
            face: Face | None = last  # a space stays with the word before it
        else:
            face = next((face for face in chain if _covers(face, cluster)), None)
        if face is None:
            return Missing(cluster)
        if face is last:
            items[-1] = (face, items[-1][1] + cluster)
        else:
            items.append((face, cluster))
    return items


class Shaper:
    """Shapes lines with one chain; remembers the latest."""

    def __init__(self, chain: tuple[Face, ...]) -> None:
        self._chain = chain
        self._first = chain[0]
        self._buffer = hb.Buffer()
        self._seen: dict[str, ShapedLine | Missing] = {}

    def shape(self, text: str) -> ShapedLine | Missing:
        found = self._seen.get(text)
        if found is None:
            if len(self._seen) >= _CACHED:
                self._seen.clear()
            found = self._seen[text] = self._shape(text)
        return found

    def _shape(self, text: str) -> ShapedLine | Missing:
        if self._first.charset.issuperset(text):
            items: list[tuple[Face, str]] | Missing = [(self._first, text)] if text else []
        else:
            items = itemise(text, self._chain)
        if isinstance(items, Missing):
            return items
        pen = 0.0
        runs: list[ShapedRun] = []
        ink: Bounds | None = None
        for face, part in items:
            shaped = self._run(face, part, pen)
            if shaped is None:
                return Missing(part)
            made, pen, box = shaped
            runs += made
            ink = box if ink is None else _joined(ink, box)
        return ShapedLine(text, tuple(runs), pen, ink)

    def _run(
        self, face: Face, text: str, pen: float
    ) -> tuple[list[ShapedRun], float, Bounds | None] | None:
        """One stretch: its runs, the pen after it, its ink. None where a glyph is missing."""
        buffer = self._buffer
        buffer.clear_contents()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        hb.shape(face.font, buffer)
        glyphs: list[int] = [info.codepoint for info in buffer.glyph_infos]
        if _NOTDEF in glyphs:
            return None
        positions = [position.position for position in buffer.glyph_positions]
        return _placed(face, glyphs, positions, pen)


def _placed(
    face: Face, glyphs: list[int], positions: list[tuple[int, int, int, int]], pen: float
) -> tuple[list[ShapedRun], float, Bounds | None]:
    """Glyphs with their positions as runs, one for each height of the baseline."""
    table = face.glyphs
    rows = [table[glyph] for glyph in glyphs]
    moves = [position[2] for position in positions]
    pens = list(accumulate(moves, initial=0))
    end = pens.pop()
    xs: list[int] = pens
    heights: list[int] | None = None
    if any([position[0] or position[1] for position in positions]):
        xs = [x + position[0] for x, position in zip(pens, positions)]
        heights = [position[1] for position in positions]
    scale = face.scale
    runs = [
        _cut(face, rows, xs, start, stop, pen, heights[start] if heights else 0)
        for start, stop in _levels(heights, len(rows))
    ]
    return runs, pen + end * scale, _ink(rows, xs, heights, scale, pen)


def _levels(heights: list[int] | None, count: int) -> Iterator[tuple[int, int]]:
    """Stretches of glyphs on one height."""
    start = 0
    if heights is not None:
        for index in range(1, count):
            if heights[index] != heights[start]:
                yield start, index
                start = index
    yield start, count


def _ink(
    rows: list[Glyph], xs: list[int], heights: list[int] | None, scale: float, pen: float
) -> Bounds | None:
    x0 = min([x + row[1] for x, row in zip(xs, rows)])
    x1 = max([x + row[3] for x, row in zip(xs, rows)])
    if heights is None:
        y0, y1 = min([row[2] for row in rows]), max([row[4] for row in rows])
    else:
        y0 = min([y + row[2] for y, row in zip(heights, rows)])
        y1 = max([y + row[4] for y, row in zip(heights, rows)])
    if x1 < x0:
        return None
    return (pen + x0 * scale, y0 * scale, pen + x1 * scale, y1 * scale)


def _cut(
    face: Face, rows: list[Glyph], xs: list[int], start: int, end: int, pen: float, height: int
) -> ShapedRun:
    """A run; its kerns are what each way falls short of the font's own advance."""
    scale = face.scale
    ways = [after - x for x, after in zip(xs[start : end - 1], xs[start + 1 : end])]
    own = [row[0] for row in rows[start : end - 1]]
    kerns: tuple[float, ...] = ()
    if ways != own:
        kerns = (*[round((o - w) * scale, 3) for o, w in zip(own, ways)], 0.0)
    ids = b"".join([row[5] for row in rows[start:end]])
    return ShapedRun(face.index, pen + xs[start] * scale, height * scale, ids, kerns)


def _joined(one: Bounds, other: Bounds | None) -> Bounds:
    if other is None:
        return one
    return (
        min(one[0], other[0]), min(one[1], other[1]), max(one[2], other[2]), max(one[3], other[3])
    )
