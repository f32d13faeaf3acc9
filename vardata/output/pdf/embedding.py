"""A font program cut down to the glyphs that a file shows.

In: a face and glyph ids. Out: a composite font (ISO 32000-1, 9.7) whose codes are glyph ids
(Identity-H): the subset, which keeps the ids, its widths and the way back to Unicode.
Layout tables and hints are dropped: shaping is done, and dots are small.
"""

from __future__ import annotations

import hashlib
import struct
from functools import lru_cache
from itertools import pairwise
from typing import Any, NamedTuple

import uharfbuzz as hb

from vardata.deflated import deflated
from vardata.fit.fonts import Face
from vardata.output.pdf import cff
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.syntax import THOUSANDTHS, name
from vardata.output.pdf.unicode_map import unicode_map

_KEPT_TABLES = frozenset({"head", "hhea", "maxp", "hmtx", "loca", "glyf", "CFF "})
_SYMBOLIC = 4  # font flags, table 123: a character set of its own
_STEM = 80  # StemV is required; it serves substitution only, which embedding rules out


class Embedded(NamedTuple):
    """A font ready to be put: entries of dictionaries, and compressed streams.

    ``program`` goes under ``FontFile2`` or ``FontFile3`` with the entries ``kind``.
    """

    base: bytes
    cid_font: bytes
    descriptor: bytes
    kind: bytes
    program: bytes
    unicode: bytes


def put_font(pdf: PdfFile, face: Face, glyphs: tuple[int, ...]) -> int:
    """Puts a font with these glyphs into the file; gives the number of its object."""
    font = embedded(face, glyphs)
    program = pdf.put_stream(font.kind + b"/Filter/FlateDecode", font.program, raw=True)
    file = b"FontFile3" if face.is_cff else b"FontFile2"
    descriptor = pdf.put(b"%b/%b %d 0 R>>" % (font.descriptor, file, program))
    descendant = pdf.put(b"%b/FontDescriptor %d 0 R>>" % (font.cid_font, descriptor))
    unicode = pdf.put_stream(b"/Filter/FlateDecode", font.unicode, raw=True)
    return pdf.put(
        b"<</Type/Font/Subtype/Type0/BaseFont%b/Encoding/Identity-H"
        b"/DescendantFonts[%d 0 R]/ToUnicode %d 0 R>>" % (font.base, descendant, unicode)
    )


@lru_cache(maxsize=64)  # a text that is the same on every bed has the same glyphs on every bed
def embedded(face: Face, glyphs: tuple[int, ...]) -> Embedded:
    """A font with these glyphs, in the order of their ids, ready to be put."""
    sfnt = subset(face, glyphs)
    if face.is_cff:
        program = cff.identity_charset(cff.table(sfnt))
        kind, subtype, way = b"/Subtype/CIDFontType0C", b"CIDFontType0", b""
    else:
        program = sfnt
        kind, subtype, way = b"/Length1 %d" % len(sfnt), b"CIDFontType2", b"/CIDToGIDMap/Identity"
    # Six letters in front tell two subsets of one font apart (9.6.4).
    digest = hashlib.sha256(program).digest()
    tag = "".join(chr(65 + byte % 26) for byte in digest[:6])
    base = name(f"{tag}+{face.postscript_name}")
    cid_font = (
        b"<</Type/Font/Subtype/%b/BaseFont%b"
        b"/CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)/Supplement 0>>%b/W[%b]"
    ) % (subtype, base, way, widths(face, glyphs))
    return Embedded(
        base,
        cid_font,
        _descriptor(face, base),
        kind,
        deflated(program),
        deflated(unicode_map({glyph: face.text_of(glyph) for glyph in glyphs})),
    )


def subset(face: Face, glyphs: tuple[int, ...]) -> bytes:
    """A font file with these glyphs, and the parts they are composed of, under their own ids."""
    source, dropped = _source(face)
    wanted = hb.SubsetInput()
    wanted.glyph_set.update(glyphs)
    wanted.drop_table_tag_set.update(dropped)
    wanted.flags = (
        hb.SubsetFlags.RETAIN_GIDS
        | hb.SubsetFlags.NO_HINTING
        | hb.SubsetFlags.NO_LAYOUT_CLOSURE
        | hb.SubsetFlags.DESUBROUTINIZE  # of few glyphs: smaller without subroutines
    )
    data: bytes = wanted.subset(source).blob.data
    return data


def _resized(face: Face) -> bytes:
    """The font file, with as many units an em as the face is set with: nothing else need change
    for its glyphs to be larger or smaller (OpenType 1.9, head table). The subsetter writes the
    checksums anew."""
    if not face.units:
        return face.data
    if face.is_cff:
        return cff.with_units(face.data, face.units)
    data = bytearray(face.data)
    for entry in range(12, 12 + 16 * struct.unpack_from(">H", data, 4)[0], 16):
        tag, _, offset, _ = struct.unpack_from(">4sIII", data, entry)
        if tag == b"head":
            struct.pack_into(">H", data, offset + 18, face.units)
    return bytes(data)


@lru_cache(maxsize=64)
def _source(face: Face) -> tuple[Any, tuple[int, ...]]:
    """The face for the subsetter, and the tags of the tables to drop."""
    source = hb.Face(hb.Blob(_resized(face)))
    dropped = (tag for tag in source.table_tags if tag not in _KEPT_TABLES)
    return source, tuple(int.from_bytes(tag.encode("latin-1"), "big") for tag in dropped)


def widths(face: Face, glyphs: tuple[int, ...]) -> bytes:
    """The entries of ``W`` (9.7.4.3): every glyph's advance, ids in a row together."""
    if not glyphs:
        return b""
    out = [b"%d[" % glyphs[0], _width(face, glyphs[0])]
    for before, glyph in pairwise(glyphs):
        out.append(b" " if glyph == before + 1 else b"]%d[" % glyph)
        out.append(_width(face, glyph))
    return b"".join((*out, b"]"))


def _width(face: Face, glyph: int) -> bytes:
    return THOUSANDTHS[round(1000 * face.advance(glyph))]


def _descriptor(face: Face, base: bytes) -> bytes:
    """The font descriptor (9.8), still open for the program. Lengths are 1/1000 em."""
    source, _ = _source(face)
    head = source.reference_table("head").data
    box = struct.unpack_from(">4h", head, 36)  # xMin, yMin, xMax, yMax in the head table
    scale = 1000 / face.units_per_em
    return (
        b"<</Type/FontDescriptor/FontName%b/Flags %d/FontBBox[%d %d %d %d]/ItalicAngle 0"
        b"/Ascent %d/Descent %d/CapHeight %d/StemV %d"
    ) % (
        base, _SYMBOLIC, *(round(edge * scale) for edge in box),
        round(face.ascent), round(face.descent), round(face.cap_height), _STEM,
    )  # fmt: skip
