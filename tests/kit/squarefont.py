"""A font whose letter a is a square of 1 em, so that areas and places are known by hand."""

from __future__ import annotations

from pathlib import Path

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen


def square_font(folder: Path) -> Path:
    """Writes ``Squares.ttf``."""
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder([".notdef", "a"])
    builder.setupCharacterMap({ord("a"): "a"})
    pen = TTGlyphPen(None)
    pen.moveTo((0, 0))
    for point in ((0, 1000), (1000, 1000), (1000, 0)):
        pen.lineTo(point)
    pen.closePath()
    builder.setupGlyf({".notdef": TTGlyphPen(None).glyph(), "a": pen.glyph()})
    builder.setupHorizontalMetrics({".notdef": (1000, 0), "a": (1000, 0)})
    builder.setupHorizontalHeader(ascent=1000, descent=0)
    builder.setupNameTable({"familyName": "Squares", "psName": "Squares"})
    builder.setupOS2()
    builder.setupPost()
    path = folder / "Squares.ttf"
    builder.save(path)
    return path
