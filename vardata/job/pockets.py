"""A jig's pockets in the order in which they are filled.

In: ``Jig``. Out: slots with their names, centres and rotation. Whether items fit on the bed
is ``impose.checks``'s question.
"""

from __future__ import annotations

from vardata.job.model import Grid, Jig, Slot
from vardata.letters import letters


def _grid_slot(grid: Grid, row: int, column: int) -> Slot:
    return Slot(
        name=f"{letters(row)}{column + 1}",
        x=grid.offset[0] + column * grid.pitch[0],
        y=grid.offset[1] + row * grid.pitch[1],
        rotation=grid.rotation,
    )


def _grid_slots(grid: Grid, fill: str) -> list[Slot]:
    if fill == "columns":
        return [
            _grid_slot(grid, row, column)
            for column in range(grid.columns)
            for row in range(grid.rows)
        ]
    slots = []
    for row in range(grid.rows):
        columns = range(grid.columns)
        backwards = fill == "serpentine" and row % 2 == 1
        slots += [_grid_slot(grid, row, c) for c in (reversed(columns) if backwards else columns)]
    return slots


def _listed_slots(slots: tuple[Slot, ...], fill: str) -> list[Slot]:
    """Explicit slots: "rows" keeps the order of the file; the others sort by place.

    A row (column) is all slots whose centres share y (x) to a tenth of a millimetre.
    """
    if fill == "rows":
        return list(slots)
    if fill == "columns":
        return sorted(slots, key=lambda slot: (round(slot.x, 1), slot.y))
    rows: dict[float, list[Slot]] = {}
    for slot in sorted(slots, key=lambda slot: (round(slot.y, 1), slot.x)):
        rows.setdefault(round(slot.y, 1), []).append(slot)
    ordered = []
    for number, row in enumerate(rows.values()):
        ordered += row if number % 2 == 0 else row[::-1]
    return ordered


def all_slots(jig: Jig) -> tuple[Slot, ...]:
    """Every pocket of the jig, blocked ones too, in filling order."""
    if jig.grid is not None:
        return tuple(_grid_slots(jig.grid, jig.fill))
    return tuple(_listed_slots(jig.slots, jig.fill))


def usable_slots(jig: Jig) -> tuple[Slot, ...]:
    """The pockets that take items, in filling order."""
    blocked = set(jig.blocked)
    return tuple(slot for slot in all_slots(jig) if slot.name not in blocked)
