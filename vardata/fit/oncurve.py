"""Fits a text onto an arc or a path: each letter stands on the line, turned with it.

In: a text, its field with ``arc`` or ``along``, its fonts. Out: a ``TextFit`` with a run and a
turn for each letter, whose ink lies in the field's box, or a ``Problem``. The same limits as in
a box, but the length is that of the line, and there is one line of text.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import repeat
from typing import NamedTuple

from vardata.fit.bidi import runs_both_ways
from vardata.fit.block import Block, tidied
from vardata.fit.fonts import Face
from vardata.fit.groupsize import GroupSize
from vardata.fit.outlines import Bounds
from vardata.fit.placing import ShapedLine
from vardata.fit.refusal import (
    bent_not_as_group,
    curve_too_short,
    no_ink,
    too_many_lines,
    unshapable,
)
from vardata.fit.result import Run, TextFit
from vardata.fit.shaping import Unshapable, shaper
from vardata.fit.sizing import UNIT, Limits, Setting, Sizes
from vardata.fit.track import ArcTrack, PathTrack, Track, path_commands
from vardata.fit.tracking import TrackedShaper
from vardata.job.model import TextField
from vardata.problems import Problem

_SHARE = {"left": 0.0, "centre": 0.5, "right": 1.0}
_ANY_HEIGHT = 1e6


class _Letter(NamedTuple):
    """One glyph as it stands on a straight line: pen and rise in 1/1000 em, and the stretch of
    its base, by whose middle it is turned."""

    face: Face
    glyph: int
    x: float
    y: float
    start: float
    wide: float


def track_of(field: TextField) -> Track:
    """The line of a field, in mm from the corner of its box."""
    x, y, w, h = field.box
    if field.arc is not None:
        return ArcTrack(field.arc, w / 2, h / 2)
    return PathTrack(path_commands(field.along), x, y)


class CurveFitter:
    """One field that stands on a line, with its fonts."""

    def __init__(self, field: TextField, chain: tuple[Face, ...]) -> None:
        self._field, self._chain = field, chain
        plain = shaper(chain, field.features)
        self._shaper = TrackedShaper(plain, chain, field.tracking) if field.tracking else plain
        self._faces = {face.index: face for face in chain}
        self._track = track_of(field)
        # One line as long as the track; how high its ink may be only the box can say.
        long = field.model_copy(
            update={"box": (0.0, 0.0, self._track.length, _ANY_HEIGHT), "lines": 1}
        )
        self._sizes = Sizes(long)

    def fit(self, text: str) -> TextFit | Problem:
        tidy = tidied(text)
        if "\n" in tidy:
            lines = tidy.count("\n") + 1
            return too_many_lines(text, lines, self._field.model_copy(update={"lines": 1}))
        line = self._shaper.shape(tidy)
        if isinstance(line, Unshapable):
            return unshapable(line, text, self._chain)
        if line.ink is None:
            return no_ink(text)
        letters = list(self._letters(line, after=runs_both_ways(tidy)))
        block = Block((line,), max(line.advance, line.ink[2] - line.ink[0]), 0.0, 0.0)
        for limits in self._sizes.limits:
            for setting in self._settings(block, limits):
                fit = self._placed(text, letters, line.advance, setting)
                if self._inside(fit.ink):
                    return fit
        limits = self._sizes.limits[-1]
        needed = block.width * UNIT * limits.smallest * limits.narrowest
        return curve_too_short(text, self._field, needed, self._track.length, limits)

    def fit_as(self, text: str, size: GroupSize) -> TextFit | Problem:
        """The text with the settings of its group, or why it cannot be set with them."""
        alone = self.fit(text)
        if isinstance(alone, Problem) or (alone.size_pt, alone.squeeze) == size[:2]:
            return alone
        line = self._shaper.shape(tidied(text))
        assert isinstance(line, ShapedLine)
        letters = list(self._letters(line, after=runs_both_ways(tidied(text))))
        fit = self._placed(text, letters, line.advance, Setting(size.size_pt, size.squeeze))
        long = line.advance * size.size_pt * UNIT * size.squeeze
        if long <= self._track.length and self._inside(fit.ink):
            return fit
        return bent_not_as_group(text, size)

    def _settings(self, block: Block, limits: Limits) -> Iterator[Setting]:
        """The best setting for the length, then ever smaller sizes: the box may be too low."""
        setting = self._sizes.setting(block, limits)
        while setting is not None and setting.size >= limits.smallest - 1e-9:
            yield setting
            size = round(setting.size - self._field.size_step, 6)
            wide = self._sizes.width / (block.width * UNIT * size) if size > 0 else 0.0
            setting = Setting(size, min(1.0, math.floor(wide * 1000) / 1000)) if wide else None

    def _letters(self, line: ShapedLine, after: bool) -> Iterator[_Letter]:
        """The letters of a line. A mark without an advance of its own turns with its base: the
        letter before it, or ``after`` it in a line that runs from right to left."""
        for run in line.runs:
            face, pen = self._faces[run.font], run.x
            ids = [int.from_bytes(run.glyphs[at : at + 2], "big") for at in
                   range(0, len(run.glyphs), 2)]  # fmt: skip
            ways = [face.glyphs[one].advance * face.scale for one in ids]
            pens = []
            for way, kern in zip(ways, run.kerns or repeat(0.0)):
                pens.append(pen)
                pen += way - kern
            order = range(len(ids) - 1, -1, -1) if after else range(len(ids))
            base = (pens[order[0]], ways[order[0]])
            found = {}
            for at in order:
                if ways[at]:
                    base = (pens[at], ways[at])
                found[at] = _Letter(face, ids[at], pens[at], run.y, *base)
            yield from (found[at] for at in range(len(ids)))

    def _placed(
        self, text: str, letters: list[_Letter], advance: float, setting: Setting
    ) -> TextFit:
        unit = setting.size * UNIT
        across = unit * setting.squeeze
        start = (self._track.length - advance * across) * _SHARE[self._field.align]
        runs: list[Run] = []
        turns: list[float] = []
        boxes: list[Bounds] = []
        for letter in letters:
            middle = (letter.start + letter.wide / 2) * across
            spot = self._track.spot(start + middle)
            c, s = math.cos(math.radians(spot.angle)), math.sin(math.radians(spot.angle))
            dx, dy = letter.x * across - middle, letter.y * unit
            x, y = spot.x + c * dx - s * dy, spot.y + s * dx + c * dy
            ink = letter.face.extents(letter.glyph)
            if ink is None:
                continue
            left, low, right, top = ink
            corners = [(px * across, py * unit) for px in (left, right) for py in (low, top)]
            xs = [x + c * px - s * py for px, py in corners]
            ys = [y + s * px + c * py for px, py in corners]
            boxes.append((min(xs), min(ys), max(xs), max(ys)))
            glyph = letter.glyph.to_bytes(2, "big")
            runs.append(Run(letter.face.index, round(x, 4), round(y, 4), glyph, ()))
            turns.append(round(spot.angle, 4))
        x0, y0, x1, y1 = zip(*boxes)
        ink_box = (min(x0), min(y0), max(x1), max(y1))
        return TextFit(
            text, setting.size, setting.squeeze, 1, tuple(runs), ink_box, self._field.tracking,
            tuple(turns),
        )  # fmt: skip

    def _inside(self, ink: Bounds) -> bool:
        _, _, w, h = self._field.box
        return ink[0] >= 0 and ink[1] >= 0 and ink[2] <= w and ink[3] <= h
