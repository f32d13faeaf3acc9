"""One isolating run sequence of the Unicode Bidirectional Algorithm (UAX 9).

In: the places, classes and explicit levels of its characters. Out: their levels after the
rules for weak types, brackets and neutrals (W1 to W7, N0 to N2) and the implicit ones (I1, I2).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from itertools import groupby

REMOVED = -1  # in place of a level: a character that X9 takes out
STARTS = {"LRI": 0, "RLI": 1, "FSI": -1}  # of isolates, and the direction they say
_BRACKETS = 63  # BD16: so many open brackets are remembered
_NEUTRAL = frozenset({"B", "S", "WS", "ON", "LRI", "RLI", "FSI", "PDI"})


@lru_cache(maxsize=4096)
def _bracket(char: str) -> tuple[str, bool] | None:
    """(what closes it or itself, whether it opens) for a paired bracket, canonical forms alike.

    Bidi_Paired_Bracket is the mirrored glyph of what is Ps or Pe (UCD, BidiBrackets.txt).
    """
    from fontTools.unicodedata import Mirrored

    kind = unicodedata.category(char)
    other = Mirrored.MIRRORED.get(ord(char)) if kind in ("Ps", "Pe") else None
    if other is None:
        return None
    closing = unicodedata.normalize("NFC", chr(other) if kind == "Ps" else char)
    return closing, kind == "Ps"


class IsolatingRun:
    """One isolating run sequence: W1 to W7, N0 to N2, I1 and I2."""

    def __init__(
        self, places: list[int], kinds: list[str], levels: Sequence[int], base: int,
        classes: Sequence[str], text: str,
    ) -> None:  # fmt: skip
        self._places = places
        self._text = text
        self._level = levels[places[0]]
        self._kinds = [kinds[place] for place in places]
        self._own = [classes[place] for place in places]
        first, last = places[0], places[-1]
        before = next((x for x in reversed(levels[:first]) if x != REMOVED), base)
        after = next((x for x in levels[last + 1 :] if x != REMOVED), base)
        if classes[last] in STARTS:
            after = base  # it has no PDI, or the sequence would go on
        self._sos = _way(max(before, self._level))
        self._eos = _way(max(after, self._level))

    def resolve(self) -> list[int]:
        """The level of each of its characters."""
        self._weak()
        self._brackets()
        self._neutrals()
        level = self._level
        if level % 2:
            return [level + (kind != "R") for kind in self._kinds]  # I2
        return [level + {"R": 1, "AN": 2, "EN": 2}.get(kind, 0) for kind in self._kinds]  # I1

    def _weak(self) -> None:
        kinds, before = self._kinds, self._sos
        for at, kind in enumerate(kinds):  # W1
            if kind == "NSM":
                kinds[at] = "ON" if before in STARTS or before == "PDI" else before
            before = kinds[at]
        strong = self._sos
        for at, kind in enumerate(kinds):  # W2
            if kind in ("L", "R", "AL"):
                strong = kind
            elif kind == "EN" and strong == "AL":
                kinds[at] = "AN"
        kinds[:] = ["R" if kind == "AL" else kind for kind in kinds]  # W3
        for at in range(1, len(kinds) - 1):  # W4
            one, kind, other = kinds[at - 1 : at + 2]
            if one == other and ((kind == "ES" and one == "EN") or
                                 (kind == "CS" and one in ("EN", "AN"))):  # fmt: skip
                kinds[at] = one
        at = 0
        for kind, group in groupby(list(kinds)):  # W5
            end = at + len(list(group))
            if kind == "ET" and (
                (at and kinds[at - 1] == "EN") or (end < len(kinds) and kinds[end] == "EN")
            ):
                kinds[at:end] = ["EN"] * (end - at)
            at = end
        kinds[:] = ["ON" if kind in ("ES", "ET", "CS") else kind for kind in kinds]  # W6
        strong = self._sos
        for at, kind in enumerate(kinds):  # W7
            if kind in ("L", "R"):
                strong = kind
            elif kind == "EN" and strong == "L":
                kinds[at] = "L"

    def _brackets(self) -> None:
        """N0."""
        kinds, own = self._kinds, _way(self._level)
        for start, end in self._pairs():
            inside = {_strong(kind) for kind in kinds[start + 1 : end]} - {""}
            if own in inside:
                way = own
            elif inside:
                context = next(
                    (_strong(kind) for kind in reversed(kinds[:start]) if _strong(kind)), self._sos
                )
                way = context if context in inside else own
            else:
                continue
            for at in (start, end):
                kinds[at] = way
                following = at + 1
                while following < len(kinds) and self._own[following] == "NSM":
                    kinds[following] = way
                    following += 1

    def _pairs(self) -> list[tuple[int, int]]:
        """BD16: places of brackets that belong together, by their opening."""
        if not self._text:
            return []
        stack: list[tuple[str, int]] = []
        pairs: list[tuple[int, int]] = []
        for at, place in enumerate(self._places):
            if self._kinds[at] != "ON" or (found := _bracket(self._text[place])) is None:
                continue
            closing, opens = found
            if opens:
                if len(stack) == _BRACKETS:
                    return []
                stack.append((closing, at))
                continue
            for depth in range(len(stack) - 1, -1, -1):
                if stack[depth][0] == closing:
                    pairs.append((stack[depth][1], at))
                    del stack[depth:]
                    break
        return sorted(pairs)

    def _neutrals(self) -> None:
        """N1 and N2."""
        kinds, at = self._kinds, 0
        while at < len(kinds):
            if kinds[at] not in _NEUTRAL:
                at += 1
                continue
            end = at
            while end < len(kinds) and kinds[end] in _NEUTRAL:
                end += 1
            before = _strong(kinds[at - 1]) if at else self._sos
            after = _strong(kinds[end]) if end < len(kinds) else self._eos
            kinds[at:end] = [before if before == after else _way(self._level)] * (end - at)
            at = end


def _way(level: int) -> str:
    return "R" if level % 2 else "L"


def _strong(kind: str) -> str:
    """The direction that a kind has for N0 to N2; "" for none."""
    return "R" if kind in ("R", "EN", "AN") else kind if kind == "L" else ""
