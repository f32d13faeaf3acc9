"""The table of GS1 application identifiers, read from ``application_identifiers.txt``.

Gives what each identifier's data looks like, what it needs beside it and what it bars. Notation
and sources stand at the head of that file.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import NamedTuple

# Element strings of predefined length by the first two digits of their identifier: they need
# no separator after them (GS1 General Specifications, figure of 7.8.5 from memory; the same
# ones carry the flag for it in GS1's syntax dictionary, secondary).
PREDEFINED = {f"{n:02}" for n in (*range(5), *range(11, 21), *range(31, 37), 41)}


class Part(NamedTuple):
    """A stretch of an identifier's data: its character set, lengths and checks."""

    kind: str  # N, X, Y or Z
    least: int
    most: int
    optional: bool
    checks: tuple[str, ...]


class Identifier(NamedTuple):
    """One application identifier.

    ``needs``: alternatives, each a tuple of patterns that must all be met; none: nothing.
    ``qualifiers``: the rows of qualifiers of a key that a Digital Link may begin with; None
    where it may not begin with it. ``query``: may stand in a link's query.
    """

    ai: str
    parts: tuple[Part, ...]
    needs: tuple[tuple[str, ...], ...]
    bars: tuple[str, ...]
    qualifiers: tuple[tuple[str, ...], ...] | None
    query: bool
    title: str

    @property
    def predefined(self) -> bool:
        """No separator follows its data."""
        return self.ai[:2] in PREDEFINED


@cache
def identifiers() -> dict[str, Identifier]:
    """All of them, by number."""
    text = files(__package__).joinpath("application_identifiers.txt").read_text("utf-8")
    found: dict[str, Identifier] = {}
    for line in text.splitlines():
        if not line or line.startswith("#"):
            continue
        numbers, shape, needs, bars, link, title = (cell.strip() for cell in line.split("|"))
        keys, query = _link(link)
        parts = tuple(map(_part, shape.split(" + ")))
        wanted = tuple(tuple(group.split("+")) for group in needs.split())
        for ai in _numbers(numbers):
            found[ai] = Identifier(ai, parts, wanted, tuple(bars.split()), keys, query, title)
    return found


def matches(ai: str, pattern: str) -> bool:
    """Whether an identifier is what a pattern such as ``01`` or ``31nn`` stands for."""
    return len(ai) == len(pattern) and all(p in ("n", c) for c, p in zip(ai, pattern))


def _numbers(cell: str) -> list[str]:
    first, _, last = cell.partition("-")
    return [f"{n:0{len(first)}}" for n in range(int(first), int(last or first) + 1)]


def _part(text: str) -> Part:
    optional = text.startswith("(")
    shape, *checks = text.strip("()").split()
    match = re.fullmatch(r"([NXYZ])(\.\.)?(\d+)", shape)
    if match is None:
        raise ValueError(f"no part of a format: {text!r}")
    most = int(match[3])
    return Part(match[1], 1 if match[2] else most, most, optional, tuple(checks))


def _link(cell: str) -> tuple[tuple[tuple[str, ...], ...] | None, bool]:
    words = [word.strip() for word in cell.split(",")]
    query = "query" in words
    if not words[0].startswith("key"):
        return None, query
    rows = words[0].removeprefix("key").split("/")
    return tuple(tuple(row.split()) for row in rows), query
