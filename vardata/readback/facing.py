"""Beds whose items are looked at through the blank: the bed turned round for reading.

In: a slot's line of ``slots.jsonl``. Out: the same line as seen from behind, where everything
that is printed mirrored reads the right way round.
"""

from __future__ import annotations

from typing import Any

from vardata.job.model import Layout
from vardata.job.surfaces import face_down, mirrored_plates


def from_behind(slot: dict[str, Any], width: float) -> dict[str, Any]:
    """A slot with its boxes mirrored within ``width`` mm and its turn the other way."""

    def box(found: list[float]) -> list[float]:
        x, y, w, h = found
        return [width - x - w, y, w, h]

    codes = [{**code, "box_mm": box(code["box_mm"])} for code in slot["codes"]]
    turned = -slot["rotation_deg"] % 360.0
    return {**slot, "box_mm": box(slot["box_mm"]), "rotation_deg": turned, "codes": codes}


def not_read(layout: Layout) -> frozenset[int]:
    """Plates that are mirrored while others are not: the other side of a sandwich, which is
    not read back."""
    return frozenset() if face_down(layout) else mirrored_plates(layout)
