"""Fits a text into its field's box: how many lines, which size, how much squeeze.

In: a text, its field, its fonts. Out: a ``TextFit`` whose ink, overhangs included, lies in the
box, or a ``Problem`` that holds the record. How far each limit goes is ``fit.sizing``'s, where
lines break ``fit.breaking``'s, and which glyphs stand for a text ``fit.shaping``'s.
"""

from __future__ import annotations

import math
from typing import Any

from vardata.fit.block import Block, Breaks, stacked, tidied
from vardata.fit.fonts import Face
from vardata.fit.groupsize import GroupSize
from vardata.fit.refusal import no_ink, not_as_group, too_long, too_many_lines, unshapable
from vardata.fit.result import Run, TextFit
from vardata.fit.shaping import LONGEST_KEPT, Shaper, Unshapable, shaper
from vardata.fit.sizing import PLAY, UNIT, Limits, Setting, Sizes
from vardata.fit.tracking import TrackedShaper, closer_by_steps
from vardata.job.model import TextField
from vardata.problems import Problem

# How much of the room that is left lies before the text: left of it, below it.
_SHARE = {"left": 0.0, "centre": 0.5, "right": 1.0, "bottom": 0.0, "middle": 0.5, "top": 1.0}
_FITTERS = 256  # fields remembered in a process
_CACHED = 2048  # texts remembered for a field: roles and towns repeat, names do not
_new: Any = tuple.__new__  # what ``_make`` does, without asking for the number of values


def fit_text(
    text: str, field: TextField, chain: tuple[Face, ...], layers: bool = False
) -> TextFit | Problem:
    """Fits ``text`` (not empty) into ``field.box``; coordinates are mm in the box, unturned.

    ``chain`` has at least one face. One font sets the whole text if one has all of it, so that
    a name is not patched letter by letter; else each cluster takes the first font that has it.
    ``layers``: glyphs in colours of their own are taken if they are outlines.
    The problem's kind is ``missing-glyph``, ``empty-glyph``, ``colour-glyph``, ``no-ink`` or
    ``text-too-long``.
    """
    if len(chain) > 1 and not chain[0].characters.issuperset(text):
        chain = led(chain, text)
    # A field is known by its identity, because its hash takes longer than a fit; the fitter
    # keeps the field alive, so that no other field gets the same identity.
    key = (id(field), chain, layers)
    fitter = _fitters.get(key)
    if fitter is None:
        if len(_fitters) >= _FITTERS:
            _fitters.clear()
        fitter = _fitters[key] = TextFitter(field, chain, layers)
    return fitter.fit(text)


def fit_in_group(
    text: str, field: TextField, chain: tuple[Face, ...], size: GroupSize, layers: bool = False
) -> TextFit | Problem:
    """The same, with the size, squeeze and lines that the text's group has.

    The problem's kind may be ``group-size`` too: the group was printed with sizes that are too
    large for this text.
    """
    if len(chain) > 1 and not chain[0].characters.issuperset(text):
        chain = led(chain, text)
    return TextFitter(field, chain, layers).fit_as(text, size)


def led(chain: tuple[Face, ...], text: str) -> tuple[Face, ...]:
    """The chain with the first font in front that can set the whole text by itself."""
    leader = shaper(chain).face_for_all(tidied(text).replace("\n", " "))
    if leader is None:
        return chain
    return (leader, *(face for face in chain if face is not leader))


