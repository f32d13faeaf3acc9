"""The content of one plate: marks become operators.

In: marks of one plate, each with the frame of its item. Out: a piece of content stream
(ISO 32000-1, 7.8.2). Decides nothing: what is written is what the marks say. Operators that
set a state are written when it changes, and the text state ends as it began, since it would
outlive the text object (9.3.1).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any, Protocol

from vardata.marks import (
    Blend,
    GlyphRun,
    Image,
    ModuleGrid,
    Paint,
    Path,
    Ref,
    RunOnPlates,
    Shaded,
    Tints,
    Within,
)
from vardata.output.pdf.fonts import FileFonts, FontUse
from vardata.output.pdf.frames import FORM, Frame, outline, turn_matrix
from vardata.output.pdf.inks import Ink
from vardata.output.pdf.shadings import blend_matrix
from vardata.output.pdf.syntax import FINE, THOUSANDTHS, number
from vardata.units import PT_PER_MM

_FILL, _FILL_AND_STROKE = 0, 2  # text rendering modes, table 106
_NOT_SQUEEZED = 1.0
_UNKNOWN = -math.inf


class Shared(Protocol):
    """What the content asks of the file: names of things that are stored once in it."""

    @property
    def fonts(self) -> FileFonts: ...

    def picture(self, key: str) -> bytes:
        """The name of a picture."""

    def stencil(self, key: str) -> bytes | None:
        """The name of a picture's stencil; None if the picture is opaque all over."""

    def shading(self, blend: Blend) -> bytes:
        """The name of a blend."""

    def tints(self, mark: Tints, ink: Ink) -> bytes:
        """The name of a picture's soft edges in an ink."""

    def form(self, key: str, plate: int) -> bytes | None:
        """The name of the static marks of a plate; None if there are none."""


