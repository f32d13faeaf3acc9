"""Seals on rows set aside: whether a row that comes back was mended at all.

In, on the way out: a held row and its problems. Out: a seal for each reason that lay in a cell's
form, which the texts of a table of held rows cannot keep (an error value, lost digits, a formula
without a result, cells that slipped). In, on the way back: the row with its seals. Out: the same
reasons again for what is as it was. A seal is "number:kind:digest": the number of the reason in
the row, and a digest of the heading and its cell, or of all cells. It keeps no cell's text.

Also knows the headings that are our own, of which nothing is to be said to the shop.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Sequence

from vardata.intake.cellfault import CellFault
from vardata.problems import Problem
from vardata.spreadsafe import HELD_MARK

HELD_SEAL = "held: seal"
HELD_HEADINGS = ("held: row", "held: place", HELD_MARK, "held: how to mend", HELD_SEAL)
SKIPPED_HEADINGS = ("skipped: row", "skipped: reason")
REASONS = frozenset(HELD_HEADINGS + SKIPPED_HEADINGS)

_FORM = frozenset((
    "error-cell", "too-many-digits", "uncached-formula", "unclear-format", "damaged-cell",
    "regional-date", "nested-value", "too-many-cells", "stray-row", "stray-quote",
))  # fmt: skip
_SEAL = re.compile(r"(\d+):([a-z-]+):([0-9a-f]{12})")
_REMEDY = f"mend it, or empty {HELD_SEAL!r} if it is right as it stands"


def reason_places(headings: Sequence[str]) -> frozenset[int]:
    """The columns that are reasons of an earlier run, not the order sheet's own."""
    return frozenset(i for i, heading in enumerate(headings) if heading.strip() in REASONS)


def seals(headings: Sequence[str], cells: Sequence[str], told: Sequence[Problem]) -> str:
    """What is written beside a held row. ``headings`` and ``cells`` are the sheet's own,
    ``told`` the row's reasons as they are numbered."""
    out = []
    for number, problem in enumerate(told, 1):
        if problem.kind in _FORM:
            column = problem.where.column
            found = [cell for heading, cell in zip(headings, cells) if heading == column]
            digest = _digest(column, found[:1]) if found else _digest("", cells)
            out.append(f"{number}:{problem.kind}:{digest}")
    return " ".join(out)


class Seals:
    """The seals of one sheet. ``columns`` are those on the sheet, by position."""

    def __init__(self, headings: Sequence[str], columns: Sequence[int]) -> None:
        bare = [heading.strip() for heading in headings]
        self._seal, self._what = bare.index(HELD_SEAL), bare.index(HELD_MARK)
        reasons = reason_places(headings)
        self._own = [
            (i, heading, columns[i]) for i, heading in enumerate(headings) if i not in reasons
        ]

    def faults(
        self, values: Sequence[str], known: Sequence[CellFault]
    ) -> Iterator[CellFault]:
        """The faults of cells that are as they were when their row was held."""
        for seal in _SEAL.finditer(values[self._seal]):
            kind, digest = seal[2], seal[3]
            what = _reason(values[self._what], seal[1])
            if digest == _digest("", [values[i] for i, _, _ in self._own]):
                yield CellFault(-1, kind, what, _REMEDY)
                continue
            for i, heading, column in self._own:
                if digest == _digest(heading, [values[i]]):
                    if not any(one.column == column and one.kind == kind for one in known):
                        yield CellFault(column, kind, what, _REMEDY, values[i])
                    break


def _digest(heading: str, cells: Sequence[str]) -> str:
    """White space does not count: programs change it on the way."""
    parts = [" ".join(text.split()) for text in (heading, *cells)]
    return hashlib.sha256("\x1f".join(parts).encode("utf-8", "surrogatepass")).hexdigest()[:12]


def _reason(text: str, number: str) -> str:
    """The reason of this number, where there are several, else all of it."""
    found = re.search(rf"(?ms)^{number}\. (.*?)(?=\n\d+\. |\Z)", text)
    return (found[1] if found else text).strip() or "the cell is as it was when its row was held"
