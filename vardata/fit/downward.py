"""Text set downwards: letters stand upright, one under the other, by uharfbuzz's own columns.

In: one line of text and a chain of faces. Out: a ``ShapedLine`` whose x runs down the column and
whose y runs across it, from the column's axis to the right; each glyph is a run of its own, its
(x, y) the glyph's origin. A font that has vertical metrics sets its letters by them, in the forms
that it has for columns (its feature vert; vrt2 is asked for as any other feature). Of a font that
has none each letter gets one em, or as much as its ink needs.

What it does not do: turn letters or words on their side (Latin letters and figures stand upright,
each by itself), set two figures side by side, turn a bracket for a font that has no form of it for
columns, or stack scripts whose letters join, hang from a line or stand before and after each other
in a syllable. Those texts are held.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from itertools import groupby

from vardata.fit.clusters import script_of
from vardata.fit.fonts import NO_INK, Face, Glyph
from vardata.fit.placing import NOTHING, Place, ShapedLine, ShapedRun, Strip, union
from vardata.fit.shaping import Shaper, Unshapable, empty_cluster
from vardata.fit.wordspace import WordSpace

# Scripts whose letters stand by themselves, so that they can be stacked: Latin, Greek, Cyrillic,
# Armenian, Georgian, Hebrew, Han, kana, bopomofo, Hangul, Yi; common practice, no source.
STACKED = frozenset(
    {"Latn", "Grek", "Cyrl", "Armn", "Geor", "Hebr", "Hani", "Hira", "Kana", "Bopo", "Hang", "Yiii"}
)
# Unicode 15.0, VerticalOrientation.txt: Tr, what needs another form in a column, or a turn.
_TURNED = frozenset(map(chr, (
    0x2329, 0x232A, *range(0x3008, 0x3012), *range(0x3014, 0x3020), 0x3030, 0x30A0, 0x30FC,
    *range(0xFE59, 0xFE5F), 0xFF08, 0xFF09, 0xFF1A, 0xFF1B, 0xFF3B, 0xFF3D, 0xFF3F,
    *range(0xFF5B, 0xFF61), 0xFFE3,
)))  # fmt: skip
# 1/1000 em, of fonts without vertical metrics; common practice, no source.
_LETTER, _BLANK, _ROOM = 1000.0, 500.0, 150.0


@lru_cache(maxsize=256)
def down_shaper(chain: tuple[Face, ...], features: tuple[str, ...], room: float) -> DownShaper:
    """The one shaper of a chain in this process; ``room`` is 1/1000 em between letters."""
    return DownShaper(chain, features, room)


class DownShaper(Shaper):
    """Shapes columns with one chain; remembers the latest."""

    def __init__(
        self, chain: tuple[Face, ...], features: tuple[str, ...] = (), room: float = 0.0
    ) -> None:
        super().__init__(chain, features)
        self._room = room
        self._forms = {"vert", "vrt2"}.intersection({"vert", *features})

    def strip(self, text: str, edges: Iterable[int]) -> Strip | None:
        """None: each column is shaped by itself."""
        return None

    def _space(self) -> WordSpace:
        return WordSpace.UNKNOWN  # words are joined along a line only

    def _shape(self, text: str, levels: tuple[int, ...] | None) -> ShapedLine | Unshapable:
        for char in text:
            if script_of(char) not in STACKED and script_of(char):
                return Unshapable("not-stacked", char)
        items = self._itemised(text)
        if isinstance(items, Unshapable):
            return items
        line = NOTHING
        for face, stretch in items:
            part = self._column(face, stretch, line.advance)
            if isinstance(part, Unshapable):
                return part
            line = union(line, part)
        return line._replace(advance=line.advance - self._room) if line.runs else line

    def _column(self, face: Face, text: str, start: float) -> ShapedLine | Unshapable:
        """One stretch in one font, from ``start`` down."""
        shaped = self._checked(face, text, "ttb")
        if isinstance(shaped, Unshapable):
            return shaped
        infos, glyphs, places = shaped
        empty = empty_cluster(text, infos, glyphs)
        if empty:
            return Unshapable("empty-glyph", empty)
        if self._forms.isdisjoint(face.features):
            for char in text:
                if char in _TURNED:
                    return Unshapable("no-column-form", char)
        line = NOTHING._replace(advance=start)
        for _, group in groupby(zip(infos, glyphs, places), key=lambda one: one[0].cluster):
            letter = [(glyph, place) for _, glyph, place in group]
            line = union(line, _letter(face, letter, line.advance))
            line = line._replace(advance=line.advance + self._room)
        return line._replace(advance=line.advance - start)


def _letter(face: Face, glyphs: list[tuple[Glyph, Place]], start: float) -> ShapedLine:
    """A letter with its marks; ``advance`` is its own. uharfbuzz's y runs up, ours down."""
    scale = face.scale
    pen, seen = 0, []
    for glyph, (dx, dy, _, way) in glyphs:
        seen.append((glyph, dx, pen + dy))
        pen += way
    inked = [(glyph, x, y) for glyph, x, y in seen if glyph.left != NO_INK]
    advance, shift = -pen * scale, 0.0
    if not inked:
        return ShapedLine((), advance if face.has_columns else _BLANK, None, len(seen))
    top = max(y + glyph.top for glyph, _, y in inked) * scale
    bottom = min(y + glyph.bottom for glyph, _, y in inked) * scale
    if not face.has_columns:
        advance = max(_LETTER, top - bottom + _ROOM)
        shift = (top + bottom) / 2 + advance / 2  # ink stands in the middle of what it gets
    runs = tuple(
        ShapedRun(face.index, start + shift - y * scale, x * scale, glyph.id, ())
        for glyph, x, y in inked
    )
    left = min(x + glyph.left for glyph, x, _ in inked) * scale
    right = max(x + glyph.right for glyph, x, _ in inked) * scale
    ink = (start + shift - top, left, start + shift - bottom, right)
    return ShapedLine(runs, advance, ink, len(seen) - len(inked))
