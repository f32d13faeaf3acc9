"""Font files: what shaping, fitting, dress and the PDF writer ask of them.

In: paths of TrueType or OpenType/CFF files that the job stage has checked. Out: a ``Face`` of
each, opened when first used; ``fit.fontbook`` has all faces of a run. Lengths are in 1/1000 em,
whatever the file's own units. uharfbuzz reads and shapes; fontTools gives names and tables.
Nothing here lays out text.
"""

from __future__ import annotations

import struct
from functools import cached_property
from io import BytesIO
from itertools import chain
from pathlib import Path
from typing import Any, NamedTuple

from vardata.fit.beside import LETTERS, USUAL, SizedBy
from vardata.fit.colourglyphs import GlyphLayer, coloured_glyphs, layered_glyphs
from vardata.fit.fontcollection import taken_out
from vardata.fit.fontfeatures import feature_tags
from vardata.fit.glyphletters import letters_of, rank
from vardata.fit.outlines import Bounds, CommandPen, bounds
from vardata.job.fontaxes import Axes, instanced
from vardata.marks import Commands

# A glyph without ink has its left and bottom here, its right and top at minus this.
NO_INK = 1e9


class Glyph(NamedTuple):
    """What setting a line asks of a glyph, in the file's own units; ``id`` is 16 bits."""

    advance: int
    left: float
    bottom: float
    right: float
    top: float
    id: bytes


class _GlyphTable(dict[int, Glyph]):
    """Glyphs by number, each looked up once."""

    def __init__(self, face: Face) -> None:
        self._face = face

    def __missing__(self, glyph: int) -> Glyph:
        face = self._face
        box = face.extents(glyph)
        left, bottom, right, top = (
            (number / face.scale for number in box) if box else (NO_INK, NO_INK, -NO_INK, -NO_INK)
        )
        advance = face.font.get_glyph_h_advance(glyph)
        found = self[glyph] = Glyph(advance, left, bottom, right, top, glyph.to_bytes(2, "big"))
        return found


class _Kerns(dict[int, float]):
    """The file's own units as 1/1000 em, to three decimals: what a run's kerns are written in."""

    def __init__(self, scale: float) -> None:
        self._scale = scale

    def __missing__(self, units: int) -> float:
        found = self[units] = round(units * self._scale, 3)
        return found


