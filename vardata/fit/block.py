"""A text set on lines at 1000 units an em: what sizes are found from.

In: a text, its shaper, the distance of its baselines. Out: a ``Block`` for any number of
lines, with its true ink; every size of it follows by scaling.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from vardata.fit.bidi import levels_of, runs_both_ways
from vardata.fit.breaking import LINE_END, Balance, Words, words_of
from vardata.fit.placing import ShapedLine, Strip
from vardata.fit.shaping import Shaper, Unshapable
from vardata.fit.tracking import TrackedShaper


class Block(NamedTuple):
    """Lines, the first baseline at 0. ``width`` is the widest line's ink, 0 without any ink;
    ``top`` and ``bottom`` bound all ink."""

    lines: tuple[ShapedLine, ...]
    width: float
    top: float
    bottom: float


def tidied(text: str) -> str:
    """``text`` as it is set: every line break a "\\n", tabs as spaces, no space at an edge."""
    if text.isprintable() and text == text.strip():
        return text  # the usual case, told quickly
    lines = LINE_END.sub("\n", text).replace("\t", " ").split("\n")
    return "\n".join(line.strip() for line in lines).strip("\n")


def stacked(lines: Sequence[ShapedLine], leading: float) -> Block:
    """Lines under each other, ``leading`` 1/1000 em from baseline to baseline."""
    if len(lines) == 1 and (ink := lines[0].ink) is not None:  # the usual case, told quickly
        return Block((lines[0],), ink[2] - ink[0], ink[3], ink[1])
    width, top, bottom, base = 0.0, -math.inf, math.inf, 0.0
    for line in lines:
        if line.ink is not None:
            x0, y0, x1, y1 = line.ink
            width = max(width, x1 - x0)
            top, bottom = max(top, y1 + base), min(bottom, y0 + base)
        base -= leading
    return Block(tuple(lines), width, top, bottom)


class _Lines:
    """Any words of a text on one line; shaped all at once where they can be cut apart."""

    def __init__(self, words: Words, shaper: Shaper | TrackedShaper) -> None:
        self.words = words
        self._shaper = shaper
        self._asked = False
        self._whole: Strip | None = None
        self._inks: tuple[list[float], list[float]] | None = None
        # A line keeps the order that its words have in the whole paragraph (UAX 9, 3.4).
        both = not words.text.isascii() and runs_both_ways(words.text)
        self._levels = tuple(levels_of(words.text)) if both else None

    def line(self, first: int, after: int) -> ShapedLine | Unshapable:
        text = self.words.text
        start, end = self.words.stretch(first, after)
        if (start, end) != (0, len(text)) and (strip := self._strip()):
            return strip.line(start, end)
        levels = self._levels[start:end] if self._levels else None
        return self._shaper.shape(text[start:end], levels)

    def width(self, first: int, after: int) -> float:
        """The width of the line's ink, in 1/1000 em."""
        if strip := self._strip():
            if self._inks is None:
                self._inks = strip.inks(self.words.spans)
            lefts, rights = self._inks
            return max(0.0, max(rights[first:after]) - min(lefts[first:after]))
        line = self.line(first, after)
        if isinstance(line, Unshapable) or line.ink is None:
            return 0.0  # said when the line is set
        return line.ink[2] - line.ink[0]

    def _strip(self) -> Strip | None:
        if not self._asked:
            self._asked = True
            words = self.words
            if words.fewest == 1:
                edges = {edge for span in words.spans for edge in span} - {0, len(words.text)}
                self._whole = self._shaper.strip(words.text, edges)
        return self._whole


class Breaks:
    """One text's blocks, each number of lines set once."""

    def __init__(
        self, text: str, shaper: Shaper | TrackedShaper, leading: float, alone: Block | None = None
    ) -> None:
        """``alone`` is the text on one line, if it is known."""
        self._text = text
        self._shaper = shaper
        self._leading = leading
        self._blocks: dict[int, Block | Unshapable | None] = {1: alone} if alone else {}
        self._spread: tuple[_Lines, Balance] | None = None  # made when a line must be broken
        self.fewest = text.count("\n") + 1  # the lines that the text has of its own

    def block(self, lines: int, widest: float = math.inf) -> Block | Unshapable | None:
        """The text on exactly so many lines; None if it cannot be broken so often, or if a line
        would be wider than ``widest`` 1/1000 em."""
        if lines in self._blocks:
            return self._blocks[lines]
        if self._spread is None:
            source = _Lines(words_of(self._text), self._shaper)
            self._spread = source, Balance(source.words, source.width)
        source, balance = self._spread
        if balance.is_choice(lines) and balance.widest(lines) > widest:
            return None
        found = self._set(source, balance.ends(lines))
        self._blocks[lines] = found
        return found

    def _set(self, source: _Lines, ends: Sequence[int]) -> Block | Unshapable | None:
        """The block whose lines end after the words ``ends``; None if there are no such lines."""
        shaped: list[ShapedLine] = []
        for first, after in zip((0, *ends), ends):
            line = source.line(first, after)
            if isinstance(line, Unshapable):
                return line
            shaped.append(line)
        return stacked(shaped, self._leading) if shaped else None
