"""Text to glyphs, by uharfbuzz, with a fallback chain of fonts.

In: one line of text and a chain of faces. Out: a ``ShapedLine`` in 1/1000 em, good for every
size because advances and ink scale linearly; or an ``Unshapable``, which says why not. A
cluster (a base with its marks, a joined sequence) is never split between fonts. Text that runs
from right to left, or both ways, comes out in the order in which it is seen (``fit.bidi``).
Shaping knows no locale, so that the same text gives the same glyphs on every machine.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property, lru_cache
from itertools import groupby
from typing import Any, NamedTuple, TypeAlias

import uharfbuzz as hb

from vardata.fit.bidi import in_visual_order, levels_of, runs_both_ways
from vardata.fit.clusters import clusters, is_blank, is_ignorable, is_torn, script_of, scripts
from vardata.fit.fonts import NO_INK, Face, Glyph
from vardata.fit.placing import NOTHING, Place, ShapedLine, Strip, placed, union
from vardata.fit.wordlines import WordLines
from vardata.fit.wordspace import WordSpace, word_space

_NOTDEF = 0  # OpenType: glyph 0 stands for every character a font has not
_CACHED = 4096  # lines remembered: roles and towns repeat, names do not
LONGEST_KEPT = 200  # characters: a cell may hold 32,767, and thousands of those fill a memory
_UNDETERMINED = "und"  # BCP 47
_TIED = int(hb.GlyphFlags.UNSAFE_TO_BREAK)  # a line's edge before this glyph would change it


class Unshapable(NamedTuple):
    """A text that cannot be set: ``part`` is what no font can show."""

    why: str  # missing-glyph, empty-glyph, colour-glyph; in columns not-stacked, no-column-form
    part: str


Checked: TypeAlias = tuple[Sequence[Any], list[Glyph], list[Place]]  # infos, glyphs, places


class _Shaped(NamedTuple):
    """What the shaper said of the text it saw last."""

    face: Face
    text: str
    infos: Sequence[Any]
    glyphs: list[Glyph]
    places: list[Place]


@lru_cache(maxsize=256)
def shaper(
    chain: tuple[Face, ...], features: tuple[str, ...] = (), layers: bool = False
) -> Shaper:
    """The one shaper of a chain in this process, with OpenType features by their tags; ``layers``:
    glyphs in colours of their own are taken if they are outlines."""
    return Shaper(chain, features, layers)


class Shaper:
    """Shapes lines with one chain of at least one face; remembers the latest."""

    def __init__(
        self, chain: tuple[Face, ...], features: tuple[str, ...] = (), layers: bool = False
    ) -> None:
        self._chain = chain
        self._layers = layers
        # "smcp" switches a feature on, "-liga" one off.
        self._features = {tag.lstrip("-"): not tag.startswith("-") for tag in features} or None
        self._first = chain[0]
        self._buffer = hb.Buffer()
        self._buffer.flags = hb.BufferFlags.REMOVE_DEFAULT_IGNORABLES
        self._seen: dict[str | tuple[str, tuple[int, ...]], ShapedLine | Unshapable] = {}
        self._shown: dict[tuple[int, str], bool] = {}
        self._latest = _Shaped(self._first, "", (), [], [])

    def shape(self, text: str, levels: tuple[int, ...] | None = None) -> ShapedLine | Unshapable:
        """One line: no line breaks in ``text``.

        ``levels`` (``fit.bidi``) are those of the paragraph that the line is a part of; by
        default the line is all of it.
        """
        if levels is None and " " in text and (words := self._words):
            line = words.line(text)
            if line is not None:
                return line
        key = text if levels is None else (text, levels)
        found = self._seen.get(key)
        if found is None:
            found = self._shape(text, levels)
            if len(text) <= LONGEST_KEPT:
                if len(self._seen) >= _CACHED:
                    self._seen.clear()
                self._seen[key] = found
        return found

    def _shape(self, text: str, levels: tuple[int, ...] | None) -> ShapedLine | Unshapable:
        if levels is None and self._is_plain(text):
            return self._part(self._first, text, 0.0, 0)
        items: list[tuple[int, tuple[Face, str]]] = []
        for level, stretch in _level_runs(text, levels):
            found = self._itemised(stretch)
            if isinstance(found, Unshapable):
                return found
            items += [(level, item) for item in found]
        line = NOTHING
        for level, (face, stretch) in in_visual_order(items):
            part = self._part(face, stretch, line.advance, level)
            if isinstance(part, Unshapable):
                return part
            line = union(line, part)
        return line

    @cached_property
    def _words(self) -> WordLines | None:
        """Lines put together from words, if the first font lets them stand by themselves."""
        space = self._space()
        return None if space == WordSpace.UNKNOWN else WordLines(self._first, space, self._word)

    def _space(self) -> WordSpace:
        asked = (tag for tag, is_on in (self._features or {}).items() if is_on)
        return word_space(self._first, frozenset(asked))

    def _word(self, text: str, script: str) -> tuple[list[Glyph], list[Place]] | None:
        shaped = self._checked(self._first, text, "ltr", script)
        return None if isinstance(shaped, Unshapable) else shaped[1:]

    def _is_plain(self, text: str) -> bool:
        """Whether a text is one stretch of the first font, from left to right."""
        if not self._first.characters.issuperset(text):
            return False
        return text.isascii() or (_is_one_script(text) and not runs_both_ways(text))

    def strip(self, text: str, edges: Iterable[int]) -> Strip | None:
        """One line that may be cut before the characters ``edges``.

        None where a cut would change a glyph or its place, or where ``text`` is not one plain
        stretch of the first font: then each part must be shaped by itself.
        """
        if not self._is_plain(text):
            return None
        if self._latest[:2] == (self._first, text):
            _, _, infos, glyphs, places = self._latest
        else:
            shaped = self._checked(self._first, text, "ltr")
            if isinstance(shaped, Unshapable):
                return None
            infos, glyphs, places = shaped
            blanks = [glyph.left for glyph in glyphs].count(NO_INK)
            spaces = text.count(" ")
            if blanks == len(glyphs) or (blanks > spaces and empty_cluster(text, infos, glyphs)):
                return None
        starts = [info.cluster for info in infos]
        for edge in edges:
            if edge not in starts or int(infos[starts.index(edge)].flags) & _TIED:
                return None
        return Strip(self._first, starts, glyphs, places)

    # ------------------------------------------------------------ which font

    def face_for_all(self, text: str) -> Face | None:
        """The first face that can show every cluster of a text; None if none can."""
        parts = list(clusters(text))
        for face in self._chain:
            if all(self._can_show(face, cluster) for cluster in parts):
                return face
        return None

    def _itemised(self, text: str) -> list[tuple[Face, str]] | Unshapable:
        """Stretches of one script and of the first face that has each cluster."""
        items: list[tuple[Face, str]] = []
        for stretch in scripts(text):
            begun = len(items)
            for cluster in clusters(stretch):
                last = items[-1][0] if items else None
                face = self._face_for(cluster, last)
                if face is None:
                    return Unshapable("missing-glyph", cluster)
                if face is last and len(items) > begun:
                    items[-1] = (face, items[-1][1] + cluster)
                else:
                    items.append((face, cluster))
        return items

    def _face_for(self, cluster: str, last: Face | None) -> Face | None:
        # A blank keeps to the word before it, so that it does not cut a line in three.
        if last is not None and is_blank(cluster[0]) and self._can_show(last, cluster):
            return last
        return next((face for face in self._chain if self._can_show(face, cluster)), None)

    def _can_show(self, face: Face, cluster: str) -> bool:
        if face.characters.issuperset(cluster):
            return True
        key = (face.index, cluster)
        found = self._shown.get(key)
        if found is None:
            if len(self._shown) >= _CACHED:
                self._shown.clear()
            found = self._shown[key] = self._can_compose(face, cluster)
        return found

    def _can_compose(self, face: Face, cluster: str) -> bool:
        """Whether the shaper can make a cluster of what the font has: composed or decomposed
        forms, spaces of another width, a hyphen for a no-break hyphen."""
        if all(map(is_ignorable, cluster)):
            return True
        if is_torn(cluster):
            return False  # the shaper would show U+FFFD for it
        infos, _ = self._raw(face, cluster)
        return bool(infos) and all(info.codepoint != _NOTDEF for info in infos)

    # ------------------------------------------------------------ glyphs

    def _raw(
        self, face: Face, text: str, direction: str | None = None, script: str | None = None
    ) -> tuple[Any, Any]:
        """What uharfbuzz says of a text, with the font's default features and those asked for."""
        buffer = self._buffer
        buffer.clear_contents()
        buffer.add_str(text)
        buffer.language = _UNDETERMINED
        if direction is not None:
            buffer.direction = direction
        if script is not None:
            buffer.script = script
        buffer.guess_segment_properties()
        hb.shape(face.font, buffer, self._features)
        return buffer.glyph_infos, buffer.glyph_positions

    def _part(self, face: Face, text: str, pen: float, level: int) -> ShapedLine | Unshapable:
        """One stretch in one font; on an odd level it runs from right to left."""
        shaped = self._checked(face, text, "rtl" if level % 2 else "ltr")
        if isinstance(shaped, Unshapable):
            return shaped
        infos, glyphs, positions = shaped
        if not glyphs:
            return NOTHING
        line = placed(face, glyphs, positions, pen)
        if line.blanks > text.count(" ") and (empty := empty_cluster(text, infos, glyphs)):
            return Unshapable("empty-glyph", empty)
        self._latest = _Shaped(face, text, infos, glyphs, positions)
        return line

    def _checked(
        self, face: Face, text: str, direction: str, script: str | None = None
    ) -> Checked | Unshapable:
        """Glyphs of one stretch that can all be drawn, as uharfbuzz places them."""
        infos, places = self._raw(face, text, direction, script)
        numbers = [info.codepoint for info in infos]
        if _NOTDEF in numbers:
            return Unshapable("missing-glyph", text)
        if face.coloured:
            refused = face.unprintable if self._layers else face.coloured
            if not refused.isdisjoint(numbers):
                return Unshapable("colour-glyph", _coloured(refused, text, infos))
        glyphs = list(map(face.glyphs.__getitem__, numbers))
        return infos, glyphs, [place.position for place in places or ()]  # None if empty


