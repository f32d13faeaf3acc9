"""Fonts that reportlab does not take (CFF outlines, members of collections, variable fonts), for
the papers: embedded as on the beds.

In: a font's place. Out: what the papers ask of a reportlab font, so that whoever sets a text need
not know the difference. A code is a glyph id of two bytes (Identity-H), and one subset serves a
document.
"""

from __future__ import annotations

from functools import cached_property
from typing import Any
from weakref import WeakKeyDictionary

from reportlab.pdfbase import pdfdoc

from vardata.fit.fonts import Face
from vardata.output.pdf.embedding import Embedded, embedded
from vardata.output.picklist_values import PaperFont


class _Raw(pdfdoc.PDFObject):  # type: ignore[misc]  # reportlab carries no types
    """An object whose bytes are ready."""

    __RefOnly__ = 1  # reportlab: stands by itself, is referred to

    def __init__(self, data: bytes) -> None:
        self._data = data

    def format(self, document: Any) -> bytes:
        return self._data


class _Advances:
    """Widths of glyphs as reportlab's fonts have them: the first of a pair, in the font's units."""

    def __init__(self, face: Face) -> None:
        self._face = face

    def __getitem__(self, glyph: int) -> tuple[int, int]:
        return self._face.font.get_glyph_h_advance(glyph), 0


class _FaceOfPapers:
    """What a reportlab font's ``face`` is asked: glyphs and widths of characters."""

    def __init__(self, face: Face) -> None:
        self._face = face
        self.filename = str(face.path)
        self.charWidths: dict[int, float] = {}
        self.hmetrics = _Advances(face)

    @cached_property
    def charToGlyph(self) -> dict[int, int]:  # reportlab's name
        font = self._face.font
        return {code: font.get_nominal_glyph(code) for code in font.face.unicodes}

    def getCharWidth(self, code: int) -> float:  # reportlab's name
        width = self.charWidths.get(code)
        if width is None:
            width = self._face.advance(self.charToGlyph.get(code, 0))
            self.charWidths[code] = width
        return width


class OutlineFont:
    """One font. Raises ``OSError`` or ``ValueError`` for a file that is none."""

    def __init__(self, place: PaperFont) -> None:
        self._own = Face(place.path, 0, 0, place.member, place.axes)
        self.hb_font = self._own.font
        self.face = _FaceOfPapers(self._own)
        # By document: the font's name in it, and the glyphs that it shows.
        self._shown: WeakKeyDictionary[Any, tuple[str, set[int]]] = WeakKeyDictionary()

    def splitString(self, text: str, doc: Any) -> list[tuple[int, bytes]]:
        """The codes of a text, all of one subset."""
        glyphs = [self.face.charToGlyph.get(ord(char), 0) for char in text]
        self._of(doc)[1].update(glyphs)
        return [(0, b"".join(glyph.to_bytes(2, "big") for glyph in glyphs))]

    def getSubsetInternalName(self, subset: int, doc: Any) -> str:
        """The font's name in a document, from where on it is part of it."""
        return f"/{self._of(doc)[0]}"

    def _of(self, doc: Any) -> tuple[str, set[int]]:
        found = self._shown.get(doc)
        if found is None:
            number = sum(isinstance(font, OutlineFont) for font in doc.delayedFonts) + 1
            found = self._shown[doc] = (f"O{number}", set())
            doc.delayedFonts.append(self)
        return found

    def addObjects(self, doc: Any) -> None:  # reportlab's name
        """Puts the font into a document that is complete."""
        name, glyphs = self._shown.pop(doc)
        font = embedded(self._own, tuple(sorted(glyphs)))
        doc.idToObject["BasicFonts"].dict[name] = _put(doc, name, font, self._own.is_cff)


def _put(doc: Any, name: str, font: Embedded, is_cff: bool) -> _Raw:
    """The objects of a composite font (ISO 32000-1, 9.7); gives the outermost."""

    def put(role: str, data: bytes) -> bytes:
        doc.Reference(_Raw(data), f"{name}{role}")
        reference: bytes = pdfdoc.PDFObjectReference(f"{name}{role}").format(doc)
        return reference

    def stream(role: str, entries: bytes, data: bytes) -> bytes:
        head = b"<<%b/Filter/FlateDecode/Length %d>>" % (entries, len(data))
        return put(role, head + b"\nstream\n" + data + b"\nendstream\n")

    program = stream("program", font.kind, font.program)
    file = b"FontFile3" if is_cff else b"FontFile2"
    descriptor = put("descriptor", b"%b/%b %b>>" % (font.descriptor, file, program))
    descendant = put("cid", b"%b/FontDescriptor %b>>" % (font.cid_font, descriptor))
    unicode = stream("unicode", b"", font.unicode)
    whole = _Raw(
        b"<</Type/Font/Subtype/Type0/BaseFont%b/Encoding/Identity-H/DescendantFonts[%b]"
        b"/ToUnicode %b>>" % (font.base, descendant, unicode)
    )
    doc.Reference(whole, name)
    return whole
