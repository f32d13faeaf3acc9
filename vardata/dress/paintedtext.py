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
        self._nears: dict[tuple[int, int], tuple[Surroundings, Surroundings]] = {}
        self._painted = [TextVariable(index, lettering, one, colour, over_colour) for one in inks]

    def put(
        self, sheet: Sheet, fit: FieldFit, near: Surroundings, placement: Placement,
        store: Pictures, report: Report,
    ) -> None:  # fmt: skip
        if not isinstance(fit, TextFit) or not fit.paint:
            super().put(sheet, fit, near, placement, store, report)
            return
        if near.together is not None:
            near = self._near(near, fit.paint)
        self._painted[fit.paint - 1].put(sheet, fit, near, placement, store, report)

    def _near(self, near: Surroundings, paint: int) -> Surroundings:
        """What the place means for a text in another ink; the same value each time."""
        found = self._nears.get((id(near), paint))
        if found is None:
            own = self._painted[paint - 1].ink.paint
            shares = tuple(
                (plate, own if plate in self._colour else tint, choke)
                for plate, tint, choke in near.together or ()
            )
            found = self._nears[id(near), paint] = near, near._replace(together=shares)
        return found[1]