def _level_runs(text: str, levels: Sequence[int] | None) -> Iterator[tuple[int, str]]:
    """Stretches of one level, in the order in which they are read."""
    if levels is None:
        if not runs_both_ways(text):
            yield 0, text
            return
        levels = levels_of(text)
    start = 0
    for level, run in groupby(levels):
        end = start + len(list(run))
        yield level, text[start:end]
        start = end


def _is_one_script(text: str) -> bool:
    return len({*map(script_of, text), ""}) <= 2  # "" is what all scripts share


def _coloured(refused: frozenset[int], text: str, infos: Sequence[Any]) -> str:
    """The first cluster that the font draws in colours of its own."""
    start = min(info.cluster for info in infos if info.codepoint in refused)
    return next(clusters(text[start:]))


def empty_cluster(text: str, infos: Sequence[Any], glyphs: Sequence[Glyph]) -> str:
    """The first cluster that ought to be seen but leaves no ink; "" if there is none."""
    seen = dict.fromkeys((info.cluster for info in infos), False)
    for info, glyph in zip(infos, glyphs):
        if glyph.right > glyph.left:
            seen[info.cluster] = True
    starts = sorted(seen)
    for start, end in zip(starts, [*starts[1:], len(text)]):
        part = text[start:end]
        if not seen[start] and not all(map(is_blank, part)):
            return part
    return ""