class Face:
    """One font file. ``index`` is its number in the book."""

    def __init__(
        self, path: Path, index: int, units: int = 0, member: int | None = None, axes: Axes = ()
    ) -> None:
        """With ``units`` the font is set as if it had so many an em: larger or smaller;
        ``member`` is its place in a collection, ``axes`` that in a variable font's design."""
        self.member = member
        self.axes = axes
        self.path = path
        self.index = index
        self.units = units
        self.glyphs: dict[int, Glyph] = _GlyphTable(self)
        self._extents: dict[int, Bounds | None] = {}
        self._outlines: dict[int, Commands] = {}

    def __repr__(self) -> str:
        return f"Face({self.path.name}, {self.index})"

    def __getstate__(self) -> tuple[Path, int, int, int | None, Axes]:
        # What is open or cached stays in its process.
        return self.path, self.index, self.units, self.member, self.axes

    def __setstate__(self, state: tuple[Path, int, int, int | None, Axes]) -> None:
        self.__init__(*state)  # type: ignore[misc]

    # ------------------------------------------------------------ the file

    @cached_property
    def data(self) -> bytes:
        if self.axes:
            return instanced(self.path, self.member, self.axes)
        data = self.path.read_bytes()
        return data if self.member is None else taken_out(data, self.member)

    @cached_property
    def font(self) -> Any:
        """The uharfbuzz font, at the file's own units."""
        import uharfbuzz as hb

        if self.axes:
            return hb.Font(hb.Face(hb.Blob(self.data)))
        return hb.Font(hb.Face(hb.Blob.from_file_path(str(self.path)), self.member or 0))

    @cached_property
    def _tables(self) -> Any:
        from fontTools.ttLib import TTFont

        if self.axes:
            return TTFont(BytesIO(self.data), lazy=True)
        return TTFont(self.path, lazy=True, fontNumber=self.member or 0)

    @cached_property
    def units_per_em(self) -> int:
        return self.units or int(self.font.face.upem)

    @cached_property
    def scale(self) -> float:
        """The file's units to 1/1000 em."""
        return 1000.0 / self.units_per_em

    @cached_property
    def kerns(self) -> dict[int, float]:
        return _Kerns(self.scale)

    @cached_property
    def is_cff(self) -> bool:
        return "CFF " in self.font.face.table_tags

    @cached_property
    def keyed_by_cids(self) -> bool:
        """Whether it is a CFF font with CIDs (Adobe Technical Note 5176, 18)."""
        return self.is_cff and hasattr(self._tables["CFF "].cff.topDictIndex[0], "ROS")

    @cached_property
    def coloured(self) -> frozenset[int]:
        """Glyphs that are drawn in colours of their own (COLR), as picture characters are."""
        if "COLR" not in self.font.face.table_tags:
            return frozenset()
        return frozenset(map(self._tables.getGlyphID, coloured_glyphs(self._tables["COLR"])))

    @cached_property
    def layers(self) -> dict[int, tuple[GlyphLayer, ...]]:
        """Those of them that are plain outlines, one over the other, in opaque colours."""
        if not self.coloured or "CPAL" not in self.font.face.table_tags:
            return {}
        tables = self._tables
        return layered_glyphs(tables["COLR"], tables["CPAL"], tables.getGlyphID)

    @cached_property
    def unprintable(self) -> frozenset[int]:
        """The rest of them."""
        return self.coloured.difference(self.layers)

    @cached_property
    def features(self) -> frozenset[str]:
        """The tags of the OpenType features that the font has."""
        return feature_tags(self._tables)

    @cached_property
    def has_columns(self) -> bool:
        """Whether the font has vertical metrics, for text in columns."""
        return "vmtx" in self.font.face.table_tags

    @cached_property
    def glyph_count(self) -> int:
        return int(self.font.face.glyph_count)

    @cached_property
    def postscript_name(self) -> str:
        """The font's PostScript name (name id 6), else one made from its file's name."""
        name: str = self.font.face.get_name(6) or ""
        return "".join((name or self.path.stem).split())

    # ------------------------------------------------------------ heights

    @cached_property
    def _line_metrics(self) -> tuple[float, float]:
        metrics = self.font.get_font_extents("ltr")
        return metrics.ascender * self.scale, metrics.descender * self.scale

    @property
    def ascent(self) -> float:
        """The typographic ascender where the font says so (OS/2 fsSelection bit 7), else hhea's."""
        return self._line_metrics[0]

    @property
    def descent(self) -> float:
        """Below the baseline: a negative number."""
        return self._line_metrics[1]

    def _height(self, offset: int, letter: str) -> float:
        table = self.font.face.reference_table("OS/2").data
        if len(table) >= offset + 2:
            value: int = struct.unpack_from(">h", table, offset)[0]
            if value:
                return value * self.scale
        glyph = self.font.get_nominal_glyph(ord(letter))  # an old or careless font: measure
        box = self.extents(glyph) if glyph else None
        return box[3] if box else 0.0

    @cached_property
    def cap_height(self) -> float:
        return self._height(88, "H")  # OpenType 1.9, OS/2: sCapHeight, from version 2 on

    @cached_property
    def x_height(self) -> float:
        return self._height(86, "x")  # sxHeight

    def seen_height(self, by: SizedBy) -> float:
        """The height of letters by which a person compares this font with another."""
        if by == "none" or not self.has(ord(LETTERS[by])):
            return USUAL[by]
        return (self.cap_height if by == "cap-height" else self.x_height) or USUAL[by]

    # ------------------------------------------------------------ characters

    @cached_property
    def charset(self) -> frozenset[int]:
        """The code points that the font's cmap has."""
        return frozenset(self.font.face.unicodes)

    @cached_property
    def characters(self) -> frozenset[str]:
        """The same as characters, to be asked about a text at once."""
        return frozenset(map(chr, self.charset))

    def has(self, codepoint: int) -> bool:
        return codepoint in self.charset

    @cached_property
    def _texts(self) -> dict[int, str]:
        texts: dict[int, str] = {}
        for char in sorted(self.characters, key=rank):
            if text := letters_of(char):
                texts.setdefault(self.font.get_nominal_glyph(ord(char)), text)
        return texts

    def text_of(self, glyph: int) -> str:
        """The text that a glyph stands for: by the font's cmap, else by the glyph's name.

        A ligature stands for its letters. Private use says nothing to a reader and is passed
        over. "" where nothing is known.
        """
        found = self._texts.get(glyph)
        if found is None:
            from fontTools.agl import toUnicode

            name = self._tables.getGlyphName(glyph)
            found = self._texts[glyph] = "".join(map(letters_of, toUnicode(name)))
        return found

    # ------------------------------------------------------------ glyphs

    def advance(self, glyph: int) -> float:
        return self.glyphs[glyph].advance * self.scale

    def outline(self, glyph: int) -> Commands:
        """The glyph's outline as cubic commands; of one in layers, not theirs but its own."""
        found = self._outlines.get(glyph)
        if found is None:
            pen = CommandPen(self.scale)
            self.font.draw_glyph_with_pen(glyph, pen)
            found = self._outlines[glyph] = tuple(pen.commands)
        return found

    def extents(self, glyph: int) -> Bounds | None:
        """The box (x0, y0, x1, y1) of the glyph's ink, that of its layers if it has any; None for
        a space."""
        try:
            return self._extents[glyph]
        except KeyError:
            drawn = tuple(chain.from_iterable(map(self.outline, self.inked(glyph))))
            found = self._extents[glyph] = bounds(drawn)
            return found

    def inked(self, glyph: int) -> tuple[int, ...]:
        """The glyphs whose outlines are the glyph's ink: its layers, or itself."""
        layers = self.layers.get(glyph)
        return tuple(layer.glyph for layer in layers) if layers else (glyph,)
