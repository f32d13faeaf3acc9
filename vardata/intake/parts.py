"""Labelled parts of one cell: 'Name: Ann Lee / Date: 5 May' becomes two columns.

In: the patterns that the job states, such as "Name: {name} / Date: {date}". Out: for each cell
one text a part, or a fault. What is in [ ] may be missing. Capitals of labels do not matter, nor
how much white space stands around them; a cell that does not follow the pattern is never guessed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from vardata.intake.cellfault import CellFault
from vardata.intake.tally import quoted

if TYPE_CHECKING:
    from vardata.job.model import Column

_TOKEN = re.compile(r"\{(\w+)\}|\s+|[\[\]]|[^{}\[\]\s]+")


@dataclass(frozen=True)
class Split:
    """The parts of one column. ``place`` is its position among the kept columns."""

    place: int
    pattern: str
    names: tuple[str, ...]

    def parts(self, text: str) -> tuple[str, ...] | None:
        """A text a part, or None where the cell does not follow the pattern."""
        if not text.strip():
            return ("",) * len(self.names)
        match = _compiled(self.pattern).fullmatch(text.strip())
        return None if match is None else tuple((match[name] or "").strip() for name in self.names)

    def fault(self, index: int, text: str) -> CellFault:
        return CellFault(
            index, "no-parts", f"{quoted(text)} does not follow the pattern {self.pattern!r}",
            "write the cell like it, or mend parts under [columns]", text,
        )  # fmt: skip


@lru_cache(maxsize=64)
def _compiled(pattern: str) -> re.Pattern[str]:
    """White space of the pattern stands for any, also none; a part is as short as it can be."""
    out = ""
    for token in _TOKEN.finditer(pattern):
        text = token[0]
        if token[1]:
            out += f"(?P<{token[1]}>.*?)"
        elif text in "[]":
            out += "(?:" if text == "[" else ")?"
        else:
            out += r"\s*" if text.isspace() else re.escape(text)
    return re.compile(out, re.IGNORECASE | re.DOTALL)


def part_names(pattern: str) -> tuple[str, ...]:
    return tuple(match[1] for match in _TOKEN.finditer(pattern) if match[1])


def splits(columns: Mapping[str, str | Column], names: Sequence[str]) -> tuple[Split, ...]:
    """The columns of the job that are split, by their position among ``names``."""
    found = []
    for name, column in columns.items():
        pattern = getattr(column, "parts", None)
        if pattern and name in names:
            found.append(Split(names.index(name), pattern, part_names(pattern)))
    return tuple(found)
