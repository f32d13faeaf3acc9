"""Fonts in a file: which glyphs are shown, and how.

In: runs of glyph ids. Out: text-showing operators, and the resources of the fonts that were
used, each cut down to its glyphs when the file ends. A code is a glyph id, two bytes each.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Mapping
from typing import TypeAlias

from vardata.fit.fontbook import FontBook
from vardata.fit.fonts import Face
from vardata.marks import GlyphRun, Item, RunOnPlates
from vardata.output.pdf.embedding import put_font
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.syntax import FINE, THOUSANDTHS, literal

_KEPT_TEXTS = 2_000
Glyphs: TypeAlias = Mapping[int, frozenset[int]]  # by the number of the font


class _Shown(dict[bytes, tuple[tuple[float, ...], bytes]]):
    """Kerns and operator by glyphs, whatever the font: a text is shown on several plates, in
    the bed's file and in its picture."""

    def operator(self, glyphs: bytes, kerns: tuple[float, ...]) -> bytes:
        """The operator that shows glyphs (ISO 32000-1, 9.4.3)."""
        kept = self.get(glyphs)
        if kept is not None and (kept[0] is kerns or kept[0] == kerns):
            return kept[1]
        if len(self) >= _KEPT_TEXTS:
            self.clear()
        written = _show(glyphs, kerns)
        self[glyphs] = (kerns, written)
        return written


_SHOWN = _Shown()


class FontUse:
    """One font in one file: its resource name, and all glyphs shown in it.

    ``chosen[size]`` is the operator that chooses the font at a size in points. ``more`` are
    glyphs that the file gets anyway.
    """

    def __init__(self, name: bytes, face: Face, more: Iterable[int] = ()) -> None:
        self.name = name
        self.face = face
        self.chosen = _Chosen(name)
        self._texts: set[bytes] = set()
        self._glyphs: set[int] = set(more)

    def show(self, glyphs: bytes, kerns: tuple[float, ...]) -> bytes:
        """The operator that shows glyphs in this font."""
        self._texts.add(glyphs)
        if len(self._texts) >= _KEPT_TEXTS:
            self._settle()
        return _SHOWN.operator(glyphs, kerns)

    def glyphs(self) -> tuple[int, ...]:
        """Every glyph that was shown, in the order of ids."""
        self._settle()
        return tuple(sorted(self._glyphs))

    def _settle(self) -> None:
        shown = b"".join(self._texts)
        self._glyphs.update(struct.unpack(f">{len(shown) // 2}H", shown))
        self._texts.clear()


class _Chosen(dict[float, bytes]):
    """The operator for each size."""

    def __init__(self, name: bytes) -> None:
        super().__init__()
        self._name = name

    def __missing__(self, size: float) -> bytes:
        written = self[size] = b"%b %b Tf" % (self._name, FINE[round(size * 1e5)])
        return written


def _show(glyphs: bytes, kerns: tuple[float, ...]) -> bytes:
    parts, start, end = [], 0, 0
    for kern in kerns[:-1]:  # nothing follows the last glyph
        end += 2
        if kern:
            parts.append(glyphs[start:end])
            parts.append(THOUSANDTHS[round(1000 * kern)])
            start = end
    if not parts:
        return literal(glyphs) + b"Tj"
    parts.append(glyphs[start:])
    parts[::2] = map(literal, parts[::2])
    return b"[%b]TJ" % b"".join(parts)


def glyphs_of(items: Iterable[Item]) -> Glyphs:
    """The glyphs of many items by the number of their font. Files that are made together get
    all of them, so that a font is cut down once for many files, not once for each."""
    texts: dict[int, set[bytes]] = {}
    for item in items:
        for mark in item.marks:
            if isinstance(mark, RunOnPlates | GlyphRun):
                texts.setdefault(mark.font, set()).add(mark.glyphs)
    found = {}
    for font, runs in texts.items():
        shown = b"".join(runs)
        found[font] = frozenset(struct.unpack(f">{len(shown) // 2}H", shown))
    return found


class FileFonts(dict[int, FontUse]):
    """The fonts of a file by their number in the font book, named as they come up. ``more`` are
    glyphs that a font gets if it is used at all."""

    def __init__(self, book: FontBook, more: Glyphs | None = None) -> None:
        super().__init__()
        self._book = book
        self._more = more or {}

    def __missing__(self, font: int) -> FontUse:
        use = self[font] = FontUse(
            b"/Fo%d" % (len(self) + 1), self._book.face(font), self._more.get(font, ())
        )
        return use

    def resources(self, pdf: PdfFile) -> bytes:
        """Puts the fonts into the file; gives the entries of the resource dictionary."""
        return b"".join(
            b"%b %d 0 R" % (use.name, put_font(pdf, use.face, use.glyphs()))
            for use in self.values()
        )
