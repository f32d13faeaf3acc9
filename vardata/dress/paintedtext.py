"""A text field whose colour depends on the record: one variable for each colour of its table.

In: a fit that says which colour. Out: the same marks as any text field gives, in that colour. All
colours are process inks, so white and gloss follow them alike.
"""

from __future__ import annotations

from collections.abc import Sequence

from vardata.dress.ink import Ink
from vardata.dress.lettering import Lettering
from vardata.dress.sheet import Sheet
from vardata.dress.variable import Pictures, Report, Surroundings, TextVariable
from vardata.fit.result import FieldFit, TextFit
from vardata.marks import Placement


class PaintedText(TextVariable):
    """``inks`` are those of the table, in its order; ``ink`` is the field's own."""

    def __init__(
        self, index: int, lettering: Lettering, ink: Ink, inks: Sequence[Ink],
        colour: Sequence[int], over_colour: bool,
    ) -> None:  # fmt: skip
        super().__init__(index, lettering, ink, colour, over_colour)
        self._colour = frozenset(colour)
        self._painted = [TextVariable(index, lettering, one, colour, over_colour) for one in inks]

    def put(
        self, sheet: Sheet, fit: FieldFit, near: Surroundings, placement: Placement,
        store: Pictures, report: Report,
    ) -> None:  # fmt: skip
        if not isinstance(fit, TextFit) or not fit.paint:
            super().put(sheet, fit, near, placement, store, report)
            return
        chosen = self._painted[fit.paint - 1]
        if near.together is not None:
            paint = chosen.ink.paint
            shares = tuple(
                (plate, paint if plate in self._colour else tint, choke)
                for plate, tint, choke in near.together
            )
            near = near._replace(together=shares)
        chosen.put(sheet, fit, near, placement, store, report)
