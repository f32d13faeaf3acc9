"""Where a text may break, and how to spread it over lines.

In: a text, and the width of any stretch of its words. Out: the lines whose widest is the
narrowest. Among equals the evener wins (the smaller sum of squared widths), then the one
whose earlier lines are longer.

Lines break where the Unicode line breaking algorithm allows it (UAX 14, by ICU, which knows the
words of Thai too), but not at a soft hyphen; they must break where the text has a line break.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from itertools import accumulate, pairwise
from typing import NamedTuple

from vardata.fit.clusters import is_torn

# UAX 14: BK, CR, LF, NL and the two separators.
LINE_END = re.compile("\r\n|[\n\r\x0b\x0c\x85\u2028\u2029]")
# The spaces that break: all but U+00A0, U+2007 and U+202F; with U+200B, which is for breaking.
_SPACES = " \t\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2008\u2009\u200a\u200b\u205f\u3000"
_SOFT_HYPHEN = "\u00ad"
# Words of ASCII that break nowhere but at single spaces, as names nearly always do.
_ONLY_WORDS = re.compile("[A-Za-z0-9&][A-Za-z0-9.,'&]*(?: [A-Za-z0-9&][A-Za-z0-9.,'&]*){0,9}")
# Words that are balanced; a longer text is joined up to at most so many.
_MOST_WORDS = 60


class Words(NamedTuple):
    """A text cut at its breaks: (start, end) of each word, without the spaces after it.

    ``forced`` holds the words (by number) after which a line must end.
    """

    text: str
    spans: tuple[tuple[int, int], ...]
    forced: frozenset[int]

    @property
    def fewest(self) -> int:
        return len(self.forced) + 1

    def stretch(self, first: int, after: int) -> tuple[int, int]:
        """Where in the text the words from ``first`` up to ``after`` start and end."""
        return self.spans[first][0], self.spans[after - 1][1]


def words_of(text: str) -> Words:
    """``text`` with "\\n" for line breaks, cut into words. An empty line is an empty word."""
    if text.isascii() and _ONLY_WORDS.fullmatch(text):  # the usual case, told quickly
        ends = list(accumulate([len(word) + 1 for word in text.split(" ")]))
        starts = [0, *ends[:-1]]
        return Words(text, tuple((a, b - 1) for a, b in zip(starts, ends)), frozenset())
    paragraphs = text.split("\n")
    cuts = [_cuts(paragraph) for paragraph in paragraphs]
    while sum(map(len, cuts)) - len(cuts) > max(_MOST_WORDS, len(cuts)):
        cuts = [[*marks[:-1:2], marks[-1]] for marks in cuts]  # every other break is given up
    spans: list[tuple[int, int]] = []
    forced: list[int] = []
    offset = 0
    for paragraph, marks in zip(paragraphs, cuts):
        for start, end in pairwise(marks):
            trimmed = len(paragraph[start:end].rstrip(_SPACES))
            spans.append((offset + start, offset + start + trimmed))
        forced.append(len(spans) - 1)
        offset += len(paragraph) + 1
    return Words(text, tuple(spans), frozenset(forced[:-1]))


def _cuts(paragraph: str) -> list[int]:
    """Where lines may break, with both ends. No hyphen would be printed at a soft hyphen, so no
    line ends there."""
    if not paragraph or is_torn(paragraph):
        return [0, len(paragraph)]
    from icu4py.breakers import LineBreaker

    # "en" and not the order sheet's language: the same text breaks alike on every machine.
    ends = accumulate(map(len, LineBreaker(paragraph, "en")))
    return [
        0,
        *[end for end in ends if paragraph[end - 1] != _SOFT_HYPHEN or end == len(paragraph)],
    ]


class _Ends(NamedTuple):
    """Lines compared: first by the squares of their widths, then by who is longer earlier."""

    squares: float
    below: tuple[float, ...]  # the widths, negative
    ends: tuple[int, ...]


_NONE_LEFT = _Ends(0.0, (), ())
_Known = dict[tuple[int, int], _Ends | None]


class Balance:
    """Spreads one text over any number of lines.

    ``width(first, after)`` measures the words from ``first`` up to ``after`` set on one line.
    """

    def __init__(self, words: Words, width: Callable[[int, int], float]) -> None:
        self._count = len(words.spans)
        self._forced = words.forced
        self._measure = width
        self._widths: dict[tuple[int, int], float] = {}
        # _narrowest[left][first]: the least widest line of the words from ``first`` on, set on
        # ``left`` lines; infinite where that cannot be. No words fill no lines.
        self._narrowest = [[math.inf] * self._count + [0.0]]
        self._widest: dict[int, float] = {}

    def is_choice(self, lines: int) -> bool:
        """Whether there is more than one way to break the text into so many lines."""
        return len(self._forced) + 1 < lines < self._count

    def widest(self, lines: int) -> float:
        """The least width that the text needs on exactly so many lines; infinite if it cannot
        be broken so often."""
        while len(self._narrowest) < lines:
            firsts = range(self._count)
            below = self._narrowest[-1]
            self._narrowest.append([*[self._least(first, below) for first in firsts], math.inf])
        if lines not in self._widest:
            self._widest[lines] = self._least(0, self._narrowest[lines - 1])
        return self._widest[lines]

    def ends(self, lines: int) -> tuple[int, ...]:
        """After which words the lines end, for exactly so many lines; () if that cannot be."""
        if not len(self._forced) < lines <= self._count:
            return ()
        if lines == self._count:
            return tuple(range(1, self._count + 1))
        if lines == len(self._forced) + 1:
            return (*sorted(last + 1 for last in self._forced), self._count)
        return self._evenest(lines)

    def _width(self, first: int, after: int) -> float:
        found = self._widths.get((first, after))
        if found is None:
            found = self._widths[first, after] = self._measure(first, after)
        return found

    def _least(self, first: int, below: list[float]) -> float:
        """The least widest line of the words from ``first`` on, if the rest stands ``below``."""
        return min(
            [max(self._width(first, after), below[after]) for after in self._afters(first, below)],
            default=math.inf,
        )

    def _afters(self, first: int, below: list[float]) -> list[int]:
        """Where a line may end that begins with word ``first``, if the rest can stand ``below``."""
        last = self._count
        if self._forced:
            last = min([word + 1 for word in self._forced if word >= first], default=last)
        return [after for after in range(first + 1, last + 1) if below[after] < math.inf]

    def _evenest(self, lines: int) -> tuple[int, ...]:
        """Where the lines end when none is wider than need be: of those the evenest."""
        found = self._best(0, lines, self.widest(lines), {})
        assert found is not None  # the lines that are no wider than need be are one
        return found.ends

    def _best(self, first: int, left: int, most: float, known: _Known) -> _Ends | None:
        """The words from ``first`` on, set on ``left`` lines that are no wider than ``most``."""
        if left == 0:
            return _NONE_LEFT
        if (first, left) not in known:
            found: _Ends | None = None
            for after in self._afters(first, self._narrowest[left - 1]):
                width = self._width(first, after)
                rest = self._best(after, left - 1, most, known) if width <= most else None
                if rest is not None:
                    one = _Ends(
                        width * width + rest.squares, (-width, *rest.below), (after, *rest.ends)
                    )
                    found = one if found is None else min(found, one)
            known[first, left] = found
        return known[first, left]
