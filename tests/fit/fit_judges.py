"""What the tests of fitting are judged by: fontTools for outlines and tables, uharfbuzz called
plainly for shaping, and a fitter that knows no shortcut: it tries every size in turn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import uharfbuzz as hb
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Subsetter
from fontTools.ttLib import TTFont
from fontTools.ttLib.scaleUpem import scale_upem

from vardata.fit.fontbook import FontBook
from vardata.fit.fonts import Face
from vardata.fit.result import TextFit
from vardata.job.model import TextField

SHIPPED = Path(__file__).resolve().parents[2] / "fonts"
_ALL = sorted(path for path in SHIPPED.iterdir() if path.suffix in (".otf", ".ttf"))
SCRIPTS = {  # shipped fonts without Latin letters, and a locale of faker's that is written in each
    "NotoNaskhArabic-Regular": "ar_SA",
    "NotoSansBengali-Regular": "bn_BD",
    "NotoSansDevanagari-Regular": "hi_IN",
    "NotoSansHebrew-Regular": "he_IL",
    "NotoSansTamil-Regular": "ta_IN",
    "NotoSansThai-Regular": "th_TH",
}
FILES = [path for path in _ALL if path.stem not in SCRIPTS]
BOOK = FontBook({path.stem: path for path in _ALL})
MM = 25.4 / 72  # of a point: ISO 32000-1, 8.3.2.3

Box = tuple[float, float, float, float]


def chain(*names: str) -> tuple[Face, ...]:
    return BOOK.chain(names)


def field(**keys: object) -> TextField:
    given: dict[str, Any] = {"box": (0, 0, 40, 10), "size": "14pt", "font": "any", **keys}
    return TextField(type="text", name="name", text="", **given)


# ---------------------------------------------------------------- a font to reckon with


def box_font(
    path: Path, glyphs: dict[str, tuple[int, Sequence[int] | None]], units: int = 1000
) -> Path:
    """A font whose letters are rectangles: character -> (advance, (x0, y0, x1, y1) or None)."""
    names = {char: f"u{ord(char):04X}" for char in glyphs}
    builder = FontBuilder(units, isTTF=True)
    builder.setupGlyphOrder([".notdef", *names.values()])
    builder.setupCharacterMap({ord(char): name for char, name in names.items()})
    drawn = {".notdef": TTGlyphPen(None).glyph()}
    for char, (_, box) in glyphs.items():
        pen = TTGlyphPen(None)
        if box:
            x0, y0, x1, y1 = box
            pen.moveTo((x0, y0))
            for point in ((x0, y1), (x1, y1), (x1, y0)):
                pen.lineTo(point)
            pen.closePath()
        drawn[names[char]] = pen.glyph()
    builder.setupGlyf(drawn)
    lefts = {char: box[0] if box else 0 for char, (_, box) in glyphs.items()}
    metrics = {names[char]: (advance, lefts[char]) for char, (advance, _) in glyphs.items()}
    builder.setupHorizontalMetrics({".notdef": (units, 0), **metrics})
    builder.setupHorizontalHeader(ascent=units * 8 // 10, descent=-units * 2 // 10)
    builder.setupNameTable({"familyName": path.stem, "psName": path.stem})
    builder.setupOS2()
    builder.setupPost()
    builder.save(path)
    return path


def grain_font(path: Path, units: int) -> Path:
    """The Latin part of a shipped font with so many units an em."""
    font = TTFont(SHIPPED / "NotoSans-Regular.ttf")
    part = Subsetter()
    part.populate(unicodes=[*range(0x20, 0x180), 0x301, 0x302])
    part.subset(font)
    scale_upem(font, units)
    font.save(path)
    return path


# ---------------------------------------------------------------- shaping, plainly


@lru_cache(maxsize=64)
def tables(path: Path) -> TTFont:
    return TTFont(path)


@lru_cache(maxsize=64)
def _plain_font(path: Path) -> hb.Font:
    return hb.Font(hb.Face(path.read_bytes()))


def clustered(path: Path, text: str) -> list[tuple[int, int, int]]:
    """(place in the text, glyph, advance) of each glyph, as uharfbuzz maps them."""
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb.shape(_plain_font(path), buffer)
    return [
        (info.cluster, info.codepoint, place.x_advance)
        for info, place in zip(buffer.glyph_infos, buffer.glyph_positions)
    ]


def plainly(path: Path, text: str) -> list[tuple[int, int, int, int]]:
    """(glyph, x, y, advance) of each glyph, x and y absolute, in the font's own units."""
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb.shape(_plain_font(path), buffer)
    out, pen = [], 0
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions):
        out.append((info.codepoint, pen + place.x_offset, place.y_offset, place.x_advance))
        pen += place.x_advance
    return out


@lru_cache(maxsize=100_000)
def true_ink(path: Path, glyph: int) -> Box | None:
    """The box of a glyph's outline in its font's own units, by fontTools."""
    font = tables(path)
    pen = BoundsPen(font.getGlyphSet())
    font.getGlyphSet()[font.getGlyphName(glyph)].draw(pen)
    return pen.bounds  # type: ignore[no-any-return]


