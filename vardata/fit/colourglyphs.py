"""Glyphs that a font draws in colours of its own, such as picture characters.

In: a font's COLR table as fontTools reads it. Out: the names of its glyphs. What they look like
is nobody's business here: such a glyph is not one ink, so it cannot stand on one plate.
"""

from __future__ import annotations

from typing import Any


def coloured_glyphs(table: Any) -> set[str]:
    """The base glyphs of either version of the table (OpenType 1.9, COLR)."""
    if table.version == 0:
        return set(table.ColorLayers)
    names: set[str] = set()
    if table.table.BaseGlyphList:
        names |= {record.BaseGlyph for record in table.table.BaseGlyphList.BaseGlyphPaintRecord}
    if table.table.BaseGlyphRecordArray:
        names |= {record.BaseGlyph for record in table.table.BaseGlyphRecordArray.BaseGlyphRecord}
    return names
