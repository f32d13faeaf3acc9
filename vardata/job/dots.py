"""Lengths that a layout states in dots, as millimetres of one print mode.

In: a layout as it was written, the mode that it is printed in. Out: the same layout, all its
lengths in mm. A dot is the larger of the two where a mode's axes differ.
"""

from __future__ import annotations

from typing import TypeVar

from vardata.job.frozen import Model
from vardata.job.layout import Layout
from vardata.job.model import PrintMode
from vardata.units import MM_PER_INCH, Dots

M = TypeVar("M", bound=Model)


def larger_dot(mode: PrintMode) -> float:
    """The side of a dot in mm, the longer one."""
    return MM_PER_INCH / min(mode.dpi)


def in_mm(layout: Layout, mode: PrintMode) -> Layout:
    """The layout without a length in dots."""
    dot = larger_dot(mode)
    parts = {
        "plates": tuple(_measured(plate, dot) for plate in layout.plates),
        "art": tuple(_measured(art, dot) for art in layout.art),
        "fields": tuple(_measured(field, dot) for field in layout.fields),
    }
    return layout.model_copy(update=parts)


def _measured(part: M, dot: float) -> M:
    found = {
        key: float(value) * dot
        for key in type(part).model_fields
        if isinstance(value := getattr(part, key), Dots)
    }
    return part.model_copy(update=found) if found else part