class PlateContent:
    """Takes the marks of one plate in painting order; ``stream`` gives what they came to."""

    def __init__(self, ink: Ink, store: Shared) -> None:
        self._ink = ink
        self._store = store
        self.fonts = store.fonts
        self._out: list[bytes] = [ink.start] if ink.start else []
        self._write = self._out.append
        self._empty = len(self._out)
        self._paths: dict[int, tuple[Any, bytes]] = {}
        self._fill: Paint | None = None
        self._stroke: Paint | None = None
        self._width = _UNKNOWN  # of lines, mm
        self._font, self._size = -1, 0.0
        self._squeeze = _NOT_SQUEEZED
        self._choke = 0.0
        self._mode = _FILL
        self._in_text = False
        # By type of mark; a table is quicker than asking one by one.
        self.painters: dict[type, Callable[[Any, Frame], None]] = {
            GlyphRun: self.glyphs,
            ModuleGrid: self.modules,
            Path: self.path,
            Shaded: self.shaded,
            Within: self.within,
            Tints: self.tints,
            Image: self.image,
            Ref: self.ref,
        }

    def stream(self) -> bytes:
        """All of it, or nothing if no mark came."""
        if len(self._out) == self._empty:
            return b""
        self._plain()
        return b"\n".join(self._out)

    def raw(self, operators: bytes) -> None:
        """Operators that leave no state behind."""
        self._plain()
        self._write(operators)

    # ------------------------------------------------------------ text

    def glyphs(self, run: GlyphRun, frame: Frame) -> None:
        _, paint, font, size, x, y, angle, squeeze, ids, kerns, choke = run
        use = self.fonts[font]
        placed = place_text(use, frame, x, y, angle, ids, kerns)
        self.text(paint, choke, use, font, size, squeeze, placed)

    def text(
        self, paint: Paint, choke: float, use: FontUse, font: int, size: float, squeeze: float,
        placed: bytes,
    ) -> None:  # fmt: skip
        """A text with its place, as ``place_text`` gives it: the same on every plate."""
        write = self._write
        if not self._in_text:
            self._in_text = True
            write(b"BT")
        if paint is not self._fill:
            self._filled(paint)
        if size != self._size or font != self._font:
            self._font, self._size = font, size
            write(use.chosen[size])
        if squeeze != self._squeeze:
            self._squeeze = squeeze
            write(FINE[round(squeeze * 1e7)] + b" Tz")
        if choke != self._choke:
            self._choked(choke)
        if choke < 0.0:
            self._stroked(paint)
        write(placed)

    def _choked(self, choke: float) -> None:
        """Fill, then stroke at tint 0: the width of a line is not scaled by the font size."""
        self._choke = choke
        drawn = choke - self._ink.reach
        if choke > 0.0 and drawn > 0.0 and self._ink.chokes:
            if self._mode != _FILL_AND_STROKE:
                self._mode = _FILL_AND_STROKE
                self._write(b"2 Tr")
            self._line(2.0 * drawn)
            self._stroked(0.0)
        elif choke < 0.0 and choke + self._ink.reach < 0.0:  # a spread: a stroke in the fill's ink
            if self._mode != _FILL_AND_STROKE:
                self._mode = _FILL_AND_STROKE
                self._write(b"2 Tr")
            self._line(-2.0 * (choke + self._ink.reach))
        elif self._mode != _FILL:
            self._mode = _FILL
            self._write(b"0 Tr")

    def _line(self, width: float) -> None:
        if width != self._width:
            self._width = width
            self._write(_line_width(width))

    def _stroked(self, paint: Paint) -> None:
        if paint != self._stroke:
            self._stroke = paint
            self._write(self._ink.stroke[paint])

    def _filled(self, paint: Paint) -> None:
        if paint != self._fill:
            self._fill = paint
            self._write(self._ink.fill[paint])

    def _leave_text(self) -> None:
        if self._in_text:
            self._in_text = False
            self._write(b"ET")

    def _plain(self) -> None:
        """The text state as it was at the start."""
        self._leave_text()
        self._choked(0.0)
        if self._squeeze != _NOT_SQUEEZED:
            self._squeeze = _NOT_SQUEEZED
            self._write(b"100 Tz")

    # ------------------------------------------------------------ codes, outlines, pictures

    def modules(self, grid: ModuleGrid, frame: Frame) -> None:
        _, paint, columns, rows, bits, x, y, w, h, quarters = grid
        if self._in_text:
            self._leave_text()
        self._filled(paint)
        matrix = frame.box_matrix(x, y, w, h, 90.0 * quarters)
        self._write(b"q %b cm\n%b\nQ" % (matrix, stencil_image(columns, rows, bits)))

    def path(self, path: Path, frame: Frame) -> None:
        _, paint, commands, x, y, angle, even_odd, stroke = path
        self._leave_text()
        if stroke > 0.0:
            self._stroked(paint)
            self._line(stroke)
            self._choke = _UNKNOWN  # the next run has to see to its own line
            operator = b" S"
        else:
            self._filled(paint)
            operator = b" f*" if even_odd else b" f"
        if len(commands) == 1 and commands[0][0] == "re" and not angle:
            _, left, low, w, h = commands[0]
            square = frame.rectangle(x + left, y + low, w, h)  # type: ignore[operator]
            if square is not None:
                self._write(square + operator)
                return
        matrix = frame.matrix(x, y, angle)
        self._write(b"q %b cm %b%b Q" % (matrix, self._outline(commands), operator))

    def shaded(self, mark: Shaded, frame: Frame) -> None:
        self._leave_text()
        clip = b" W* n" if mark.even_odd else b" W n"
        along = blend_matrix(mark.paint)
        self._write(b"q %b cm %b%b %b cm %b sh Q" % (
            frame.matrix(), self._outline(mark.commands), clip, along,
            self._store.shading(mark.paint),
        ))  # fmt: skip

    def within(self, mark: Within, frame: Frame) -> None:
        self._plain()
        before = self._fill, self._stroke, self._width
        self._write(b"q %b W* n" % outline(mark.commands, frame))
        for inner in mark.marks:
            self.painters[type(inner)](inner, frame)
        self._plain()
        self._write(b"Q")
        self._fill, self._stroke, self._width = before

    def _outline(self, commands: Any) -> bytes:
        """Operators of an outline in points; the same outline is often drawn many times."""
        kept = self._paths.get(id(commands))
        if kept is not None and kept[0] is commands:
            return kept[1]
        if len(self._paths) >= 1000:
            self._paths.clear()
        written = outline(commands, FORM)
        self._paths[id(commands)] = (commands, written)
        return written

    def image(self, image: Image, frame: Frame) -> None:
        _, paint, source, x, y, w, h, angle = image
        self._leave_text()
        if not self._ink.separation:
            self._draw(self._store.picture(source), frame.box_matrix(x, y, w, h, angle))
            return
        stencil = self._store.stencil(source)
        if stencil is not None:
            self._filled(paint)
            self._draw(stencil, frame.box_matrix(x, y, w, h, angle))
            return
        box = (("re", -w / 2, -h / 2, w, h),)
        self.path(Path(image.plate, paint, box, x + w / 2, y + h / 2, angle), frame)

    def tints(self, mark: Tints, frame: Frame) -> None:
        self._leave_text()
        name = self._store.tints(mark, self._ink)
        self._draw(name, frame.box_matrix(mark.x, mark.y, mark.w, mark.h, mark.angle))

    def ref(self, ref: Ref, frame: Frame) -> None:
        form = self._store.form(ref.key, ref.plate)
        if form is not None:
            self._plain()
            self._draw(form, frame.matrix())

    def _draw(self, name: bytes, matrix: bytes) -> None:
        self._write(b"q %b cm %b Do Q" % (matrix, name))


