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
    Mark,
    ModuleGrid,
    Paint,
    Path,
    Ref,
    Shaded,
    Tints,
    Within,
)
from vardata.output.pdf.fonts import FileFonts
from vardata.output.pdf.frames import Frame, outline
from vardata.output.pdf.inks import Ink
from vardata.output.pdf.operators import (
    NO_FONT,
    NOT_SQUEEZED,
    OUTLINES,
    Setting,
    place_area,
    place_grid,
    place_outline,
    place_text,
    setting_change,
)
from vardata.output.pdf.shadings import blend_matrix
from vardata.output.pdf.syntax import number
from vardata.output.pdf.written import Codes, Fills, Texts, Written
from vardata.units import PT_PER_MM

_FILL, _FILL_AND_STROKE = 0, 2  # text rendering modes, table 106
_UNKNOWN = -math.inf
_MANY = 4_000  # bytes of codes that are worth a form


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

    def ready_form(self, squeezed: bytes) -> bytes:
        """Puts a form whose content is compressed already; gives its name."""


class PlateContent:
    """Takes the marks of one plate in painting order; ``stream`` gives what they came to."""

    def __init__(self, ink: Ink, store: Shared) -> None:
        self._ink = ink
        self._store = store
        self.fonts = store.fonts
        self._out: list[bytes] = [ink.start] if ink.start else []
        self._write = self._out.append
        self._empty = len(self._out)
        self._fill: Paint | None = None
        self._stroke: Paint | None = None
        self._width = _UNKNOWN  # of lines, mm
        self._setting = NO_FONT
        self._choke = 0.0
        self._mode = _FILL
        self._in_text = False
        # By type of mark; a table is quicker than asking one by one.
        self._painters: dict[type, Callable[[Any, Frame], None]] = {
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

    def mark(self, mark: Mark, frame: Frame) -> None:
        """One mark of this plate."""
        self._painters[type(mark)](mark, frame)

    # ------------------------------------------------------------ text

    def glyphs(self, run: GlyphRun, frame: Frame) -> None:
        _, paint, font, size, x, y, angle, squeeze, ids, kerns, choke = run
        self.fonts.show(font, ids)
        setting = (font, size, squeeze)
        placed = place_text(frame, x, y, angle, ids, kerns)
        self.text(paint, choke, setting, setting, placed)

    def text(
        self, paint: Paint, choke: float, first: Setting, last: Setting, placed: bytes
    ) -> None:
        """Texts with their places: the same on every plate. They find a setting and leave one."""
        if not self._in_text:
            self._in_text = True
            self._write(b"BT")
        self._filled(paint)
        if first != self._setting:
            self._write(setting_change(self._setting, first))
        self._setting = last
        if choke != self._choke:
            self._choked(choke)
        if choke < 0.0:
            self._stroked(paint)
        self._write(placed)

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
        plain = (*self._setting[:2], NOT_SQUEEZED)
        if plain != self._setting:
            self._write(setting_change(self._setting, plain))
            self._setting = plain

    # ------------------------------------------------------------ codes, outlines, pictures

    def modules(self, grid: ModuleGrid, frame: Frame) -> None:
        self.fill(grid.paint, place_grid(grid, frame))

    def fill(self, paint: Paint, operators: bytes) -> None:
        """What is filled in a paint and leaves no state behind."""
        self._leave_text()
        self._filled(paint)
        self._write(operators)

    def codes(self, codes: Codes) -> None:
        """The codes of a bed. Many in process ink are a form of their own, which says its colour:
        not every viewer brings the colour of the moment into a form."""
        if self._ink.separation or len(codes.operators) < _MANY:
            self.fill(codes.paint, codes.operators)
            return
        self._plain()
        form = self._store.ready_form(codes.squeezed(self._ink.fill[codes.paint]))
        self._write(form + b" Do")

    def path(self, path: Path, frame: Frame) -> None:
        if path.stroke <= 0.0:
            self.fill(path.paint, place_area(path, frame))
            return
        self._leave_text()
        self._stroked(path.paint)
        self._line(path.stroke)
        self._choke = _UNKNOWN  # the next run has to see to its own line
        self._write(place_outline(path.commands, frame, path.x, path.y, path.angle, b" S"))

    def shaded(self, mark: Shaded, frame: Frame) -> None:
        self._leave_text()
        clip = b" W* n" if mark.even_odd else b" W n"
        along = blend_matrix(mark.paint)
        self._write(b"q %b cm %b%b %b cm %b sh Q" % (
            frame.matrix(), OUTLINES.written(mark.commands), clip, along,
            self._store.shading(mark.paint),
        ))  # fmt: skip

    def within(self, mark: Within, frame: Frame) -> None:
        self._plain()
        before = self._fill, self._stroke, self._width, self._setting
        self._write(b"q %b W* n" % outline(mark.commands, frame))
        for inner in mark.marks:
            self.mark(inner, frame)
        self._plain()
        self._write(b"Q")
        self._fill, self._stroke, self._width, self._setting = before

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


def paint(contents: Sequence[PlateContent], written: Written) -> None:
    """Gives every part of a bed to the content of its plate."""
    contents[0].fonts.take(written.glyphs)
    for part in written.parts:
        if isinstance(part, Texts):
            for plate, paint, choke in part.shares:
                contents[plate].text(paint, choke, part.first, part.last, part.operators)
        elif isinstance(part, Fills):
            contents[part.plate].fill(part.paint, part.operators)
        elif isinstance(part, Codes):
            contents[part.plate].codes(part)
        else:
            contents[part.mark.plate].mark(part.mark, part.frame)


class Unseen(PlateContent):
    """The content of a plate that a picture does not show: takes marks and writes nothing."""

    def mark(self, mark: Mark, frame: Frame) -> None:
        return

    def text(
        self, paint: Paint, choke: float, first: Setting, last: Setting, placed: bytes
    ) -> None:
        return

    def fill(self, paint: Paint, operators: bytes) -> None:
        return

    def codes(self, codes: Codes) -> None:
        return

    def ref(self, ref: Ref, frame: Frame) -> None:
        return

    def stream(self) -> bytes:
        return b""


@lru_cache(maxsize=1024)
def _line_width(width: float) -> bytes:
    return number(width * PT_PER_MM, 4) + b" w"
