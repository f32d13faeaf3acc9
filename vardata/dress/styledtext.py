"""Texts whose styles have colours of their own: the marks of any text, painted run by run.

In: the variable of a text, and the process inks of its styles. Out: its marks with the runs of a
style in the ink of that style. All are process inks, so white and gloss follow the text as one.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TypeVar

from vardata.dress.aroundtext import AroundText
from vardata.dress.ink import Ink
from vardata.dress.sheet import Sheet
from vardata.dress.variable import Pictures, Report, Surroundings, TextVariable
from vardata.fit.result import FieldFit, TextFit
from vardata.marks import GlyphRun, Mark, Placement, RunOnPlates

M = TypeVar("M", Mark, Mark | RunOnPlates)


class StyledVariable(AroundText):
    """``plain`` paints the text in one ink; ``inks`` are those of its styles, None for its own;
    ``colour`` are the colour plates."""

    def __init__(
        self, plain: TextVariable, inks: Sequence[Ink | None], colour: Collection[int]
    ) -> None:
        super().__init__(plain)
        self._inks, self._plates = tuple(inks), frozenset(colour)

    def put(
        self, sheet: Sheet, fit: FieldFit, near: Surroundings, placement: Placement,
        store: Pictures, report: Report,
    ) -> None:  # fmt: skip
        start = len(sheet.colour)
        self._text.put(sheet, fit, near, placement, store, report)
        if isinstance(fit, TextFit) and any(fit.styles):
            sheet.colour[start:] = repainted(sheet.colour[start:], fit, self._inks, self._plates)


def repainted(
    marks: Sequence[M], fit: TextFit, inks: Sequence[Ink | None], plates: Collection[int]
) -> list[M]:
    """A text's marks, one for each of its runs on each plate in turn, in the inks of its styles."""
    found: list[M] = []
    for at, mark in enumerate(marks):
        style = fit.styles[at % len(fit.styles)]
        ink = inks[style - 1] if style else None
        if ink is None:
            found.append(mark)
        elif isinstance(mark, GlyphRun):
            found.append(mark._replace(paint=ink.paint))
        elif isinstance(mark, RunOnPlates):
            shares = tuple(
                (plate, ink.paint if plate in plates else paint, choke)
                for plate, paint, choke in mark.shares
            )
            found.append(mark._replace(shares=shares))
    return found