# ---------------------------------------------------------------- the ink of a fit


def drawn(fit: TextFit, book: FontBook = BOOK) -> Iterator[tuple[Path, int, float, float, float]]:
    """(font file, glyph, x, y in mm, mm an em) of each glyph, as PDF moves the pen: by the width
    that W says to three decimals, less the kern (ISO 32000-1, 9.4.4), times the squeeze."""
    em = fit.size_pt * MM
    for run in fit.runs:
        path = book.face(run.font).path
        font, x = tables(path), run.x
        count = len(run.glyphs) // 2
        kerns = run.kerns or (0.0,) * count
        assert len(kerns) == count
        for index, kern in enumerate(kerns):
            glyph = int.from_bytes(run.glyphs[2 * index : 2 * index + 2], "big")
            yield path, glyph, x, run.y, em
            advance = font["hmtx"][font.getGlyphName(glyph)][0]
            width = round(advance * 1000 / font["head"].unitsPerEm, 3)
            x += (width - kern) / 1000 * em * fit.squeeze


def ink_of(fit: TextFit, book: FontBook = BOOK) -> Box:
    boxes = []
    for path, glyph, x, y, em in drawn(fit, book):
        ink = true_ink(path, glyph)
        if ink:
            unit = em / tables(path)["head"].unitsPerEm
            across = unit * fit.squeeze
            x0, y0, x1, y1 = ink
            boxes.append((x + x0 * across, y + y0 * unit, x + x1 * across, y + y1 * unit))
    x0s, y0s, x1s, y1s = zip(*boxes)
    return min(x0s), min(y0s), max(x1s), max(y1s)


# ---------------------------------------------------------------- fitting without a shortcut


class SlowFitter:
    """Fits plain words of one font by trying sizes one after another. Lengths in pt."""

    def __init__(self, path: Path, text: str, field: TextField, spare: float) -> None:
        """``spare`` mm are kept free on each side of the box."""
        self._path, self._field = path, field
        self._em = tables(path)["head"].unitsPerEm
        self._words = text.split(" ")
        self._w = (field.box[2] - 2 * spare) / MM
        self._h = (field.box[3] - 2 * spare) / MM

    def ink(self, text: str) -> Box:
        boxes = [
            (x + ink[0], y + ink[1], x + ink[2], y + ink[3])
            for glyph, x, y, _ in plainly(self._path, text)
            if (ink := true_ink(self._path, glyph))
        ]
        x0s, y0s, x1s, y1s = ([n / self._em for n in side] for side in zip(*boxes))
        return min(x0s), min(y0s), max(x1s), max(y1s)

    def blocks(self, lines: int) -> list[tuple[float, float]]:
        """(width, height) in em of the ways to set the text on so many lines that have the
        narrowest widest line, or nearly so."""
        ways = []
        for cuts in combinations(range(1, len(self._words)), lines - 1):
            edges = (0, *cuts, len(self._words))
            inks = [self.ink(" ".join(self._words[a:b])) for a, b in pairwise(edges)]
            widest = max(x1 - x0 for x0, _, x1, _ in inks)
            top = max(y1 - n * self._field.leading for n, (_, _, _, y1) in enumerate(inks))
            low = min(y0 - n * self._field.leading for n, (_, y0, _, _) in enumerate(inks))
            ways.append((widest, top - low))
        least = min(ways, default=(0.0, 0.0))[0]
        return [way for way in ways if way[0] <= least + 1e-6]

    def sizes(self, least: float) -> Iterator[float]:
        size, steps = self._field.size, 0
        while size >= least - 1e-9:
            yield size
            steps += 1
            size = self._field.size - steps * self._field.size_step

    def fits(self, size: float, squeeze: float, lines: int) -> bool:
        return any(
            w * size * squeeze <= self._w and h * size <= self._h for w, h in self.blocks(lines)
        )

    def solutions(self) -> Iterator[tuple[float, float, int]]:
        """(size, squeeze, lines) in the usual order of steps, best first."""
        field = self._field
        least = min(field.size, field.min_size or field.size / 2)
        floor = max(least, field.size * field.shrink_to / 100)
        for lines in range(1, field.lines + 1):
            for size in self.sizes(floor):
                if self.fits(size, 1.0, lines):
                    yield size, 1.0, lines
        for size in self.sizes(least):
            for lines in range(1, field.lines + 1):
                if self.fits(size, 1.0, lines):
                    yield size, 1.0, lines
        smallest = list(self.sizes(least))[-1]
        for thousandth in range(999, 0, -1):
            if thousandth / 1000 < field.squeeze / 100 - 1e-9:
                break
            for lines in range(1, field.lines + 1):
                if self.fits(smallest, thousandth / 1000, lines):
                    yield smallest, thousandth / 1000, lines
