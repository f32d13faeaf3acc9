"""Letters set wider or closer than the font says.

In: a shaper and 1/1000 em between letters. Out: a shaper whose lines have that room. Marks stay
on their letters, and scripts whose letters join or hang from a line are left as they are: room
between them would tear the word.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from itertools import repeat

from vardata.fit.bidi import runs_both_ways
from vardata.fit.clusters import script_of
from vardata.fit.fonts import NO_INK, Face
from vardata.fit.outlines import Bounds
from vardata.fit.placing import ShapedLine, ShapedRun, Strip
from vardata.fit.shaping import Shaper, Unshapable
from vardata.job.model import TextField

STEP = 5  # 1/1000 em: how finely letters are brought closer; common practice, no source
# Joined: Arabic, Syriac, Mongolian, N'Ko; hung from a headline: Devanagari, Bengali, Gurmukhi.
_WHOLE = frozenset({"Arab", "Syrc", "Mong", "Nkoo", "Deva", "Beng", "Guru"})


def _is_whole(text: str) -> bool:
    """Whether letters must stay where they are: joined ones, and marks that are set before
    their letters, as from right to left."""
    if text.isascii():
        return False
    marked = any(unicodedata.category(char)[0] == "M" for char in text)
    return not _WHOLE.isdisjoint(map(script_of, text)) or (marked and runs_both_ways(text))


def closer_by_steps(field: TextField) -> Iterator[float]:
    """Ever less room between letters, down to the tightest that a field allows: the step
    "tracking"."""
    room, tightest = field.tracking - STEP, field.tightest
    while room > tightest:
        yield room
        room -= STEP
    if tightest < field.tracking:
        yield tightest


class TrackedShaper:
    """A shaper with so much more room (less, if negative) between the letters of a line."""

    def __init__(self, shaper: Shaper, chain: tuple[Face, ...], room: float) -> None:
        self._shaper = shaper
        self._faces = {face.index: face for face in chain}
        self._room = room

    def shape(
        self, text: str, levels: tuple[int, ...] | None = None
    ) -> ShapedLine | Unshapable:
        line = self._shaper.shape(text, levels)
        if isinstance(line, Unshapable) or _is_whole(text):
            return line
        return self._spread(line)

    def strip(self, text: str, edges: object) -> Strip | None:
        """None: each part of a line is spread by itself."""
        return None

    def _spread(self, line: ShapedLine) -> ShapedLine:
        runs: list[ShapedRun] = []
        boxes: list[Bounds] = []
        shift = 0.0
        started = False
        for run in line.runs:
            face = self._faces[run.font]
            ids = [run.glyphs[at : at + 2] for at in range(0, len(run.glyphs), 2)]
            glyphs = [face.glyphs[int.from_bytes(one, "big")] for one in ids]
            kerns: list[float] = []
            start = x = run.x + shift
            for number, (glyph, kern) in enumerate(zip(glyphs, run.kerns or repeat(0.0))):
                if glyph.advance and started:
                    shift += self._room
                    x += self._room
                    if number:
                        kerns[-1] -= self._room
                    else:
                        start = x
                started = started or bool(glyph.advance)
                if glyph.left != NO_INK:
                    scale = face.scale
                    boxes.append((x + glyph.left * scale, run.y + glyph.bottom * scale,
                                  x + glyph.right * scale, run.y + glyph.top * scale))  # fmt: skip
                kerns.append(kern)
                x += glyph.advance * face.scale - kern
            rounded = tuple(round(kern, 3) for kern in kerns)
            runs.append(ShapedRun(run.font, start, run.y, run.glyphs, rounded))
        if not boxes:
            return line._replace(runs=tuple(runs), advance=line.advance + shift)
        x0, y0, x1, y1 = zip(*boxes)
        ink = (min(x0), min(y0), max(x1), max(y1))
        return ShapedLine(tuple(runs), line.advance + shift, ink, line.blanks)
