"""GS1 element strings in brackets: ``(01)09521234543213(10)ABC123``.

In: the text a person writes. Out: a ``Message`` of checked elements, with the data as symbols
carry it. A bracket that belongs to the data and looks like an identifier's is written ``\\(``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from vardata.gs1.checks import CHECKS, SET_NAMES, SETS
from vardata.gs1.error import Gs1Error
from vardata.gs1.table import Identifier, Part, identifiers, matches

SEPARATOR = "\x1d"  # as readers hand on the FNC1 between elements (GSCN 16-477, secondary)
_OPENING = re.compile(r"(?<!\\)\(([0-9]{2,4})\)")
_ESCAPE = re.compile(r"\\([()])")


class Element(NamedTuple):
    """An application identifier and its data."""

    identifier: Identifier
    data: str

    @property
    def ai(self) -> str:
        return self.identifier.ai


class Message(NamedTuple):
    """Checked elements in the order they were written."""

    elements: tuple[Element, ...]

    @property
    def data(self) -> str:
        """What a reader hands on: elements joined, a separator after each one whose length is
        not predefined, unless it is the last (GS1 General Specifications, 7.8.6, secondary)."""
        last = len(self.elements) - 1
        return "".join(
            element.ai
            + element.data
            + (SEPARATOR if at < last and not element.identifier.predefined else "")
            for at, element in enumerate(self.elements)
        )

    @property
    def line(self) -> str:
        """The human-readable line: identifiers in brackets, which are not encoded."""
        return "".join(f"({element.ai}){element.data}" for element in self.elements)

    @property
    def bracketed(self) -> str:
        """The same in square brackets, which no data can hold."""
        return "".join(f"[{element.ai}]{element.data}" for element in self.elements)


def escaped(data: str) -> str:
    """Data as it is written in a message in brackets, so that it stays data."""
    return data.replace("(", "\\(").replace(")", "\\)")


@lru_cache(maxsize=256)  # the pieces of one row share their text
def parse(text: str) -> Message:
    """The message of a text in brackets. Raises ``Gs1Error``."""
    elements = tuple(_checked(ai, data) for ai, data in _split(text))
    _pairs(elements)
    return Message(elements)


def _split(text: str) -> Iterator[tuple[str, str]]:
    found = list(_OPENING.finditer(text))
    if not found or found[0].start():
        raise Gs1Error(
            "the text does not begin with an application identifier in brackets",
            "write it as (01)09521234543213(10)ABC123",
        )
    ends = [match.start() for match in found[1:]] + [len(text)]
    for match, end in zip(found, ends):
        yield match[1], _ESCAPE.sub(r"\1", text[match.end() : end])


def _checked(ai: str, data: str) -> Element:
    """One element whose data its identifier allows."""
    identifier = identifiers().get(ai)
    if identifier is None:
        raise Gs1Error(
            f"there is no application identifier ({ai})",
            "compare it with the GS1 list; a bracket that belongs to the data is written \\(",
        )
    name = f"({ai}) {identifier.title}"
    if not data:
        raise Gs1Error(f"{name} has no data", "fill the cell, or take the identifier away")
    _characters(name, identifier, data)
    rest = data
    for part, piece in _pieces(name, identifier, data):
        for check in part.checks:
            wrong = CHECKS[check](piece)
            if wrong:
                raise Gs1Error(f"{name}: {wrong}", "compare the data with its source")
        rest = rest[len(piece) :]
    return Element(identifier, data)


def _characters(name: str, identifier: Identifier, data: str) -> None:
    """Refuses characters that no part of the data may hold."""
    kinds = dict.fromkeys(part.kind for part in identifier.parts)
    allowed = "".join(SETS[kind] for kind in kinds)
    wrong = dict.fromkeys(c for c in data if c not in allowed)
    if wrong:
        shown = ", ".join(repr(c) if c.isprintable() else ascii(c) for c in list(wrong)[:5])
        kind = next((k for k in ("X", "Y", "Z") if k in kinds), "N")
        raise Gs1Error(f"{name} cannot hold {shown}", f"use {SET_NAMES[kind]}")


def _pieces(name: str, identifier: Identifier, data: str) -> Iterator[tuple[Part, str]]:
    """The data cut into its parts, each of a right length and character set."""
    least = sum(part.least for part in identifier.parts if not part.optional)
    most = sum(part.most for part in identifier.parts)
    if not least <= len(data) <= most:
        raise Gs1Error(*_length(name, identifier, data, least, most))
    at = 0
    for part in identifier.parts:
        piece = data[at : at + part.most]
        at += len(piece)
        if not piece:
            return
        if len(piece) < part.least:
            raise Gs1Error(
                f"{name}: {data} ends within a part of {part.least} characters",
                "compare the data with its source",
            )
        wrong = next((c for c in piece if c not in SETS[part.kind]), None)
        if wrong is not None:
            raise Gs1Error(
                f"{name}: {wrong!r} stands in {piece}, where {SET_NAMES[part.kind]} belong",
                "compare the data with its source",
            )
        yield part, piece


def _length(name: str, identifier: Identifier, data: str, least: int, most: int) -> tuple[str, str]:
    noun = "digits" if all(part.kind == "N" for part in identifier.parts) else "characters"
    asked = f"{least}" if least == most else f"{least} to {most}"
    what = f"{name} takes {asked} {noun}, {data} has {len(data)}"
    if identifier.parts[0] == Part("N", 14, 14, False, ("check",)) and len(data) in (8, 12, 13):
        return what, f"put zeros before it: {data:0>14}"
    if len(data) == most - 1 and "check" in identifier.parts[0].checks:
        return what, "add its check digit, or a zero that was lost at its beginning"
    return what, "compare the data with its source"


def _pairs(elements: tuple[Element, ...]) -> None:
    """Refuses a message in which an identifier comes twice, lacks one or meets one it bars."""
    numbers = [element.ai for element in elements]
    for at, (identifier, _) in enumerate(elements):
        ai, name = identifier.ai, f"({identifier.ai}) {identifier.title}"
        if ai in numbers[:at]:
            raise Gs1Error(f"{name} comes twice", "keep one of them")
        for other in numbers:
            if other != ai and any(matches(other, pattern) for pattern in identifier.bars):
                raise Gs1Error(f"{name} cannot stand beside ({other})", "keep one of them")
        if identifier.needs and not any(
            all(any(matches(other, pattern) for other in numbers) for pattern in group)
            for group in identifier.needs
        ):
            ways = " or ".join(
                " with ".join(f"({pattern})" for pattern in group) for group in identifier.needs
            )
            raise Gs1Error(f"{name} does not stand alone", f"it needs {ways} beside it")
