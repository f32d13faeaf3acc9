"""SVG path data, checked and rewritten so that every reader draws the same.

In: the text of a ``d`` attribute. Out: the same path in absolute coordinates, one command a
segment, each sub-path begun with M. SVG readers draw a faulty path up to its fault; here it
raises ``ValueError`` with the place, because half a crest must not be printed.
"""

from __future__ import annotations

import re

from vardata.svg.values import NUMBER, checked, shown

_NUMBER = re.compile(NUMBER)
_FLAG = re.compile(r"[01]")
_GAP = re.compile(r"[ \t\r\n\f]*,?[ \t\r\n\f]*")
_SPACE = re.compile(r"[ \t\r\n\f]*")
# SVG 1.1, 8.3: numbers a segment takes; for arcs the 4th and 5th are single digits.
_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_LETTERS = "MmLlHhVvCcSsQqTtAaZz"

Segment = tuple[str, tuple[float, ...]]


def segments(text: str) -> list[Segment]:
    """Absolute segments M, L, C, S, Q, T, A and Z."""
    made: list[Segment] = []
    x = y = start_x = start_y = 0.0
    for letter, n in _raw(text):
        kind, relative = letter.upper(), letter.islower()
        if kind == "Z":
            made.append(("Z", ()))
            x, y = start_x, start_y
            continue
        if made and made[-1][0] == "Z" and kind != "M":
            made.append(("M", (x, y)))  # SVG 1.1, 8.3.3: a new sub-path at the same point
        dx, dy = (x, y) if relative else (0.0, 0.0)
        if kind == "H":
            kind, n = "L", (n[0] + dx, y)
        elif kind == "V":
            kind, n = "L", (x, n[0] + dy)
        elif kind == "A":
            n = (*n[:5], n[5] + dx, n[6] + dy)
        else:
            n = tuple(v + (dy if i % 2 else dx) for i, v in enumerate(n))
        x, y = n[-2], n[-1]
        if kind == "M":
            start_x, start_y = x, y
        made.append((kind, n))
    return made


def _raw(text: str) -> list[Segment]:
    """Letters with their numbers, as written; repeated letters are spelt out."""
    found: list[Segment] = []
    at = _SPACE.match(text, 0).end()  # type: ignore[union-attr]
    while at < len(text):
        letter = text[at]
        if letter not in _LETTERS:
            raise ValueError(f"the path breaks off at character {at + 1}, {shown(text[at:])}")
        if not found and letter not in "Mm":
            raise ValueError("the path does not begin with M")
        at = _SPACE.match(text, at + 1).end()  # type: ignore[union-attr]
        takes = _TAKES[letter.upper()]
        if not takes:
            found.append((letter, ()))
            continue
        first = True
        while first or _NUMBER.match(text, at):
            values, at = _values(text, at, letter, takes)
            # SVG 1.1, 8.3.2: further pairs after a moveto are linetos.
            follow = {"M": "L", "m": "l"}.get(letter, letter)
            found.append((letter if first else follow, values))
            first = False
    return found


def _values(text: str, at: int, letter: str, takes: int) -> tuple[tuple[float, ...], int]:
    values: list[float] = []
    for i in range(takes):
        flag = letter in "Aa" and i in (3, 4)
        match = (_FLAG if flag else _NUMBER).match(text, at)
        if match is None:
            rest = shown(text[at:]) if at < len(text) else "its end"
            raise ValueError(
                f"the path breaks off at character {at + 1}, {rest}: {letter} takes {takes} numbers"
            )
        values.append(checked(float(match.group())))
        at = _GAP.match(text, match.end()).end()  # type: ignore[union-attr]
        if text[match.end() : at].strip() and not _NUMBER.match(text, at):
            raise ValueError(f"the path has a comma at character {at} and no number after it")
    return tuple(values), at


def written(made: list[Segment]) -> str:
    """Segments as path data again; the two flags of an arc stay single digits."""
    return " ".join(
        kind + " ".join(
            str(int(v)) if kind == "A" and i in (3, 4) else repr(v) for i, v in enumerate(n)
        )
        for kind, n in made
    )  # fmt: skip
