"""Fits a text into its box: how many lines, which size, how much squeeze.

In: a text, its field, its fonts. Out: a ``TextFit`` whose ink, overhangs included, lies in
the box, or a ``Problem``. The limits are loosened one after another in the order of
``field.fit``; advances and ink scale linearly, so every size is found in closed form.

- "shrink": the size may fall to ``shrink_to`` percent of the wanted;
- "lines": the text may stand on up to ``lines`` lines, the fewest that fit;
- "smaller": the size may fall to ``min_size``; now the largest size wins;
- "squeeze": the text may be narrowed down to ``squeeze`` percent; the least squeeze wins.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from vardata.fit.breaking import balanced, most_lines, pieces_of
from vardata.fit.fonts import Face
from vardata.fit.result import Run, TextFit
from vardata.fit.shaping import Missing, ShapedLine, Shaper
from vardata.job.model import TextField
from vardata.problems import Problem, Severity
from vardata.units import MM_PER_PT

_UNIT = MM_PER_PT / 1000.0  # mm of 1/1000 em at 1 pt
_PLAY = 0.0008  # mm: positions are written to 0.0001 mm, and to 0.001 pt by the PDF writer
_SQUEEZE_STEP = 1000.0  # squeezes are whole thousandths


class _Limits(NamedTuple):
    """How far fitting may go at one step. ``smallest`` in pt, ``narrowest`` 1.0 is none."""

    smallest: float
    lines: int
    narrowest: float
    by_size: bool  # the largest size wins, not the fewest lines


class _Block(NamedTuple):
    """Lines at 1000 units an em, the first baseline at 0. Box of all ink, widest line's ink."""

    lines: tuple[ShapedLine, ...]
    width: float
    top: float
    bottom: float


class _Found(NamedTuple):
    block: _Block
    size: float
    squeeze: float


def fit_text(text: str, field: TextField, chain: tuple[Face, ...]) -> TextFit | Problem:
    """Fits ``text`` (not empty) into ``field.box``; coordinates are mm in the box, unturned.

    Problems hold the record: ``missing-glyph``, ``no-ink``, ``text-too-long``.
    """
    return _fitter(field, chain).fit(text)


@lru_cache(maxsize=256)
def _fitter(field: TextField, chain: tuple[Face, ...]) -> _TextFitter:
    return _TextFitter(field, chain)


