"""The display list: what stands between thinking and drawing.

An ``Item`` is all the marks of one record, in item millimetres, origin lower left, y up,
rotation counter-clockwise in degrees. Every mark is opaque and lies on one plate, but for runs
of glyphs, which may be the same on several. Writers
read only this and decide nothing. Values are named tuples: built by the million, never changed.
"""

from __future__ import annotations

from typing import NamedTuple, TypeAlias


class Cmyk(NamedTuple):
    """Process ink, each part from 0 to 1."""

    c: float
    m: float
    y: float
    k: float


BLACK = Cmyk(0.0, 0.0, 0.0, 1.0)

# A colour plate takes Cmyk; a separation (white, gloss) takes its tint, 1.0 being full ink.
Paint: TypeAlias = Cmyk | float

# One drawing command: ("m", x, y), ("l", x, y), ("c", x1, y1, x2, y2, x3, y3) cubic,
# ("h",) close, ("re", x, y, w, h) rectangle. Units are mm.
Command: TypeAlias = tuple[str | float, ...]
Commands: TypeAlias = tuple[Command, ...]


class GlyphRun(NamedTuple):
    """Shaped glyphs of one font on one baseline.

    ``font`` is an index into the run's font book. ``glyphs`` holds big-endian 16-bit glyph
    ids. ``kerns`` has one number a glyph, in 1/1000 em, that is taken off the pen's way after
    the glyph (the sign of TJ in ISO 32000-1, 9.4.3), or is empty if every advance is the
    font's own. ``squeeze`` scales horizontally (1.0: not at all; below 0 the run is mirrored
    about its start and leads the other way). ``choke`` > 0 (mm) asks for the run to be filled
    in ``paint`` and then stroked at tint 0, 2 x choke wide, round joins: the cheap choke of a
    separation, chosen by dress only where it is true.
    Negative: stroked in ``paint``, so that the run spreads.
    """

    plate: int
    paint: Paint
    font: int
    size_pt: float
    x: float
    y: float
    angle: float
    squeeze: float
    glyphs: bytes
    kerns: tuple[float, ...]
    choke: float = 0.0


# One plate of a run that is printed on many: the plate, its paint, the choke there.
Share: TypeAlias = tuple[int, Paint, float]


class RunOnPlates(NamedTuple):
    """A ``GlyphRun`` that several plates print at the same place, one share each.

    Nearly every text is one: its colour, the white under it, the gloss over it.
    """

    shares: tuple[Share, ...]
    font: int
    size_pt: float
    x: float
    y: float
    angle: float
    squeeze: float
    glyphs: bytes
    kerns: tuple[float, ...]

    def spread(self) -> tuple[GlyphRun, ...]:
        """The same, a mark a plate."""
        _, font, size, x, y, angle, squeeze, glyphs, kerns = self
        return tuple(
            GlyphRun(plate, paint, font, size, x, y, angle, squeeze, glyphs, kerns, choke)
            for plate, paint, choke in self.shares
        )


class ModuleGrid(NamedTuple):
    """A bar code: ``bits`` row by row from the top, each row padded to bytes, 1 is painted.

    The box (x, y, w, h) is the symbol without its quiet zone, in item mm, before turning;
    ``turn`` is 0, 1, 2 or 3 quarter turns counter-clockwise about the box's centre. Dress has
    placed it so that every module edge falls on a dot of the bed.
    """

    plate: int
    paint: Paint
    columns: int
    rows: int
    bits: bytes
    x: float
    y: float
    w: float
    h: float
    turn: int


class Path(NamedTuple):
    """A filled (``stroke`` 0) or stroked (``stroke`` mm wide, round joins and caps) outline.

    ``commands`` are relative to (x, y) and turned by ``angle`` about it, so that a cached
    outline can be shared by many marks.
    """

    plate: int
    paint: Paint
    commands: Commands
    x: float = 0.0
    y: float = 0.0
    angle: float = 0.0
    even_odd: bool = False
    stroke: float = 0.0


class Step(NamedTuple):
    """A stretch of a blend, from 0 to 1 along it, in which every ink changes in a straight line."""

    start: float
    end: float
    first: Cmyk
    last: Cmyk


class Blend(NamedTuple):
    """Process ink that changes from place to place: along a line, or from circle to circle.

    ``ends`` are the line (x0, y0, x1, y1) or the circles (x0, y0, r0, x1, y1, r1) in a space of
    their own, which ``matrix`` takes to item mm (ISO 32000-1, 8.3.3). Beyond either end its ink
    goes on as it is.
    """

    ends: tuple[float, ...]
    matrix: tuple[float, float, float, float, float, float]
    steps: tuple[Step, ...]


class Shaded(NamedTuple):
    """An area in item mm filled with a blend; on a plate of the process inks."""

    plate: int
    paint: Blend
    commands: Commands
    even_odd: bool = False


class Within(NamedTuple):
    """Marks of one plate, painted within an outline only (by the even-odd rule)."""

    plate: int
    commands: Commands
    marks: tuple[Mark, ...]


class Image(NamedTuple):
    """A raster picture in a box; ``source`` is the key of a ``Picture`` kept by the run.

    The box (x, y, w, h) in item mm is turned by ``angle`` about its own centre. On a
    separation plate the picture's mask is painted in ``paint`` as a stencil.
    """

    plate: int
    paint: Paint
    source: str
    x: float
    y: float
    w: float
    h: float
    angle: float


class Tints(NamedTuple):
    """The soft edges of the picture ``source`` on a separation, in tints of ``paint``.

    The box as in ``Image``. ``choke`` mm is how far its levels move inwards.
    """

    plate: int
    paint: float
    source: str
    x: float
    y: float
    w: float
    h: float
    angle: float
    choke: float


class Ref(NamedTuple):
    """Static marks, stored once a file: ``key`` names them, the plate is in the key's marks."""

    plate: int
    key: str


# On one plate.
Mark: TypeAlias = GlyphRun | ModuleGrid | Path | Shaded | Within | Image | Tints | Ref


class Item(NamedTuple):
    """One record dressed for one slot. ``marks`` are in painting order within each plate."""

    record: str
    marks: tuple[Mark | RunOnPlates, ...]

    def spread(self) -> tuple[Mark, ...]:
        """The marks, each on one plate."""
        found: list[Mark] = []
        for mark in self.marks:
            found += mark.spread() if isinstance(mark, RunOnPlates) else (mark,)
        return tuple(found)


class Placement(NamedTuple):
    """Where an item lies: the item's lower left corner in its own sense is brought to the
    bed by turning ``angle`` degrees about the item's centre, which sits at (cx, cy) mm."""

    cx: float
    cy: float
    angle: float


class Statics(NamedTuple):
    """What every item of a layout shares: ``refs[key]`` are marks in item mm."""

    refs: dict[str, tuple[Mark, ...]]
