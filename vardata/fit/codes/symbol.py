"""What every encoder gives: a symbol as bits, or the reason why there is none.

Knows no millimetres and no dots; ``place`` turns a symbol into a fit.
"""

from __future__ import annotations

from typing import NamedTuple


class Symbol(NamedTuple):
    """A bar code without its quiet zone.

    ``bits``: ``rows`` rows from the top, each padded to whole bytes, most significant bit
    first, 1 is dark. A linear code has one row; its height is the box's business. ``text`` is
    what a reader returns, check characters included; ``line`` is the human-readable line of a
    linear code, "" where there is none.
    """

    columns: int
    rows: int
    bits: bytes
    text: str
    line: str = ""


class CodeError(Exception):
    """A text that its symbology cannot carry: what is wrong, and how to mend it."""

    def __init__(self, what: str, remedy: str = "") -> None:
        super().__init__(f"{what}; {remedy}" if remedy else what)
        self.what = what
        self.remedy = remedy


def one_row(modules: str, text: str, line: str) -> Symbol:
    """A linear symbol from its modules as a string of 0 and 1, the first module at the left."""
    columns = len(modules)
    size = (columns + 7) // 8
    bits = (int(modules, 2) << (size * 8 - columns)).to_bytes(size, "big")
    return Symbol(columns, 1, bits, text, line)


def shown(characters: str, most: int = 5) -> str:
    """Characters for a message, each once, in order of appearance: ``'é', '\\t'``."""
    distinct = list(dict.fromkeys(characters))
    names = ", ".join(map(ascii_or_self, distinct[:most]))
    return names + (f" and {len(distinct) - most} more" if len(distinct) > most else "")


def ascii_or_self(character: str) -> str:
    """A character in quotes; one that does not show is written as its escape."""
    return repr(character) if character.isprintable() else ascii(character)
