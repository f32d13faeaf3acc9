"""Which text fields may hold letters in colours of their own, as picture characters are.

In: a layout and one of its text fields. Out: yes or no. Whether a font draws a character as plain
outlines in colours is ``fit``'s to find out; here only the field is looked at.
"""

from __future__ import annotations

from vardata.job.model import Colour, Layout, TextField
from vardata.job.textstyle import is_decorated

_BARE = ("white", "#fff", "#ffffff")  # no process ink: white ink


def takes_layers(layout: Layout, field: TextField) -> bool:
    """Whether the field is set straight, in one style, in process inks, with nothing round it."""
    bent = field.arc is not None or bool(field.along) or field.direction == "down"
    return not (bent or field.styles or is_decorated(field)) and _is_process(layout, field.colour)


def _is_process(layout: Layout, colour: Colour) -> bool:
    if not isinstance(colour, str):
        return any(colour)
    if any(plate.name == colour and plate.role != "colour" for plate in layout.plates):
        return False
    return colour.strip().lower() not in _BARE
