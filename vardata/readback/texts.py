"""The texts of a slot: is there ink in each box, and none just outside it.

In: a bed file's plates, a slot's line, the layout. Out: a ``TextResult`` for each text. This
does not read letters. It finds a text that is missing or was moved; it does not find a wrong
letter, nor a text that was moved into other print, and where the field's box lies over art
or another field, what is printed there counts as ink of the field.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from vardata.dress.ink import Plates
from vardata.dress.outline import shape_outline
from vardata.fit.outlines import bounds
from vardata.job.model import Blank, CodeField, Layout, ShapeField, TextField
from vardata.readback.facing import not_read
from vardata.readback.plates import BedView, Grey, Window
from vardata.readback.result import Fault, TextResult
from vardata.readback.symbol import INKED
from vardata.units import MM_PER_INCH

DPI = 200
_MARGIN = 1.0  # mm seen around the item
_GAP = 0.15  # mm outside a box that a letter's soft edge may reach, at this resolution
_RING = 0.6  # mm, the thickness of what must be free beyond that
_AROUND = 0.3  # mm around everything else that is laid out
_MOST_PIXELS = 16_000_000
_AGAIN = "build the run again and do not print this file"

Mask = npt.NDArray[np.bool_]


class _Field(NamedTuple):
    """A text field's own pixels, and the ring around its box where nothing else lies."""

    field: TextField
    inside: Mask
    ring: Mask


class TextJudge:
    """Judges the texts of one layout; masks are the same for every slot."""

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._plates = Plates(layout)
        skipped = not_read(layout)
        self._colour = tuple(i for i in self._plates.colour if i not in skipped)
        self._width = layout.width + 2 * _MARGIN
        self._height = layout.height + 2 * _MARGIN
        most = math.sqrt(_MOST_PIXELS / (self._width * self._height))
        self._scale = min(DPI / MM_PER_INCH, most)
        self._columns = max(1, round(self._width * self._scale))
        self._rows = max(1, round(self._height * self._scale))
        self._fields = self._masks()

    def judge(self, view: BedView, slot: dict[str, Any], blank: Blank) -> list[TextResult]:
        """Raises ``plates.BedUnreadable``."""
        if not slot["texts"]:
            return []
        x, y, w, h = slot["box_mm"]
        window = Window(
            x + w / 2, y + h / 2, self._width, self._height, slot["rotation_deg"],
            self._columns, self._rows,
        )
        crops: dict[int, Grey] = {}

        def inked(plates: tuple[int, ...], where: Mask) -> bool:
            for plate in plates:
                if plate not in crops:
                    page = slot["pages"][self._plates.all[plate].name]
                    crops[plate] = view.plate(plate, page, window)
                if bool((crops[plate][where] < INKED).any()):
                    return True
            return False

        covers = self._plates.covers(blank)
        watched = self._colour + tuple(
            plate for plate, cover in covers.items() if cover in ("none", "art")
        )
        results = []
        for text in slot["texts"]:
            at = self._fields[text["field"]]
            ink = inked(self._on(at.field, blank), at.inside)
            outside = inked(watched, at.ring)
            results.append(TextResult(
                at.field.name, text["text"], ink, outside, _faults(text["text"], ink, outside)
            ))
        return results

    def _on(self, field: TextField, blank: Blank) -> tuple[int, ...]:
        """The plates one of which shows the text."""
        ink = self._plates.ink(field.colour, field.name)
        if ink.kind == "white":
            # Without a white plate the letters are left out of what lies below them.
            return self._plates.white_plates(ink, blank) or self._colour
        return self._colour if ink.kind == "colour" else ink.plates

    def _masks(self) -> dict[str, _Field]:
        columns = (np.arange(self._columns) + 0.5) * self._width / self._columns - _MARGIN
        rows = (np.arange(self._rows)[::-1] + 0.5) * self._height / self._rows - _MARGIN
        across, upwards = np.meshgrid(columns, rows)

        def box(area: tuple[float, ...], rotation: float, grow: float) -> Mask:
            x, y, w, h = area
            dx, dy = across - (x + w / 2), upwards - (y + h / 2)
            c, s = math.cos(math.radians(rotation)), math.sin(math.radians(rotation))
            along, up = c * dx + s * dy, c * dy - s * dx
            inside: Mask = (abs(along) <= w / 2 + grow) & (abs(up) <= h / 2 + grow)
            return inside

        others: dict[str, Mask] = {}
        taken = np.zeros((self._rows, self._columns), np.bool_)
        for art in self._layout.art:
            taken |= box(art.box, art.rotation, _AROUND)
        for field in self._layout.fields:
            grow = _AROUND
            if isinstance(field, ShapeField):
                grow += field.stroke_width / 2
            elif isinstance(field, CodeField):
                grow = max(grow, 0.2)
            others[field.name] = box(_reach(field), field.rotation, grow)
        made = {}
        for field in self._layout.fields:
            if isinstance(field, TextField):
                ring = box(field.box, field.rotation, _GAP + _RING)
                ring &= ~box(field.box, field.rotation, _GAP) & ~taken
                for name, mask in others.items():
                    if name != field.name:
                        ring &= ~mask
                made[field.name] = _Field(field, box(field.box, field.rotation, 0.0), ring)
        return made


def _reach(field: Any) -> tuple[float, ...]:
    """A field's box; a shape drawn by a path of its own may lie elsewhere."""
    x, y, w, h = field.box
    if isinstance(field, ShapeField) and field.shape == "path":
        drawn = bounds(shape_outline(field))
        if drawn is not None:
            x0, y0, x1, y1 = drawn
            # Both turn about the centre of the field's box, so the box grows evenly.
            wide = 2 * max(abs(x0 - x - w / 2), abs(x1 - x - w / 2), w / 2)
            high = 2 * max(abs(y0 - y - h / 2), abs(y1 - y - h / 2), h / 2)
            return (x + w / 2 - wide / 2, y + h / 2 - high / 2, wide, high)
    return (x, y, w, h)


def _faults(text: str, ink: bool, outside: bool) -> tuple[Fault, ...]:
    found = []
    if not ink and text.strip():
        found.append(Fault("text-missing", "there is no ink in the text's box", _AGAIN))
    if outside:
        found.append(Fault("text-outside", "there is ink just outside the text's box", _AGAIN))
    return tuple(found)
