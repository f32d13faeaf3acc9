"""What the pick list's pages are made from: frozen values, small enough to go to workers.

Lengths ending in ``_mm`` and pocket places are mm on the bed or the item, origin lower left
(bed: front left), y up; everything on paper is in points.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import NamedTuple, TypeAlias

from vardata.job.fontaxes import Axes
from vardata.marks import Commands
from vardata.output.pdf.objectlist import Body
from vardata.output.slotline import SlotLine


class PaperFont(NamedTuple):
    """A font of any kind: its file, its place in a collection, the axes of a variable one."""

    path: Path
    member: int | None = None
    axes: Axes = ()


class PaperFonts(NamedTuple):
    """TrueType files for the papers. ``fallbacks`` are asked, in order, for characters that
    the two lack; what none of them has is written out as ``[U+1F600]``."""

    regular: Path
    bold: Path
    fallbacks: tuple[PaperFont, ...] = ()


class Pocket(NamedTuple):
    """One pocket of the jig, whether or not a bed fills it. (x, y) mm is its centre."""

    name: str
    x: float
    y: float
    rotation: float = 0.0
    blocked: bool = False


class Turn(NamedTuple):
    """How two-sided pieces are turned for side B: the whole jig or each piece, about which axis
    (vertical or horizontal), where that of a jig lies in mm (from the left or from the front);
    whether side B is read as the page of a book is turned, or as that of a wall calendar; and
    the name of the jig that side B lies in, if it is another."""

    whole: bool
    axis: str
    line: float
    book: bool = True
    other_jig: str = ""


class RunPaper(NamedTuple):
    """What every sheet of a run says and shows. ``outline`` is the item's, in item mm."""

    job: str
    run: str
    beds: int
    jig: str
    layout: str
    at: datetime
    bed_mm: tuple[float, float]
    item_mm: tuple[float, float]
    outline: Commands
    pockets: tuple[Pocket, ...]
    fonts: PaperFonts
    face_down: bool = False  # items lie on their face, and pictures show them as seen
    remake_of: str = ""  # the run whose spoiled pieces are made again
    side: str = ""  # A or B of two-sided pieces
    turn: Turn | None = None  # how they come from side A to side B

    @property
    def run_named(self) -> str:
        """The run's id, and for a remake that of the run before it."""
        return f"{self.run}, remake of run {self.remake_of}" if self.remake_of else self.run


class Look(NamedTuple):
    """A picture of a whole bed as a form XObject: the bed's box is ``bbox`` in the form's units.

    ``objects()`` gives objects by number, ``form`` is the picture among them; it is called once a
    document where beds share what they need.
    """

    form: int
    bbox: tuple[float, float, float, float]
    objects: Callable[[], Mapping[int, Body]]


class BedPaper(NamedTuple):
    """One bed load: its file, its lines in the order of filling, its picture if there is one; of
    two-sided pieces the side, and a picture of each piece alone, as it lies on the bed."""

    bed: int
    file: str
    lines: tuple[SlotLine, ...]
    look: Look | None = None
    side: str = ""
    pieces: tuple[Look, ...] = ()


def named(bed: BedPaper) -> str:
    """A bed's number, and the side of two-sided pieces: 3, or 3 A."""
    return f"{bed.bed} {bed.side}" if bed.side else str(bed.bed)


class BedFile(NamedTuple):
    """A bed file, the beds in it, and which side of two-sided pieces it prints."""

    file: str
    first: int
    last: int
    side: str = ""


class BlankUse(NamedTuple):
    """So many pieces of each blank on every bed from ``first`` to ``last``."""

    first: int
    last: int
    pieces: tuple[tuple[str, int], ...]


class ProductUse(NamedTuple):
    """A product of a mixed run: its pieces and its beds, on which jig."""

    name: str
    jig: str
    pieces: int
    first: int
    last: int


class FrontPaper(NamedTuple):
    """What the first page counts. ``blanks`` as ``blanks.BlankTally`` gives them."""

    records: int
    held: int
    skipped: int
    orders: int
    totals: tuple[tuple[str, int], ...]
    blanks: tuple[BlankUse, ...]
    files: Sequence[BedFile]
    products: tuple[ProductUse, ...] = ()  # in the order of printing; empty if there is but one


# Where one piece of an order lies: bed, slot, its first text.
Piece: TypeAlias = tuple[int, str, str]
OrderPieces: TypeAlias = tuple[str, Sequence[Piece]]
