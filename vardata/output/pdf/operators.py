"""Marks in their written form, whatever the ink and whichever the file.

In: a mark, the frame of its item. Out: operators that paint it in the colour of the moment. Names
of fonts are made from their numbers in the font book, so that they serve every file of a run.
"""

from __future__ import annotations

from binascii import hexlify
from functools import lru_cache
from typing import TypeAlias

from vardata.marks import Commands, ModuleGrid, Path
from vardata.output.pdf.frames import FORM, Frame, outline, turn_matrix
from vardata.output.pdf.syntax import FINE, THOUSANDTHS, escaped, special

_KEPT = 2_000
NOT_SQUEEZED = 1.0

# The font's number in the book, the size in points, the squeeze.
Setting: TypeAlias = tuple[int, float, float]
NO_FONT: Setting = (-1, 0.0, NOT_SQUEEZED)


def font_name(font: int) -> bytes:
    """The resource name of a font, by its number in the font book."""
    return b"/Fo%d" % (font + 1)


class _Chosen(dict[tuple[int, float], bytes]):
    """The operator that chooses a font at a size."""

    def __missing__(self, wanted: tuple[int, float]) -> bytes:
        if len(self) >= _KEPT:
            self.clear()
        font, size = wanted
        found = self[wanted] = b"%b %b Tf" % (font_name(font), FINE[round(size * 1e5)])
        return found


_CHOSEN = _Chosen()


def setting_change(before: Setting, after: Setting) -> bytes:
    """Operators that bring one setting to another one."""
    font, size, squeeze = after
    if squeeze == before[2]:
        return _CHOSEN[font, size]
    squeezed = FINE[round(squeeze * 1e7)] + b" Tz"
    if font == before[0] and size == before[1]:
        return squeezed
    return b"%b\n%b" % (_CHOSEN[font, size], squeezed)


def place_text(
    frame: Frame, x: float, y: float, angle: float, glyphs: bytes, kerns: tuple[float, ...]
) -> bytes:
    """Operators that show glyphs at a place (mm in the frame), whatever stood before them."""
    a, b, e, f, turned = frame
    px, py = THOUSANDTHS[round(a * x - b * y + e)], THOUSANDTHS[round(b * x + a * y + f)]
    shown = SHOWN.operator(glyphs, kerns)
    if not turned and not angle:
        return b"1 0 0 1 %b %b Tm%b" % (px, py, shown)
    return b"%b%b %b Tm%b" % (turn_matrix((turned + angle) % 360.0), px, py, shown)


class _Shown(dict[bytes, tuple[tuple[float, ...], bytes]]):
    """Kerns and operator by glyphs, whatever the font: texts repeat from item to item."""

    def operator(self, glyphs: bytes, kerns: tuple[float, ...]) -> bytes:
        """The operator that shows glyphs (ISO 32000-1, 9.4.3)."""
        kept = self.get(glyphs)
        if kept is not None and (kept[0] is kerns or kept[0] == kerns):
            return kept[1]
        if len(self) >= _KEPT:
            self.clear()
        written = _show(glyphs, kerns)
        self[glyphs] = (kerns, written)
        return written


SHOWN = _Shown()


class _Moves(dict[float, bytes]):
    """What stands between two stretches of glyphs, by the kern in 1/1000 em."""

    def __missing__(self, kern: float) -> bytes:
        found = self[kern] = b")%b(" % THOUSANDTHS[round(1000 * kern)]
        return found


_MOVES = _Moves()


def _show(glyphs: bytes, kerns: tuple[float, ...]) -> bytes:
    moves = kerns[:-1]  # nothing follows the last glyph
    if not any(moves):
        return b"(%b)Tj" % escaped(glyphs)
    parts: list[bytes] = []
    place = start = 0
    for move in filter(None, moves):
        place = moves.index(move, place) + 1
        parts += glyphs[start : 2 * place], _MOVES[move]
        start = 2 * place
    parts.append(glyphs[start:])
    if special(glyphs):
        parts[::2] = map(escaped, parts[::2])
    return b"[(%b)]TJ" % b"".join(parts)


def place_grid(grid: ModuleGrid, frame: Frame) -> bytes:
    """Operators that paint a code."""
    _, _, columns, rows, bits, x, y, w, h, quarters = grid
    matrix = frame.box_matrix(x, y, w, h, 90.0 * quarters)
    return b"q %b cm\n%b\nQ" % (matrix, stencil_image(columns, rows, bits))


def stencil_image(columns: int, rows: int, bits: bytes) -> bytes:
    """An inline stencil (8.9.7) in the unit square; 1 is painted.

    In hexadecimal: readers find the end of binary data in different ways, and Ghostscript
    10.00 reads it as operators where its layer is switched off, so that an open bracket among
    the bytes swallows the rest of the page. Deflated, a page grows by a few percent.
    """
    return b"%b ID %b>\nEI" % (_stencil_head(columns, rows), hexlify(bits))


@lru_cache(maxsize=1024)
def _stencil_head(columns: int, rows: int) -> bytes:
    return b"BI/W %d/H %d/IM true/BPC 1/D[1 0]/F/AHx" % (columns, rows)


def place_area(path: Path, frame: Frame) -> bytes:
    """Operators that fill an outline."""
    _, _, commands, x, y, angle, even_odd, _ = path
    return place_outline(commands, frame, x, y, angle, b" f*" if even_odd else b" f")


def place_outline(
    commands: Commands, frame: Frame, x: float, y: float, angle: float, operator: bytes
) -> bytes:
    """Operators that do something to an outline that lies at (x, y) mm, turned by ``angle``."""
    if len(commands) == 1 and commands[0][0] == "re" and not angle:
        _, left, low, w, h = commands[0]
        square = frame.rectangle(x + left, y + low, w, h)  # type: ignore[operator]
        if square is not None:
            return square + operator
    return b"q %b cm %b%b Q" % (frame.matrix(x, y, angle), OUTLINES.written(commands), operator)


class _Outlines(dict[int, tuple[Commands, bytes]]):
    """Outlines in points; the same outline is often drawn many times."""

    def written(self, commands: Commands) -> bytes:
        """Path construction operators of an outline that is drawn in points."""
        kept = self.get(id(commands))
        if kept is not None and kept[0] is commands:
            return kept[1]
        if len(self) >= _KEPT:
            self.clear()
        found = outline(commands, FORM)
        self[id(commands)] = (commands, found)
        return found


OUTLINES = _Outlines()
