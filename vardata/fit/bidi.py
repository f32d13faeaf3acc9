"""The order in which a text that runs both ways is set: the Unicode Bidirectional Algorithm.

In: a paragraph. Out: a level for each character (odd runs from right to left), and the order
of stretches on a line. Rules are named as in UAX 9, revision 48 and later. Nothing here shapes
or measures; mirrored brackets are uharfbuzz's business.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import groupby
from typing import TypeVar

from vardata.fit.bidi_sequence import REMOVED, STARTS, IsolatingRun

T = TypeVar("T")

_DEEPEST = 125  # BD2, max_depth
_EMBEDS = {"LRE": (0, ""), "RLE": (1, ""), "LRO": (0, "L"), "RLO": (1, "R")}
_TAKEN_OUT = frozenset({"LRE", "RLE", "LRO", "RLO", "PDF", "BN"})
_AT_END = frozenset({"WS", "LRI", "RLI", "FSI", "PDI"})
_TURNS = frozenset({"R", "AL", "AN", "RLE", "RLO", "RLI"})


def runs_both_ways(text: str) -> bool:
    """Whether the algorithm has anything to do for a text."""
    return not _TURNS.isdisjoint(map(unicodedata.bidirectional, text))


@lru_cache(maxsize=4096)
def class_of(char: str) -> str:
    """Bidi_Class; what has no class (unassigned) counts as L, as most of it is."""
    return unicodedata.bidirectional(char) or "L"


def base_level(classes: Sequence[str]) -> int:
    """P2 and P3: 1 if the first strong letter runs from right to left, else 0."""
    depth = 0
    for kind in classes:
        if kind in STARTS:
            depth += 1
        elif kind == "PDI":
            depth = max(0, depth - 1)
        elif not depth and kind in ("L", "R", "AL"):
            return int(kind != "L")
    return 0


def levels_of(text: str) -> list[int]:
    """A level for each character; what X9 takes out goes with what is before.

    A "\n" parts paragraphs, and each of them has the direction of its own first letter (P1).
    """
    if "\n" in text:
        head, rest = text.split("\n", 1)
        return [*levels_of(head), 0, *levels_of(rest)]
    classes = [class_of(char) for char in text]
    base = base_level(classes)
    found = resolved(classes, base, text)
    before = base
    for place, level in enumerate(found):
        if level == REMOVED:
            found[place] = before
        before = found[place]
    return found


def resolved(classes: Sequence[str], base: int, text: str = "") -> list[int]:
    """Levels by X1 to L1; ``REMOVED`` for what X9 takes out. ``text`` is for brackets (N0)."""
    kinds = list(classes)
    explicit = _explicit(classes, kinds, base)
    levels = list(explicit)
    for sequence in _sequences(classes, explicit):
        found = IsolatingRun(sequence, kinds, explicit, base, classes, text).resolve()
        for place, level in zip(sequence, found):
            levels[place] = level
    _settle_spaces(classes, levels, base)
    return levels


def _matches(classes: Sequence[str]) -> dict[int, int]:
    """BD9: each isolate's start with its PDI."""
    found: dict[int, int] = {}
    stack: list[int] = []
    for place, kind in enumerate(classes):
        if kind in STARTS:
            stack.append(place)
        elif kind == "PDI" and stack:
            found[stack.pop()] = place
    return found


def _explicit(classes: Sequence[str], kinds: list[str], base: int) -> list[int]:
    """X1 to X8: embeddings, overrides and isolates. Changes ``kinds`` where overridden."""
    levels: list[int] = []
    matches = _matches(classes)
    stack: list[tuple[int, str, bool]] = [(base, "", False)]
    lost_isolates = lost_embeddings = isolates = 0
    for place, kind in enumerate(classes):
        level, override, _ = stack[-1]
        if kind in _EMBEDS:
            levels.append(REMOVED)
            way, forced = _EMBEDS[kind]
            deeper = _deeper(level, way)
            if deeper <= _DEEPEST and not lost_isolates and not lost_embeddings:
                stack.append((deeper, forced, False))
            elif not lost_isolates:
                lost_embeddings += 1
        elif kind in STARTS:
            levels.append(level)
            kinds[place] = override or kind
            way = STARTS[kind]
            if way < 0:
                way = base_level(classes[place + 1 : matches.get(place, len(classes))])
            deeper = _deeper(level, way)
            if deeper <= _DEEPEST and not lost_isolates and not lost_embeddings:
                isolates += 1
                stack.append((deeper, "", True))
            else:
                lost_isolates += 1
        elif kind == "PDI":
            if lost_isolates:
                lost_isolates -= 1
            elif isolates:
                lost_embeddings = 0
                while not stack[-1][2]:
                    stack.pop()
                stack.pop()
                isolates -= 1
            level, override, _ = stack[-1]
            levels.append(level)
            kinds[place] = override or kind
        elif kind == "PDF":
            levels.append(REMOVED)
            if lost_isolates:
                pass
            elif lost_embeddings:
                lost_embeddings -= 1
            elif not stack[-1][2] and len(stack) > 1:
                stack.pop()
        elif kind == "B":
            levels.append(base)
        elif kind == "BN":
            levels.append(REMOVED)
        else:
            levels.append(level)
            kinds[place] = override or kind
    return levels


def _deeper(level: int, way: int) -> int:
    """The next higher level that is odd (``way`` 1) or even (0)."""
    return level + 1 + (level + 1 + way) % 2


def _sequences(classes: Sequence[str], levels: Sequence[int]) -> Iterator[list[int]]:
    """X10, BD13: isolating run sequences, as places of characters."""
    kept = [place for place, level in enumerate(levels) if level != REMOVED]
    runs = [list(run) for _, run in groupby(kept, key=levels.__getitem__)]
    matches = _matches(classes)
    closes = set(matches.values())
    by_first = {run[0]: run for run in runs}
    for run in runs:
        if run[0] in closes:
            continue
        sequence = list(run)
        while (end := matches.get(sequence[-1])) is not None and end in by_first:
            sequence += by_first[end]
        yield sequence


def _settle_spaces(classes: Sequence[str], levels: list[int], base: int) -> None:
    """L1: separators, and white space before them or at the end, stand as the paragraph runs."""
    ends = True
    for place in range(len(levels) - 1, -1, -1):
        kind = classes[place]
        if kind in ("B", "S"):
            levels[place], ends = base, True
        elif kind in _AT_END and ends:
            levels[place] = base
        elif kind not in _TAKEN_OUT:
            ends = False


def in_visual_order(things: Sequence[tuple[int, T]]) -> list[tuple[int, T]]:
    """L2: (level, thing) of a line, from left to right."""
    out = list(things)
    if not out:
        return out
    odd = [level for level, _ in out if level % 2]
    for least in range(max(level for level, _ in out), min(odd, default=1) - 1, -1):
        at = 0
        while at < len(out):
            end = at
            while end < len(out) and out[end][0] >= least:
                end += 1
            out[at:end] = out[at:end][::-1]
            at = end + 1
    return out
