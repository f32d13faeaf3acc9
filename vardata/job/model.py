"""The frozen values that a job is made of: ``Job``, ``Layout``, ``Jig``, ``Bed``, and ``Setup``.

They are pydantic models, so the same definition validates TOML, types the code and exports
JSON Schema; the text under a key is its description there. The classes of each file stand in
``job.jobfile``, ``job.layout``, ``job.jig`` and ``job.machine``; this module has them all.
Reading files, line numbers and near names are ``job.load``'s business; rules that need two
files at once (item against slot) are ``job.checks``'s. Lengths are mm.
"""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict

from vardata.job.fontaxes import Axes
from vardata.job.frozen import Model
from vardata.job.jig import Background, Grid, Jig, Slot
from vardata.job.jobfile import Blank, Card, Column, Job, Output, Product, Records, Sheet, Work
from vardata.job.layout import (
    Align,
    AnyField,
    CodeField,
    FitStep,
    Layout,
    PictureField,
    ShapeField,
    TextField,
    Valign,
)
from vardata.job.machine import Bed, PrintMode
from vardata.job.placing import Art, Framed, Pictured, Placed
from vardata.job.plate import Plate, default_plates
from vardata.job.serials import SerialRule
from vardata.job.sheetchecks import Checks, Expect
from vardata.job.sides import SideB
from vardata.job.values import (
    Box,
    Colour,
    FontNames,
    GlossCover,
    Mm,
    Percent,
    PositiveMm,
    PositivePt,
    Pt,
    Surface,
    WhiteCover,
)

__all__ = [
    "Align", "AnyField", "Art", "Background", "Bed", "Blank", "Box", "Card", "Checks", "CodeField",
    "Colour", "Column", "Expect", "FitStep", "FontNames", "Framed", "GlossCover", "Grid", "Jig",
    "Job", "Layout",
    "Mm", "Model", "Output", "Percent", "PictureField", "Pictured", "Placed", "Plate", "PositiveMm",
    "PositivePt", "PrintMode", "Product", "Pt", "Records", "SerialRule", "Setup", "ShapeField",
    "Sheet", "SideB", "Slot", "Surface", "TextField", "Valign", "WhiteCover", "Work",
    "default_plates",
]  # fmt: skip


class Setup(BaseModel):
    """Everything a run is made from, read and checked: what later stages take."""

    model_config = ConfigDict(frozen=True, arbitrary_types_allowed=True)

    job: Job
    layout: Layout
    jig: Jig
    bed: Bed
    mode: PrintMode
    sheet_file: Path
    job_file: Path
    layout_file: Path
    files: dict[str, Path] = {}  # every file a static part names, by the name it is written with
    fonts: dict[str, Path] = {}  # every font named, by the name it is written with
    members: dict[str, int] = {}  # of fonts in collections, by the same name: the place, from 0
    axes: dict[str, Axes] = {}  # of variable fonts, by the same name: the value of each axis
    profile: Path | None = None  # the ICC profile of the process inks
    lists: dict[str, Path] = {}  # given values of serials, by the name of the serial
    photos: dict[str, Path] = {}  # photos of blanks, by the blank's key
    # In a mixed job one setup for each product, of which this is the first; a layout is then
    # called by its product.
    products: tuple[Setup, ...] = ()
    # Of two-sided pieces: the setup of side B, which is that of side A but for its layout, the
    # files of that, and its slots. Of one-sided pieces ``side`` is empty.
    side: Literal["", "A", "B"] = ""
    side_b: Setup | None = None

    def sides(self) -> tuple[Setup, ...]:
        """This product's own: itself, and side B after it where pieces have two."""
        return (self,) if self.side_b is None else (self, self.side_b)

    def all_sides(self) -> tuple[Setup, ...]:
        """The sides of all products, in the job's order."""
        return tuple(side for part in self.parts() for side in part.sides())

    def parts(self) -> tuple[Setup, ...]:
        """The setups of all products, in the job's order; this one in a job of one product."""
        return self.products or (self,)

    def read_files(self) -> frozenset[Path]:
        """Every file that the job names, and is made from."""
        return frozenset(
            path.resolve()
            for side in self.all_sides()
            for path in (
                side.job_file, side.sheet_file, side.layout_file, *side.files.values(),
                *side.fonts.values(), *side.lists.values(), *side.photos.values(),
                *((side.profile,) if side.profile else ()),
            )
        )

    @property
    def converts_by(self) -> str:
        """The path of the profile that RGB pictures are converted by; empty if they are kept."""
        return str(self.profile) if self.job.output.pictures == "convert" else ""

    @property
    def judges_by(self) -> str:
        """The path of the profile that tells what ink RGB becomes; empty if nobody knows."""
        return str(self.profile or "")

    @property
    def colours_by(self) -> str:
        """The path of the profile that RGB colours are converted by; empty if they are split."""
        return str(self.profile) if self.job.output.colours == "convert" else ""