def place_text(
    use: FontUse, frame: Frame, x: float, y: float, angle: float, ids: bytes,
    kerns: tuple[float, ...],
) -> bytes:  # fmt: skip
    """Operators that show glyphs at a place (mm in the frame), whatever stood before them."""
    a, b, e, f, turned = frame
    px, py = THOUSANDTHS[round(a * x - b * y + e)], THOUSANDTHS[round(b * x + a * y + f)]
    shown = use.show(ids, kerns)
    if not turned and not angle:
        return b"1 0 0 1 %b %b Tm%b" % (px, py, shown)
    return b"%b%b %b Tm%b" % (turn_matrix((turned + angle) % 360.0), px, py, shown)


def paint_run(contents: Sequence[PlateContent], run: RunOnPlates, frame: Frame) -> None:
    """A run on all its plates: written once, shown on each. Plates share their fonts."""
    shares, font, size, x, y, angle, squeeze, ids, kerns = run
    use = contents[0].fonts[font]
    placed = place_text(use, frame, x, y, angle, ids, kerns)
    for plate, paint, choke in shares:
        contents[plate].text(paint, choke, use, font, size, squeeze, placed)


class Unseen(PlateContent):
    """The content of a plate that a picture does not show: takes marks and writes nothing."""

    def __init__(self, ink: Ink, store: Shared) -> None:
        super().__init__(ink, store)
        self.painters = dict.fromkeys(self.painters, lambda mark, frame: None)

    def text(
        self, paint: Paint, choke: float, use: FontUse, font: int, size: float, squeeze: float,
        placed: bytes,
    ) -> None:  # fmt: skip
        return

    def stream(self) -> bytes:
        return b""


def stencil_image(columns: int, rows: int, bits: bytes) -> bytes:
    """An inline stencil (8.9.7) in the unit square; 1 is painted.

    In hexadecimal: readers find the end of binary data in different ways, and Ghostscript
    10.00 reads it as operators where its layer is switched off, so that an open bracket among
    the bytes swallows the rest of the page. Deflated, a page grows by a few percent.
    """
    return b"%b ID %b>\nEI" % (_stencil_head(columns, rows), bits.hex().encode())


@lru_cache(maxsize=1024)
def _stencil_head(columns: int, rows: int) -> bytes:
    return b"BI/W %d/H %d/IM true/BPC 1/D[1 0]/F/AHx" % (columns, rows)


@lru_cache(maxsize=1024)
def _line_width(width: float) -> bytes:
    return number(width * PT_PER_MM, 4) + b" w"
