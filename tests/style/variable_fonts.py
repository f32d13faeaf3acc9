"""A variable font for tests, made with fontTools from two shipped fonts: weight from 400 (regular)
to 700 (bold), width from 75 to 100, two named instances."""

from __future__ import annotations

from pathlib import Path

from fontTools.fontBuilder import FontBuilder
from fontTools.subset import Subsetter
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables.TupleVariation import TupleVariation

SHIPPED = Path(__file__).resolve().parents[2] / "fonts"
AXES = [("wght", 400, 400, 700, "Weight"), ("wdth", 75, 100, 100, "Width")]
INSTANCES = [
    {"location": {"wght": 700, "wdth": 100}, "stylename": "Bold"},
    {"location": {"wght": 550, "wdth": 75}, "stylename": "Condensed Medium"},
]


def _latin(name: str) -> TTFont:
    font = TTFont(SHIPPED / f"{name}.ttf")
    part = Subsetter()
    part.populate(unicodes=[*range(0x20, 0x7F), *range(0xC0, 0x100)])
    part.subset(font)
    return font


def _parts(font: TTFont, name: str) -> list[str] | None:
    """What a glyph is composed of; None if there is no such glyph."""
    if name not in font["glyf"].glyphs:
        return None
    glyph = font["glyf"][name]
    return [part.glyphName for part in glyph.components] if glyph.isComposite() else []


def variable_font(path: Path) -> Path:
    """Writes the font; glyphs whose outlines differ in their points keep their weight."""
    font, bold = _latin("NotoSans-Regular"), _latin("NotoSans-Bold")
    for name in font.getGlyphOrder():
        for part in getattr(font["glyf"][name], "components", ()):
            part.flags &= ~0x0200  # USE_MY_METRICS: every glyph has an advance of its own
    variations = {}
    for name in font.getGlyphOrder():
        points = font["glyf"]._getCoordinatesAndControls(name, font["hmtx"].metrics)[0]
        narrow = [(round(-0.25 * x), 0) for x, _ in points]
        found = [TupleVariation({"wdth": (-1.0, -1.0, 0.0)}, narrow)]
        if _parts(font, name) == _parts(bold, name):
            other = bold["glyf"]._getCoordinatesAndControls(name, bold["hmtx"].metrics)[0]
            if len(other) == len(points):
                heavy = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(points, other)]
                found.append(TupleVariation({"wght": (0.0, 1.0, 1.0)}, heavy))
        variations[name] = found
    builder = FontBuilder(font=font)
    builder.setupFvar(AXES, INSTANCES)
    builder.setupGvar(variations)
    font.save(path)
    return path
