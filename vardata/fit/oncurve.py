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
from vardata.fit.tracking import TrackedShaper, closer_by_steps
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


class _Straight(NamedTuple):
    """A text on a straight line at 1000 units an em."""

    letters: tuple[_Letter, ...]
    advance: float
    block: Block
    tracking: float


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
        straight = self._straight(tidy, self._field.tracking)
        if isinstance(straight, Unshapable):
            return unshapable(straight, text, self._chain)
        if not straight.block.width:
            return no_ink(text)
        for limits in self._sizes.limits:
            closer = limits.last == "tracking"
            for room in closer_by_steps(self._field) if closer else (straight.tracking,):
                straight = self._again(straight, tidy, room)
                for setting in self._settings(straight.block, limits):
                    fit = self._placed(text, straight, setting)
                    if self._inside(fit.ink):
                        return fit
        limits = self._sizes.limits[-1]
        needed = straight.block.width * UNIT * limits.smallest * limits.narrowest
        return curve_too_short(text, self._field, needed, self._track.length, limits)

    def fit_as(self, text: str, size: GroupSize) -> TextFit | Problem:
        """The text with the settings of its group, or why it cannot be set with them."""
        alone = self.fit(text)
        if isinstance(alone, Problem):
            return alone
        if (alone.size_pt, alone.squeeze, alone.tracking) == (*size[:2], size.tracking):
            return alone
        straight = self._straight(tidied(text), size.tracking)
        assert isinstance(straight, _Straight)
        fit = self._placed(text, straight, Setting(size.size_pt, size.squeeze))
        long = straight.advance * size.size_pt * UNIT * size.squeeze
        if long <= self._track.length and self._inside(fit.ink):
            return fit
        return bent_not_as_group(text, size)

    def _straight(self, tidy: str, room: float) -> _Straight | Unshapable:
        """A text on a straight line, with so much room between letters."""
        plain = shaper(self._chain, self._field.features)
        line = (TrackedShaper(plain, self._chain, room) if room else plain).shape(tidy)
        if isinstance(line, Unshapable):
            return line
        letters = tuple(self._letters(line, after=runs_both_ways(tidy)))
        wide = max(line.advance, line.ink[2] - line.ink[0]) if line.ink is not None else 0.0
        return _Straight(letters, line.advance, Block((line,), wide, 0.0, 0.0), room)

    def _again(self, straight: _Straight, tidy: str, room: float) -> _Straight:
        """The same with other room between letters."""
        found = straight if room == straight.tracking else self._straight(tidy, room)
        assert isinstance(found, _Straight)
        return found

    def _settings(self, block: Block, limits: Limits) -> Iterator[Setting]:
        """The best setting for the length, then ever smaller sizes: the box may be too low."""
        setting = self._sizes.setting(block, (limits,))
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

    def _placed(self, text: str, straight: _Straight, setting: Setting) -> TextFit:
        unit = setting.size * UNIT
        across = unit * setting.squeeze
        start = (self._track.length - straight.advance * across) * _SHARE[self._field.align]
        runs: list[Run] = []
        turns: list[float] = []
        boxes: list[Bounds] = []
        for letter in straight.letters:
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
            text, setting.size, setting.squeeze, 1, tuple(runs), ink_box, straight.tracking,
            tuple(turns),
        )  # fmt: skip

    def _inside(self, ink: Bounds) -> bool:
        _, _, w, h = self._field.box
        return ink[0] >= 0 and ink[1] >= 0 and ink[2] <= w and ink[3] <= h
