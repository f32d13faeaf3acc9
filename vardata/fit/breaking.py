"""Where a text may break, and how to spread it over lines.

In: a text and the width of any stretch of it. Out: the lines with the narrowest widest line.
Breaks are allowed after spaces and hyphens, between ideographs, and must happen at a line
break in the text; a no-break space never breaks. Among equals the evener wins, then the one
whose earlier lines are longer.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import lru_cache

_IDEOGRAPH = "\u2e80-\u2fdf\u3005-\u30ff\u3400-\u4dbf\u4e00-\u9fff\uf900-\ufaff"
# After a run of ordinary spaces; after a hyphen that stands between other characters; between
# two ideographs (UAX 14: SP, HY and BA, ID).
_BREAK = re.compile(
    rf"(?<=[ \t\u2003\u2002])(?![ \t\u2003\u2002])|(?<=[^\s\-\u2010][\-\u2010])(?=[^\s\-\u2010\d])"
    rf"|(?<=[{_IDEOGRAPH}])(?=[{_IDEOGRAPH}])"
)
MOST_PIECES = 60  # pieces that are still balanced; a longer text is joined up first


def pieces_of(text: str) -> list[list[str]]:
    """Unbreakable pieces of each paragraph, trailing spaces kept with the piece before."""
    paragraphs = []
    for paragraph in text.split("\n"):
        pieces = [piece for piece in _BREAK.split(paragraph) if piece]
        while len(pieces) > MOST_PIECES:  # too many to balance well: pair them up
            pieces = ["".join(pieces[i : i + 2]) for i in range(0, len(pieces), 2)]
        paragraphs.append(pieces or [""])
    return paragraphs


def most_lines(paragraphs: Sequence[Sequence[str]]) -> int:
    return sum(map(len, paragraphs))


def balanced(
    paragraphs: Sequence[Sequence[str]], lines: int, width: Callable[[str], float]
) -> tuple[str, ...] | None:
    """The text on exactly ``lines`` lines, or None where it has too few places to break.

    ``width`` measures a stretch of text without its outer spaces.
    """
    flat = [piece for paragraph in paragraphs for piece in paragraph]
    forced = set()
    count = 0
    for paragraph in paragraphs[:-1]:
        count += len(paragraph)
        forced.add(count)
    if lines < len(paragraphs) or lines > len(flat):
        return None

    @lru_cache(maxsize=None)
    def stretch(start: int, end: int) -> float:
        return width("".join(flat[start:end]).strip())

    @lru_cache(maxsize=None)
    def best(start: int, left: int) -> tuple[float, float, tuple[float, ...], tuple[int, ...]] | None:
        """(widest, sum of squares, negative widths, ends) of the pieces from ``start`` on."""
        if left == 1:
            if any(start < at for at in forced):
                return None
            own = stretch(start, len(flat))
            return own, own * own, (-own,), (len(flat),)
        found = None
        for end in range(start + 1, len(flat) - left + 2):
            rest = best(end, left - 1)
            if rest is not None:
                own = stretch(start, end)
                candidate = (
                    max(own, rest[0]), own * own + rest[1], (-own, *rest[2]), (end, *rest[3])
                )
                if found is None or candidate < found:
                    found = candidate
            if end in forced:
                break
        return found

    solution = best(0, lines)
    if solution is None:
        return None
    start, out = 0, []
    for end in solution[3]:
        out.append("".join(flat[start:end]).strip())
        start = end
    return tuple(out)
