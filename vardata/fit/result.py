"""What fitting decides for a field: small frozen values that can be marshalled to disk.

Text lies in the field's box: mm from the box's lower left corner, before the field's
rotation. Codes carry their modules and the size of one module; dress snaps them to dots.
"""

from __future__ import annotations

from typing import NamedTuple, TypeAlias


class Run(NamedTuple):
    """Glyphs of one font on one baseline, starting at (x, y) mm in the box.

    ``glyphs`` and ``kerns`` as in ``marks.GlyphRun``.
    """

    font: int
    x: float
    y: float
    glyphs: bytes
    kerns: tuple[float, ...]


class TextFit(NamedTuple):
    """A text that fits. ``squeeze`` 1.0 is none; ``ink`` is (x0, y0, x1, y1) mm in the box;
    ``tracking`` is what is added between letters, in 1/1000 em. ``turns`` are there for a text on
    a line that bends: each run's own turn in degrees counter-clockwise. ``paint`` is the number of
    its colour in the field's table, from 1; 0 is the field's own. ``written`` is the text as it was
    before its case was changed; empty if it was not. ``styles`` are there for a text in several
    styles: the number of each run's style in the field, from 1; 0 for none."""

    text: str
    size_pt: float
    squeeze: float
    lines: int
    runs: tuple[Run, ...]
    ink: tuple[float, float, float, float]
    tracking: float = 0.0
    turns: tuple[float, ...] = ()
    paint: int = 0
    written: str = ""
    styles: tuple[int, ...] = ()


Band: TypeAlias = tuple[bytes, float]


class CodeFit(NamedTuple):
    """A code that fits.

    ``bits``: ``rows`` rows from the top, each padded to whole bytes, most significant bit
    first, 1 is dark. The symbol (without its quiet zone) is ``w`` x ``h`` mm and its lower
    left corner lies at (x, y) mm in the field's box, not yet snapped; the box leaves room for
    a shift of one dot. ``quiet`` is (left, bottom, right, top) mm of quiet zone.
    ``line`` is the human-readable line, in the same box, or None; ``ends`` are the digits of
    UPC that stand beside the symbol, which are smaller. Bars of an EAN or UPC that are longer
    than those that all have in common go on ``below`` the symbol (guard bars) or begin
    ``above`` it (those that have no add-on's digits above them): their modules, like ``bits``,
    and by how many mm.
    """

    text: str
    columns: int
    rows: int
    bits: bytes
    module: float  # mm, the width of a module: whole dots; its height is h / rows if 2D
    x: float
    y: float
    w: float
    h: float
    quiet: tuple[float, float, float, float]
    line: TextFit | None
    ends: TextFit | None = None
    below: Band | None = None
    above: Band | None = None


class PictureFit(NamedTuple):
    """A picture found for a record: the absolute path that was checked and opened."""

    path: str


FieldFit: TypeAlias = TextFit | CodeFit | PictureFit | None  # None: prints nothing