class _TextFitter:
    """One field with its fonts."""

    def __init__(self, field: TextField, chain: tuple[Face, ...]) -> None:
        self._field = field
        self._chain = chain
        self._shaper = Shaper(chain)
        self._w = field.box[2] - 2 * _PLAY
        self._h = field.box[3] - 2 * _PLAY
        self._least = min(field.min_size or field.size / 2, field.size)
        self._steps = tuple(self._limits())

    def _limits(self) -> Iterator[_Limits]:
        field = self._field
        limits = _Limits(field.size, 1, 1.0, False)
        yield limits
        for step in field.fit:
            if step == "shrink":
                smallest = max(self._least, field.size * field.shrink_to / 100.0)
                limits = limits._replace(smallest=min(limits.smallest, smallest))
            elif step == "lines":
                limits = limits._replace(lines=field.lines)
            elif step == "smaller":
                limits = limits._replace(smallest=self._least, by_size=True)
            else:
                limits = limits._replace(narrowest=field.squeeze / 100.0)
            yield limits

    # ------------------------------------------------------------ lines

    def fit(self, text: str) -> TextFit | Problem:
        blocks: dict[int, _Block | None] = {}
        fewest = text.count("\n") + 1

        def block(lines: int) -> _Block | Missing | None:
            if lines not in blocks:
                made = self._block(text, lines)
                if isinstance(made, Missing):
                    return made
                blocks[lines] = made
            return blocks[lines]

        for limits in self._steps:
            found: _Found | None = None
            for lines in range(fewest, max(limits.lines, 1) + 1):
                made = block(lines)
                if isinstance(made, Missing):
                    return self._missing(made)
                if made is None:
                    continue
                if made.width <= 0:
                    return self._no_ink(text)
                candidate = self._solve(made, limits)
                if candidate and (found is None or _better(candidate, found)):
                    found = candidate
                    if not limits.by_size:
                        break
            if found:
                return self._placed(text, found)
        return self._too_long(text, fewest)

    def _block(self, text: str, lines: int) -> _Block | Missing | None:
        """The text on so many lines; None if it cannot stand on so many."""
        if lines == 1:
            parts: tuple[str, ...] | None = (text,)
        else:
            paragraphs = pieces_of(text)
            if lines > most_lines(paragraphs):
                return None
            parts = balanced(paragraphs, lines, self._width)
        if parts is None:
            return None
        shaped = []
        for part in parts:
            line = self._shaper.shape(part)
            if isinstance(line, Missing):
                return line
            shaped.append(line)
        return self._stacked(tuple(shaped))

    def _width(self, text: str) -> float:
        line = self._shaper.shape(text)
        if isinstance(line, Missing) or line.ink is None:
            return 0.0
        return line.ink[2] - line.ink[0]

    def _stacked(self, lines: tuple[ShapedLine, ...]) -> _Block:
        step = self._field.leading * 1000.0
        width, top, bottom = 0.0, -math.inf, math.inf
        for number, line in enumerate(lines):
            if line.ink is None:
                continue
            x0, y0, x1, y1 = line.ink
            width = max(width, x1 - x0)
            top = max(top, y1 - number * step)
            bottom = min(bottom, y0 - number * step)
        return _Block(lines, width, top, bottom)

    # ------------------------------------------------------------ size and squeeze

    def _solve(self, block: _Block, limits: _Limits) -> _Found | None:
        """The largest size within the limits; squeezed only as far as the smallest needs."""
        high = self._h / ((block.top - block.bottom) * _UNIT)
        if high < limits.smallest:
            return None
        wide = self._w / (block.width * _UNIT)
        size = self._stepped(min(high, wide), limits.smallest)
        if size is not None:
            return _Found(block, size, 1.0)
        squeeze = math.floor(wide / limits.smallest * _SQUEEZE_STEP) / _SQUEEZE_STEP
        if squeeze >= limits.narrowest:
            return _Found(block, limits.smallest, squeeze)
        return None

    def _stepped(self, most: float, least: float) -> float | None:
        """The largest allowed size up to ``most``: whole steps below the wanted, or ``least``."""
        field = self._field
        if most >= field.size:
            return field.size
        steps = math.ceil((field.size - most) / field.size_step - 1e-9)
        size = round(field.size - steps * field.size_step, 6)
        if size >= least:
            return size
        return least if most >= least else None

    # ------------------------------------------------------------ place

    def _placed(self, text: str, found: _Found) -> TextFit:
        field = self._field
        unit = found.size * _UNIT
        across = unit * found.squeeze
        y = self._first_baseline(found.block, unit)
        runs: list[Run] = []
        x0 = y0 = math.inf
        x1 = y1 = -math.inf
        for number, line in enumerate(found.block.lines):
            if line.ink is None:
                continue
            x = self._start(line, across)
            base = y - number * field.leading * 1000.0 * unit
            for font, run_x, run_y, glyphs, kerns in line.runs:
                runs.append(
                    Run(
                        font, round(x + run_x * across, 4), round(base + run_y * unit, 4),
                        glyphs, kerns,
                    )
                )
            left, low, right, high = line.ink
            x0, x1 = min(x0, x + left * across), max(x1, x + right * across)
            y0, y1 = min(y0, base + low * unit), max(y1, base + high * unit)
        return TextFit(
            text, found.size, found.squeeze, len(found.block.lines), tuple(runs), (x0, y0, x1, y1)
        )

    def _start(self, line: ShapedLine, across: float) -> float:
        """Where the line's pen starts, so that its ink lies in the box."""
        assert line.ink is not None
        field, width = self._field, self._field.box[2]
        left, _, right, _ = (number * across for number in line.ink)
        first, last = (left, right) if field.align_by == "ink" else (0.0, line.advance * across)
        if field.align == "left":
            x = -first
        elif field.align == "right":
            x = width - last
        else:
            x = (width - first - last) / 2
        return min(max(x, _PLAY - left), width - _PLAY - right)

    def _first_baseline(self, block: _Block, unit: float) -> float:
        field, height = self._field, self._field.box[3]
        top, bottom = block.top * unit, block.bottom * unit
        high, low = top, bottom
        if field.align_by == "metrics":
            high = self._chain[0].ascent * unit
            low = (self._chain[0].descent - (len(block.lines) - 1) * field.leading * 1000.0) * unit
        if field.valign == "top":
            y = height - high
        elif field.valign == "bottom":
            y = -low
        else:
            y = (height - high - low) / 2
        return min(max(y, _PLAY - bottom), height - _PLAY - top)

    # ------------------------------------------------------------ problems

    def _missing(self, missing: Missing) -> Problem:
        fonts = ", ".join(face.path.stem for face in self._chain)
        lacking = [
            char for char in dict.fromkeys(missing.cluster)
            if not any(face.has(ord(char)) for face in self._chain)
        ] or list(dict.fromkeys(missing.cluster))
        char = lacking[0]
        name = unicodedata.name(char, "unnamed")
        return Problem(
            "missing-glyph",
            Severity.HOLD,
            f"no font has {missing.cluster!r} (U+{ord(char):04X} {name}); asked: {fonts}",
            "add a font that has it to the layout's chain, or change the text",
            value=missing.cluster,
        )

    def _no_ink(self, text: str) -> Problem:
        return Problem(
            "no-ink", Severity.HOLD, f"the text {text!r} has no visible character",
            "fill the cell with a text that can be seen", value=text,
        )

    def _too_long(self, text: str, fewest: int) -> Problem:
        field = self._field
        box = f"{field.box[2]:g} x {field.box[3]:g} mm"
        if fewest > max(limits.lines for limits in self._steps):
            what = f"the text has {fewest} lines, the field takes {field.lines}"
        else:
            what = f"{_shown(text)} does not fit {box} {self._needs(text, fewest)}"
        return Problem(
            "text-too-long", Severity.HOLD, what,
            "shorten the text, enlarge the box, or lower min_size, squeeze or lines in the layout",
            value=text,
        )

    def _needs(self, text: str, fewest: int) -> str:
        """The smallest box that would do at the limits, over all allowed line counts."""
        last = self._steps[-1]
        wants: list[tuple[float, float, float]] = []
        for lines in range(fewest, last.lines + 1):
            block = self._block(text, lines)
            if isinstance(block, _Block) and block.width > 0:
                unit = last.smallest * _UNIT
                w = block.width * unit * last.narrowest
                h = (block.top - block.bottom) * unit
                over = max(w / self._field.box[2], h / self._field.box[3])
                wants.append((over, w, h))
        _, w, h = min(wants)
        squeeze = f" and {last.narrowest:.0%} squeeze" if last.narrowest < 1 else ""
        return (
            f"at {last.smallest:g} pt{squeeze}: it needs {_up(w)} x {_up(h)} mm"
        )


def _up(mm: float) -> str:
    return f"{math.ceil((mm + 2 * _PLAY) * 100) / 100:g}"


def _shown(text: str) -> str:
    short = text if len(text) <= 40 else text[:37] + "..."
    return repr(short)


def _better(one: _Found, other: _Found) -> bool:
    """Larger first, then less squeezed; equals keep the fewer lines found first."""
    return (one.size, one.squeeze) > (other.size, other.squeeze)


