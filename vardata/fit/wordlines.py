"""Lines put together from words, each shaped once: names are distinct, their words are not.

In: one line of text, a font in which words know nothing of each other across a space
(``fit.wordspace``), and its shaper. Out: the ``ShapedLine`` that shaping the whole gives; None
where a text is not of plain letters of one script, or a word of it cannot be shaped, so that it
must be shaped as a whole. Which way a text takes depends on the text alone.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, NamedTuple

from vardata.fit.bidi import runs_both_ways
from vardata.fit.clusters import script_of
from vardata.fit.fonts import NO_INK, Face, Glyph
from vardata.fit.placing import Place, ShapedLine, ShapedRun
from vardata.fit.wordspace import SCRIPTS, WordSpace

_CACHED = 16384  # words of one script
_LONGEST = 40  # characters of a word that is remembered
_CUT = "\n"  # which no line has
_APART = {WordSpace.APART: _CUT + " ", WordSpace.KERNED: " " + _CUT + " "}
_FRACTION = "\u2044"  # the shaper makes fractions of the figures on either side
_LATIN = "Latn"
_new: Any = tuple.__new__  # what ``_make`` does, without asking for the number of values

# Glyphs and places of a text in a script, one plain stretch; None if it cannot be shaped.
Shape = Callable[[str, str], tuple[list[Glyph], list[Place]] | None]


class _Word(NamedTuple):
    """A word and the space before it, in the font's own units from where the space begins."""

    way: int
    glyphs: bytes
    kerns: tuple[float, ...]  # as in ``ShapedRun``, the last one too; () if there are none
    left: float
    bottom: float
    right: float
    top: float


class _Words(dict[str, _Word | None]):
    """The words of one script by how they stand in a line, each made once."""

    def __init__(self, make: Callable[[str], _Word | None]) -> None:
        self._make = make

    def __missing__(self, part: str) -> _Word | None:
        found = self._make(part)
        if len(part) <= _LONGEST:
            if len(self) >= _CACHED:
                self.clear()
            self[part] = found
        return found


class WordLines:
    """The lines of one font. ``space`` is what its space does to words."""

    def __init__(self, face: Face, space: WordSpace, shape: Shape) -> None:
        self._face, self._shape = face, shape
        self._index, self._scale = face.index, face.scale
        self._apart = _APART[space]
        self._words = {script: _Words(partial(self._word, script)) for script in SCRIPTS}

    def line(self, text: str) -> ShapedLine | None:
        """One line of several words."""
        words = self._words.get(script_of(text[0]) or _script(text))
        if words is None or _CUT in text:
            return None
        x0, y0, x1, y1 = NO_INK, NO_INK, -NO_INK, -NO_INK
        pen, glyphs, kerns = 0, [], []
        for part in text.replace(" ", self._apart).split(_CUT):
            word = words[part]
            if word is None:
                return None
            way, ids, own, left, bottom, right, top = word
            left += pen
            right += pen
            x0 = left if left < x0 else x0
            y0 = bottom if bottom < y0 else y0
            x1 = right if right > x1 else x1
            y1 = top if top > y1 else y1
            pen += way
            glyphs.append(ids)
            kerns.append(own)
        scale = self._scale
        ink = (x0 * scale, y0 * scale, x1 * scale, y1 * scale)
        joined = _joined(glyphs, kerns) if any(kerns) else ()
        run = _new(ShapedRun, (self._index, 0.0, 0.0, b"".join(glyphs), joined))
        line: ShapedLine = _new(ShapedLine, ((run,), pen * scale, ink, len(glyphs) - 1))
        return line

    def _word(self, script: str, part: str) -> _Word | None:
        """A word as it stands between its spaces; None if it cannot be set by itself."""
        letters = part.strip(" ")
        if not letters or not self._is_plain(letters, script):
            return None
        shaped = self._shape(part, script)
        if shaped is None:
            return None
        x0, y0, x1, y1 = NO_INK, NO_INK, -NO_INK, -NO_INK
        pen, ids, short, blanks = 0, [], [], 0
        for (own, left, bottom, right, top, glyph), (shift, rise, way, _) in zip(*shaped):
            if shift or rise:
                return None
            blanks += left == NO_INK
            left += pen
            right += pen
            x0 = left if left < x0 else x0
            y0 = bottom if bottom < y0 else y0
            x1 = right if right > x1 else x1
            y1 = top if top > y1 else y1
            pen += way
            ids.append(glyph)
            short.append(own - way)
        if blanks != len(part) - len(letters):
            return None
        if part[-1] == " ":  # what follows the word begins with that space
            pen -= way
            ids.pop()
            short.pop()
        kerns = tuple(map(self._face.kerns.__getitem__, short)) if any(short) else ()
        return _Word(pen, b"".join(ids), kerns, x0, y0, x1, y1)

    def _is_plain(self, letters: str, script: str) -> bool:
        """Whether the font has all letters, and each of them stands by itself."""
        if not self._face.characters.issuperset(letters):
            return False
        if script == _LATIN and letters.isascii():
            return letters.isprintable()
        return (
            all(unicodedata.category(char)[0] in "LNPS" for char in letters)
            and {*map(script_of, letters), "", script} == {"", script}
            and _FRACTION not in letters
            and not runs_both_ways(letters)
        )


def _script(text: str) -> str:
    """The script of the first letter that has one of its own."""
    return next(filter(None, map(script_of, text)), "")


def _joined(
    glyphs: Sequence[bytes], kerns: Sequence[tuple[float, ...]]
) -> tuple[float, ...]:
    """The kerns of all words; nothing follows the last glyph, so its own does not matter."""
    found: list[float] = []
    for ids, own in zip(glyphs, kerns):
        found += own or (0.0,) * (len(ids) // 2)
    found[-1] = 0.0
    return tuple(found) if any(found) else ()
