"""Bar width reduction: how much narrower the modules of codes are drawn, for ink that spreads.

In: a code field, a plate, a print mode. Out: millimetres, and the whole dots that they are.
Modules lose half on either side; where a number of dots is odd, one more at the left and top.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from vardata.job.claims import Claim
from vardata.job.layout import CodeField, Layout
from vardata.job.lines import KeyPath
from vardata.job.model import Bed, PrintMode
from vardata.job.near import choose, nearest
from vardata.job.plate import Plate
from vardata.job.toml import Source
from vardata.job.values import WHITE
from vardata.units import MM_PER_INCH


class Off(NamedTuple):
    """Dots that a module loses along the symbol's columns and along its rows (0: a bar's
    length stays)."""

    across: int
    upwards: int

    @property
    def sides(self) -> tuple[int, int, int, int]:
        """The same by side: left, bottom, right, top."""
        return (
            self.across - self.across // 2, self.upwards // 2, self.across // 2,
            self.upwards - self.upwards // 2,
        )  # fmt: skip


NOTHING = Off(0, 0)


def reduction(field: CodeField, plate: Plate, mode: PrintMode) -> float:
    """The mm by which a field's modules are narrower on a plate."""
    return mode.reduction.get(plate.name, 0.0) if field.reduction is None else field.reduction


def carriers(field: CodeField, layout: Layout) -> Iterator[Plate]:
    """The plates that print a field's modules."""
    named = [plate for plate in layout.plates if plate.name == field.colour]
    if named:
        yield from named
        return
    white = field.colour == WHITE or (not isinstance(field.colour, str) and not any(field.colour))
    white = white or (isinstance(field.colour, str) and field.colour.lower() == "#ffffff")
    for plate in layout.plates:
        if plate.role == ("white" if white else "colour"):
            yield plate


def dots_off(mm: float, mode: PrintMode, turn: int, matrix: bool) -> Off:
    """The whole dots of a reduction for a symbol at a net quarter ``turn`` on the bed."""
    across, upwards = (mode.dpi[(turn + axis) % 2] / MM_PER_INCH for axis in (0, 1))
    return Off(round(mm * across), round(mm * upwards) if matrix else 0)


def reduction_claims(
    bed: Bed, bed_source: Source, layout: Layout, source: Source, mode: str
) -> Iterator[Claim]:
    """Plates that are not there, and reductions that would change nothing."""
    shown = bed.modes[mode]
    plates = [plate.name for plate in layout.plates]
    for plate, mm in shown.reduction.items():
        path: KeyPath = ("modes", mode, "reduction", plate)
        if plate not in plates and nearest(plate, plates) is not None:
            what = f"the layout {layout.name!r} has no plate {plate!r}"
            yield Claim(bed_source, path, "unknown-plate", what, choose(plate, plates), plate)
        elif mm > 0.0:
            yield from _too_little(mm, shown, bed_source, path)
    for index, field in enumerate(layout.fields):
        if isinstance(field, CodeField) and field.reduction:
            yield from _too_little(field.reduction, shown, source, ("fields", index, "reduction"))


def _too_little(mm: float, mode: PrintMode, source: Source, path: KeyPath) -> Iterator[Claim]:
    coarse = MM_PER_INCH / min(mode.dpi)
    if round(mm / coarse) == 0:
        what = f"a reduction of {mm:g} mm is less than half a dot ({coarse:.3f} mm)"
        remedy = f"write {coarse:.3f} mm or more, or take it away"
        yield Claim(source, path, "reduction", what, remedy)
