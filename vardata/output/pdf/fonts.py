"""Fonts in a file: which glyphs are shown in each.

In: texts as glyph ids. Out: the resources of the fonts that were used, each cut down to its
glyphs when the file ends. A code is a glyph id, two bytes each.
"""

from __future__ import annotations

import struct

from vardata.fit.fontbook import FontBook
from vardata.output.pdf.embedding import put_font
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.operators import font_name
from vardata.output.pdf.written import Glyphs

_KEPT_TEXTS = 2_000


class FileFonts:
    """The fonts of a file by their number in the font book. ``more`` are glyphs that a font gets
    if it is used at all."""

    def __init__(self, book: FontBook, more: Glyphs | None = None) -> None:
        self._book = book
        self._more = more or {}
        self._texts: dict[int, set[bytes]] = {}
        self._glyphs: dict[int, frozenset[int]] = {}

    def show(self, font: int, glyphs: bytes) -> None:
        """A text is shown; its glyphs are big-endian 16-bit ids."""
        texts = self._texts.setdefault(font, set())
        texts.add(glyphs)
        if len(texts) >= _KEPT_TEXTS:
            self._settle(font)

    def take(self, glyphs: Glyphs) -> None:
        """Many glyphs are shown."""
        for font, ids in glyphs.items():
            known = self._glyphs.get(font) or self._more.get(font, frozenset())
            self._glyphs[font] = known if known >= ids else known | ids

    def resources(self, pdf: PdfFile) -> bytes:
        """Puts the fonts into the file; gives the entries of the resource dictionary."""
        for font in self._texts:
            self._settle(font)
        entries = b""
        for font, glyphs in self._glyphs.items():
            number = put_font(pdf, self._book.face(font), tuple(sorted(glyphs)))
            entries += b"%b %d 0 R" % (font_name(font), number)
        return entries

    def _settle(self, font: int) -> None:
        shown = b"".join(self._texts[font])
        self._texts[font].clear()
        self.take({font: frozenset(struct.unpack(f">{len(shown) // 2}H", shown))})
