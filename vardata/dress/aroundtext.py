"""What variables share that paint a text otherwise and leave the rest to a plain one.

In: the plain variable of a text. Out: its places on plates and its density of white, said once.
"""

from __future__ import annotations

from collections.abc import Sequence

from vardata.dress.variable import Surroundings, TextVariable
from vardata.dress.white import WhitePlate


class AroundText(TextVariable):
    """``plain`` paints the text in one ink; ``colour`` are the colour plates, if any are painted
    here."""

    def __init__(self, plain: TextVariable, colour: Sequence[int] = ()) -> None:
        super().__init__(plain.index, plain.lettering, plain.ink, colour, False)
        self._text = plain

    def together(self, near: Surroundings, whites: Sequence[WhitePlate]) -> Surroundings:
        self._text.density = self.density
        return self._text.together(near, whites)
