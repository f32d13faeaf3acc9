"""The bed file: a machine, its printable area and its print modes. Lengths are mm."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from vardata.job.frozen import Model
from vardata.job.values import BedMm, FileName, Flag, Name, Number, SomeMm

Dpi = Annotated[Number, Field(ge=50, le=10000)]


class PrintMode(Model):
    """A way the machine prints a bed."""

    dpi: tuple[Dpi, Dpi]
    """dots per inch along x and along y"""
    ink_limit: Annotated[Number, Field(ge=100, le=400)] | None = None
    """the most process ink on one spot, in percent; 400 is all four in full"""
    reduction: dict[Name, SomeMm] = Field(default_factory=dict)
    """how much narrower the modules of codes are drawn on a plate, by the plate's name, for ink that spreads"""  # noqa: E501


class Bed(Model):
    """The printable area of the machine; a bed PDF's page is exactly this large."""

    name: FileName
    """the machine's name in lists and records"""
    width: BedMm
    """the printable width, along x"""
    height: BedMm
    """the printable depth, along y, from front to back"""
    modes: Annotated[dict[Name, PrintMode], Field(min_length=1)]
    """the machine's print modes by name"""
    anchor_marks: Flag = False
    """tiny marks in the corners of the bed, so that a program cannot crop the page"""
    plate_names: dict[Name, Name] = Field(default_factory=dict)
    """what this machine calls a plate of the layout"""
