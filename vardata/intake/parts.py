"""Labelled parts of one cell: 'Name: Ann Lee / Date: 5 May' becomes two columns.

In: the patterns that the job states, such as "Name: {name} / Date: {date}". Out: for each cell
one text a part, or a fault. What is in [ ] may be missing. Capitals of labels do not matter, nor
how much white space stands around them; a cell that does not follow the pattern is never guessed,
nor one in which a part holds a label that the pattern does not have there.
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

_PART = re.compile(r"\{\w+\}")
_LEADING = re.compile(r"\W*")
_PIECES = re.compile(r"\w+|[^\w\s]")
_USUAL = {"/", ";", "|"}  # between parts, where the pattern has nothing there
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
        if match is None:
            return None
        parts = tuple((match[name] or "").strip() for name in self.names)
        return None if any(map(_label_of(self.pattern).search, parts)) else parts

    def fault(self, index: int, text: str) -> CellFault:
        what = f"{quoted(text)} does not follow the pattern {self.pattern!r}"
        match = _compiled(self.pattern).fullmatch(text.strip())
        if match is not None:
            labels = (_label_of(self.pattern).search(match[name] or "") for name in self.names)
            label = next(found["label"] for found in labels if found)
            what += f", which has no place for a label {quoted(label)} there"
        remedy = "write the cell like it, or mend parts under [columns]"
        return CellFault(index, "no-parts", what, remedy, text)


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


@lru_cache(maxsize=64)
def _label_of(pattern: str) -> re.Pattern[str]:
    """Finds what looks like one more label in a part: a word and a colon after a mark that stands
    between parts of the pattern, or after a line break; and each label of the pattern itself.
    """
    texts = [text.strip() for text in _PART.split(re.sub(r"[\[\]]", "", pattern))]
    marks = {mark for text in texts[1:-1] for mark in re.split(r"\w", text, maxsplit=1)[0].split()}
    marks = {mark for mark in marks if mark not in ":="} or _USUAL
    between = "|".join(map(re.escape, sorted(marks)))
    one_more = rf"[^\W\d][^:\n{re.escape(''.join(sorted(marks)))}]{{0,29}}:(?!\d|//)"
    own = sorted({_LEADING.sub("", text, count=1) for text in texts if re.search(r"\w.*:$", text)})
    if not own:
        return re.compile(rf"(?:{between}|\n)\s*(?P<label>{one_more})")
    known = "|".join(r"\s*".join(map(re.escape, _PIECES.findall(label))) for label in own)
    return re.compile(
        rf"(?:(?:{between}|\n)\s*|(?<!\w)(?={known}))(?P<label>{known}|{one_more})", re.IGNORECASE
    )


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