class TextFitter:
    """One field with its fonts."""

    def __init__(self, field: TextField, chain: tuple[Face, ...], layers: bool = False) -> None:
        self._field = field
        self._layers = layers
        self._chain = chain
        self._tracking = field.tracking
        self._shaper = self._tracked(self._tracking)
        self._sizes = Sizes(field)
        self._leading = field.leading * 1000.0
        self._box = field.box[2:]
        self._by_ink = field.align_by == "ink"
        self._across = _SHARE[field.align]
        self._up = _SHARE[field.valign]
        self._seen: dict[str, TextFit | Problem] = {}

    def _tracked(self, room: float) -> Shaper | TrackedShaper:
        plain = shaper(self._chain, self._field.features, self._layers)
        return TrackedShaper(plain, self._chain, room) if room else plain

    def fit(self, text: str) -> TextFit | Problem:
        found = self._seen.get(text)
        if found is None:
            found = self._fit(text)
            if len(text) <= LONGEST_KEPT:
                if len(self._seen) >= _CACHED:
                    self._seen.clear()
                self._seen[text] = found
        return found

    def _fit(self, text: str) -> TextFit | Problem:
        tidy = tidied(text)
        if "\n" in tidy:
            return self._loosened(text, Breaks(tidy, self._shaper, self._leading))
        line = self._shaper.shape(tidy)
        if isinstance(line, Unshapable):
            return unshapable(line, text, self._chain)
        alone = stacked((line,), self._leading)
        if not alone.width:
            return no_ink(text)
        steps = self._sizes.of_one_line
        setting = self._sizes.setting(alone, steps)
        if setting is not None:  # as most do: no need to think of breaks
            return self._placed(text, alone, setting)
        return self._loosened(text, Breaks(tidy, self._shaper, self._leading, alone), len(steps))

    def fit_as(self, text: str, size: GroupSize) -> TextFit | Problem:
        """The text with the settings of its group; on fewer lines if it has not so many words."""
        breaks = Breaks(tidied(text), self._tracked(size.tracking), self._leading)
        for lines in range(size.lines, breaks.fewest - 1, -1):
            block = self._block(text, breaks, lines)
            if isinstance(block, Problem):
                return block
            if block is None:
                continue
            setting = Setting(size.size_pt, size.squeeze)
            if self._sizes.fits(block, setting):
                return self._placed(text, block, setting, size.tracking)
        return not_as_group(text, size)

    def _loosened(self, text: str, breaks: Breaks, done: int = 0) -> TextFit | Problem:
        """Loosens one limit after another until the text fits. So many as ``done`` did not do, for
        a text that has no line breaks of its own."""
        fewest = breaks.fewest
        if fewest > self._field.lines:
            return too_many_lines(text, fewest, self._field)
        tried, tracking = fewest if done else fewest - 1, self._tracking
        for limits in self._sizes.limits[done:]:
            # More lines are allowed now, and nothing else: fewer have failed before.
            start = tried + 1 if limits.last == "lines" else fewest
            for room in closer_by_steps(self._field) if limits.last == "tracking" else (tracking,):
                if room != tracking:
                    tracking = room
                    breaks = Breaks(tidied(text), self._tracked(room), self._leading)
                best = self._best(text, breaks, limits, start)
                if isinstance(best, Problem):
                    return best
                if best:
                    return self._placed(text, *best, tracking)
            tried = max(limits.lines, fewest)
        return self._too_long(text, breaks)

    def _best(
        self, text: str, breaks: Breaks, limits: Limits, start: int
    ) -> tuple[Block, Setting] | Problem | None:
        """The best setting within the limits on at least ``start`` lines; None if there is none."""
        best: tuple[Block, Setting] | None = None
        for lines in range(start, max(limits.lines, breaks.fewest) + 1):
            block = self._block(text, breaks, lines, limits.widest)
            if isinstance(block, Problem):
                return block
            if block is None:
                continue
            setting = self._sizes.setting(block, (limits,))
            if setting and (best is None or setting > best[1]):
                best = block, setting
                if limits.last == "lines":
                    break
        return best

    def _block(
        self, text: str, breaks: Breaks, lines: int, widest: float = math.inf
    ) -> Block | Problem | None:
        """The text on so many lines; why it cannot be set; None if it has no such lines."""
        block = breaks.block(lines, widest)
        if isinstance(block, Unshapable):
            return unshapable(block, text, self._chain)
        return no_ink(text) if block is not None and not block.width else block

    def _too_long(self, text: str, breaks: Breaks) -> Problem:
        return too_long(text, self._field, self._sizes.limits[-1], self._all_blocks(breaks))

    def _all_blocks(self, breaks: Breaks) -> list[Block]:
        """The text on every number of lines that the last limits allow."""
        fewest = breaks.fewest
        counts = range(fewest, max(self._sizes.limits[-1].lines, fewest) + 1)
        return [block for lines in counts if isinstance(block := breaks.block(lines), Block)]

    # ------------------------------------------------------------ place

    def _placed(
        self, text: str, block: Block, setting: Setting, tracking: float | None = None
    ) -> TextFit:
        size, squeeze = setting
        unit = size * UNIT
        across = unit * squeeze
        base = first = self._first_baseline(block, unit)
        runs: list[Run] = []
        least, most = math.inf, -math.inf
        leading = self._leading * unit
        for of_line, advance, ink, _ in block.lines:
            if ink is not None:
                left, right = ink[0] * across, ink[2] * across
                x = self._start(left, right, advance * across)
                for font, run_x, run_y, glyphs, kerns in of_line:
                    across_at, up_at = round(x + run_x * across, 4), round(base + run_y * unit, 4)
                    runs.append(_new(Run, (font, across_at, up_at, glyphs, kerns)))
                left, right = x + left, x + right
                least = left if left < least else least
                most = right if right > most else most
            base -= leading
        ink = (least, first + block.bottom * unit, most, first + block.top * unit)
        room = self._tracking if tracking is None else tracking
        fit: TextFit = _new(TextFit, (
            text, size, squeeze, len(block.lines), tuple(runs), ink, room, (), 0, "", (),
        ))  # fmt: skip
        return fit

    def _start(self, left: float, right: float, advance: float) -> float:
        """Where a line's pen starts; ``left`` and ``right`` are its ink, seen from the pen."""
        width, share = self._box[0], self._across
        if self._by_ink:
            x = share * (width - right) - (1.0 - share) * left
        else:
            x = share * (width - advance)
        return min(max(x, PLAY - left), width - PLAY - right)

    def _first_baseline(self, block: Block, unit: float) -> float:
        """Where the first line stands. By metrics, the block is as high as the first font says
        (the one that sets the whole text, if one can), whatever fonts its letters come from."""
        height, share = self._box[1], self._up
        top, bottom = high, low = block.top * unit, block.bottom * unit
        if not self._by_ink:
            ascent, descent = self._edges()
            high = ascent * unit
            low = (descent - (len(block.lines) - 1) * self._leading) * unit
        y = share * (height - high) - (1.0 - share) * low
        return min(max(y, PLAY - bottom), height - PLAY - top)

    def _edges(self) -> tuple[float, float]:
        """Above and below a line's base, in 1/1000 em, by metrics."""
        face = self._chain[0]
        return face.ascent, face.descent


_fitters: dict[tuple[int, tuple[Face, ...], bool], TextFitter] = {}
