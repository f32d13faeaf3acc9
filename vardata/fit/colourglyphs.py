"""Glyphs that a font draws in colours of its own, such as picture characters.

In: a font's COLR and CPAL tables as fontTools reads them. Out: the names of its glyphs, and the
layers of those that are plain outlines in opaque colours. Gradients, see-through colours and other
ways of drawing are nobody's business here: they cannot stand on plates as outlines do.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

Rgb = tuple[int, int, int]

_FOREGROUND = 0xFFFF  # OpenType 1.9, COLR: the colour of the text
_OPAQUE = 255


class GlyphLayer(NamedTuple):
    """An outline of the same font; ``rgb`` None is the colour of the text."""

    glyph: int
    rgb: Rgb | None


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


def layered_glyphs(
    colr: Any, cpal: Any, number: Callable[[str], int]
) -> dict[int, tuple[GlyphLayer, ...]]:
    """The layers, lowest first, of base glyphs of version 0 whose colours in the first palette are
    all opaque (OpenType 1.9, COLR and CPAL); ``number`` gives a glyph's id."""
    if colr.version != 0 or not cpal.palettes:
        return {}
    palette = cpal.palettes[0]
    found: dict[int, tuple[GlyphLayer, ...]] = {}
    for name, records in colr.ColorLayers.items():
        layers: list[GlyphLayer] = []
        for record in records:
            rgb = None
            if record.colorID != _FOREGROUND:
                if record.colorID >= len(palette) or palette[record.colorID].alpha != _OPAQUE:
                    break
                colour = palette[record.colorID]
                rgb = (colour.red, colour.green, colour.blue)
            layers.append(GlyphLayer(number(record.name), rgb))
        if layers and len(layers) == len(records):
            found[number(name)] = tuple(layers)
    return found
