"""The jig file: a grid of pockets or a list of them, and art on the bed itself. Lengths are mm."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from vardata.job.frozen import Model
from vardata.job.placing import Framed
from vardata.job.values import Box, FileName, Flag, Mm, Name, Number, PositiveMm, Whole


class Grid(Model):
    """Pockets in rows and columns: A1, A2, ... from the front left, B1 behind A1."""

    rows: Annotated[Whole, Field(ge=1, le=500)]
    """how many rows, from front to back"""
    columns: Annotated[Whole, Field(ge=1, le=500)]
    """how many columns, from left to right"""
    pitch: tuple[PositiveMm, PositiveMm]
    """from centre to centre, along x and along y"""
    offset: tuple[Mm, Mm]
    """x and y of the centre of the first slot, A1, at the front left of the bed"""
    rotation: Number = 0.0
    """degrees counter-clockwise by which each slot is turned"""


class Slot(Model):
    """One pocket."""

    name: Name
    """the slot's name on the jig"""
    x: Mm
    """its centre, from the left of the bed"""
    y: Mm
    """its centre, from the front of the bed"""
    rotation: Number = 0.0
    """degrees counter-clockwise"""


class Background(Framed):
    """Art that is printed on the bed itself: a guide, or a sheet of stock that is printed
    through."""

    file: str
    """an SVG, a PDF or a picture, relative to the jig file"""
    box: Box | None = None  # type: ignore[assignment]
    """x and y of the lower left corner, width and height, in bed mm; by default the whole bed"""
    plates: tuple[str, ...] = ()
    """the plates of the layout that it is printed on; by default those of the process inks"""
    under_items: Flag = False
    """it lies under the items too; by default it keeps off every slot, by the layout's bleed"""


class Jig(Model):
    """A plate with pockets: either a grid or a list of slots."""

    name: FileName
    """the jig's name in file names and lists"""
    grid: Grid | None = None
    """pockets in rows and columns"""
    slots: tuple[Slot, ...] = ()
    """pockets one by one"""
    pocket: tuple[PositiveMm, PositiveMm] | None = None
    """width and height of the largest item a slot takes"""
    blocked: tuple[str, ...] = ()
    """names of slots that stay empty"""
    fill: Literal["rows", "columns", "serpentine"] = "rows"
    """the order in which slots are filled"""
    face_down: Flag = False
    """the pockets hold items that lie on their face, so uneven outlines are cut mirrored"""
    background: tuple[Background, ...] = ()
    """art on the bed itself, painted in this order"""
