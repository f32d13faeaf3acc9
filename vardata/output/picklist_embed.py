"""The fonts of one document of the papers, embedded by reportlab.

In: the fonts of both weights. Out: what a pen writes a text with, and the fonts' objects. A
document whose texts keep to the first subset of both weights, as most do, needs no reportlab:
its fonts are the same objects each time, made once a process.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from reportlab import rl_config
from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from vardata.output.pdf.objectlist import Body
from vardata.output.pdf.references import referred
from vardata.output.pdf.slices import sliced
from vardata.output.picklist_fonts import Weights, covered, settle_fonts

# Given codes in every first subset, so that most documents embed the same bytes and a joined
# file keeps them once: some signs, Latin-1 letters, then Latin Extended-A.
_COMMON = "".join(map(chr, (0x2013, 0x2019, 0x2026, *range(0xC0, 0x150))))
_FONTS = "BasicFonts"  # reportlab's name for the dictionary of the fonts in use


class First:
    """The first subset of a font: its name in the document, and the codes of its characters,
    from 1 to 255. One for all documents, so that what follows from it can be kept."""

    def __init__(self, name: str, codes: Mapping[str, int]) -> None:
        self.name = name
        self.codes = codes


class Objects(NamedTuple):
    """Objects by number, and the number of the dictionary of all fonts among them."""

    bodies: Mapping[int, Body]
    fonts: int


class _Plain(NamedTuple):
    """What all documents have in common until one needs more."""

    regular: First
    bold: First
    objects: Objects


class FontsOfDocument:
    """What the pens of a document share."""

    def __init__(self, weights: Weights) -> None:
        self._weights = weights
        self._canvas: Any = None
        plain = _plain(weights)
        self.firsts = (plain.regular, plain.bold)

    @property
    def doc(self) -> Any:
        """reportlab's document, for texts beyond the first subsets."""
        if self._canvas is None:
            self._canvas, *_ = _begun(self._weights)
        return self._canvas._doc

    def objects(self) -> Objects:
        """The fonts, once all texts are written."""
        return _plain(self._weights).objects if self._canvas is None else _ended(self._canvas)


@lru_cache(maxsize=8)
def _plain(weights: Weights) -> _Plain:
    canvas, regular, bold = _begun(weights)
    return _Plain(regular, bold, _ended(canvas))


def _begun(weights: Weights) -> tuple[Any, First, First]:
    """A document that has the first subset of both weights; always the same one."""
    canvas = Canvas(
        io.BytesIO(),
        pageCompression=1,
        invariant=1,
        initialFontName=weights.regular[0].fontName,  # so that no Helvetica comes in
    )
    doc = canvas._doc
    return canvas, _first(weights.regular[0], doc), _first(weights.bold[0], doc)


def _first(font: Any, doc: Any) -> First:
    shown = covered(font)
    codes = {chr(code): code for code in range(32, 127) if chr(code) in shown}
    common = "".join(char for char in _COMMON if char in shown)
    place = 0
    for subset, given in font.splitString(common, doc):
        if subset == 0:
            codes.update(zip(common[place:], given))
        place += len(given)
    return First(font.getSubsetInternalName(0, doc), codes)


def _ended(canvas: Any) -> Objects:
    """The fonts of a document whose texts are all written."""
    doc = canvas._doc
    page = pdfdoc.PDFPage()  # reportlab saves no document without one
    page.MediaBox, page.Resources = "[0 0 1 1]", "<< >>"
    doc.addPage(page)
    settle_fonts(doc)
    before, rl_config.useA85 = rl_config.useA85, 0  # else streams in ASCII, a quarter larger
    try:
        found = sliced(doc.GetPDFData(canvas)).bodies
    finally:
        rl_config.useA85 = before
    root = doc.idToObjectNumberAndVersion[_FONTS][0]
    needed = [root]
    for number in needed:  # which grows as objects refer to others
        needed += [one for one in referred(found[number].head) if one not in needed]
    return Objects({number: found[number] for number in needed}, root)
