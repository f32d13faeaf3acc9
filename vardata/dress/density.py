"""White under a variable field in less than the plate's full tint.

In: a field's way of putting marks on a sheet, its density. Out: the same way, the white that it
puts under its colour lighter. White that stands alone stays as it is.
"""

from __future__ import annotations

from typing import Any, Protocol

from vardata.dress.sheet import Sheet, WhiteLayer
from vardata.dress.variable import Pictures, Report, Surroundings, Variable
from vardata.fit.result import FieldFit
from vardata.marks import Mark, Placement


class Put(Protocol):
    """How a field puts one record's marks on a sheet."""

    def __call__(
        self, sheet: Sheet, fit: FieldFit, near: Surroundings, placement: Placement,
        store: Pictures, report: Report, /,
    ) -> None: ...  # fmt: skip


def putting(field: Variable) -> Put:
    """The field's own way, which costs nothing more, where its white is as dense as the plate."""
    if field.density == 1.0:
        return field.put

    def put(
        sheet: Sheet, fit: FieldFit, near: Surroundings, placement: Placement, store: Pictures,
        report: Report,
    ) -> None:  # fmt: skip
        before = {number: _lengths(layer) for number, layer in sheet.layers.items()}
        field.put(sheet, fit, near, placement, store, report)
        for number, layer in sheet.layers.items():
            soft, runs, areas, waiting = before.get(number) or (len(layer.plate.first), 0, 0, 0)
            for marks, start in ((layer.soft, soft), (layer.runs, runs), (layer.areas, areas)):
                marks[start:] = _lighter(marks[start:], field.density)
            layer.waiting[waiting:] = [
                one._replace(
                    thing=one.thing._replace(density=field.density),
                    runs=_lighter(one.runs, field.density),
                    areas=_lighter(one.areas, field.density),
                )
                if one.thing.role == "under" else one
                for one in layer.waiting[waiting:]
            ]  # fmt: skip

    return put


def _lengths(layer: WhiteLayer) -> tuple[int, int, int, int]:
    return len(layer.soft), len(layer.runs), len(layer.areas), len(layer.waiting)


def _lighter(marks: list[Mark], density: float) -> list[Mark]:
    made: list[Mark] = []
    for mark in marks:
        own: Any = mark  # each kind of mark that a separation has carries a tint as its paint
        made.append(own._replace(paint=own.paint * density))
    return made
