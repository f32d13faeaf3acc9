"""Plates as a foreign renderer sees them.

Plates are drawn into a PDF of grey paths (tint 1 black, tint 0 white), glyph outlines being
read by fontTools and not by the code under test, and rendered by PDFium at 2,400 dpi. So a
fill with a stroke over it is what PDFium makes of it.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable
from functools import lru_cache

import numpy as np
import pypdfium2
from fontTools.pens.basePen import BasePen
from fontTools.ttLib import TTFont
from numpy.typing import NDArray
from platework import book

from vardata.dress.dresser import Dresser
from vardata.marks import (
    Commands,
    GlyphRun,
    Image,
    Item,
    Mark,
    ModuleGrid,
    Path,
    Ref,
    Statics,
)

DPI = 2400
PX = DPI / 25.4  # pixels a mm

Mask = NDArray[np.bool_]


def expanded(item: Item, statics: Statics) -> list[Mark]:
    """All marks with static ones in the place of their references."""
    found: list[Mark] = []
    for mark in item.spread():
        found += statics.refs[mark.key] if isinstance(mark, Ref) else (mark,)
    return found


def of_plate(made: Dresser, item: Item, plate: int) -> list[Mark]:
    return [mark for mark in expanded(item, made.statics()) if mark.plate == plate]


def rendered(
    marks: Iterable[Mark], width: float = 40.0, height: float = 20.0, dpi: float = DPI
) -> Mask:
    """Where a plate has ink, row 0 at the bottom. Any process ink counts as ink."""
    pdf = pypdfium2.PdfDocument(pdf_of(marks, width, height))
    bitmap = pdf[0].render(scale=dpi / 72, grayscale=True)
    grey = np.array(bitmap.to_numpy()).reshape(bitmap.height, -1)[:, : bitmap.width]
    pdf.close()
    return np.asarray(grey[::-1] < 128)


def pdf_of(marks: Iterable[Mark], width: float, height: float) -> bytes:
    """A plate as a page of grey paths."""
    content = "\n".join(_painted(mark) for mark in marks)
    k = 72 / 25.4
    return _pdf(f"{k} 0 0 {k} 0 0 cm\n1 j 1 J\n{content}", width, height)


def _pdf(content: str, width: float, height: float) -> bytes:
    """A page of ``width`` by ``height`` mm with this content and nothing else."""
    k = 72 / 25.4
    objects = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        f"<</Type/Page/Parent 2 0 R/MediaBox[0 0 {width * k:.6f} {height * k:.6f}]"
        "/Resources<<>>/Contents 4 0 R>>".encode(),
        b"<</Length %d>>stream\n%b\nendstream" % (len(content.encode()), content.encode()),
    ]
    out, places = b"%PDF-1.4\n", []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj%b\nendobj\n" % (number, body)
    table = "".join(f"{place:010d} 00000 n \n" for place in places)
    end = f"xref\n0 5\n0000000000 65535 f \n{table}trailer<</Size 5/Root 1 0 R>>\nstartxref\n"
    return out + f"{end}{len(out)}\n%%EOF".encode()


def _painted(mark: Mark) -> str:
    if isinstance(mark, Ref):
        raise AssertionError("references are expanded first")
    inked = any(mark.paint) if isinstance(mark.paint, tuple) else mark.paint > 0
    grey = "0 g 0 G" if inked else "1 g 1 G"
    if isinstance(mark, Path):
        turn = _turn(mark.x, mark.y, mark.angle)
        way = f"{mark.stroke} w S" if mark.stroke else ("f*" if mark.even_odd else "f")
        return f"q {grey} {turn} {_drawn(mark.commands)} {way} Q"
    if isinstance(mark, GlyphRun):
        return _run(mark, grey)
    if isinstance(mark, ModuleGrid):
        return _grid(mark, grey)
    assert isinstance(mark, Image)
    corner = f"{-mark.w / 2} {-mark.h / 2} {mark.w} {mark.h} re f"
    return f"q {grey} {_turn(mark.x + mark.w / 2, mark.y + mark.h / 2, mark.angle)} {corner} Q"


def _turn(x: float, y: float, angle: float) -> str:
    cos, sin = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    return f"{cos:.12f} {sin:.12f} {-sin:.12f} {cos:.12f} {x:.9f} {y:.9f} cm"


def _drawn(commands: Commands) -> str:
    names = {"m": "m", "l": "l", "c": "c", "h": "h", "re": "re"}
    return " ".join(
        " ".join([*(f"{v:.6f}" for v in step[1:]), names[str(step[0])]]) for step in commands
    )


class _Pen(BasePen):  # type: ignore[misc]
    def __init__(self, glyphs: object, scale: float, squeeze: float, x: float) -> None:
        super().__init__(glyphs)
        self.steps: list[str] = []
        self._by = (scale * squeeze, scale)
        self._x = x

    def _add(self, name: str, *points: tuple[float, float]) -> None:
        sx, sy = self._by
        self.steps += [f"{self._x + x * sx:.6f} {y * sy:.6f}" for x, y in points] + [name]

    def _moveTo(self, point: tuple[float, float]) -> None:
        self._add("m", point)

    def _lineTo(self, point: tuple[float, float]) -> None:
        self._add("l", point)

    def _curveToOne(self, *points: tuple[float, float]) -> None:
        self._add("c", *points)

    def _closePath(self) -> None:
        self.steps.append("h")


@lru_cache(maxsize=8)
def _font(index: int) -> TTFont:
    return TTFont(book().face(index).path)


def _run(mark: GlyphRun, grey: str) -> str:
    """All glyphs are filled, then (with a choke) all are stroked at tint 0."""
    font = _font(mark.font)
    names, glyphs = font.getGlyphOrder(), font.getGlyphSet()
    upem = font["head"].unitsPerEm
    scale = mark.size_pt * 25.4 / 72 / upem
    ids = struct.unpack(f">{len(mark.glyphs) // 2}H", mark.glyphs)
    pen, drawn = 0.0, ""
    for glyph, kern in zip(ids, mark.kerns or (0.0,) * len(ids)):
        outline = _Pen(glyphs, scale, mark.squeeze, pen)
        glyphs[names[glyph]].draw(outline)
        drawn += " ".join(outline.steps) + "\n"
        pen += (glyphs[names[glyph]].width - kern * upem / 1000) * scale * mark.squeeze
    # Each glyph is filled for itself: overlapping glyphs do not knock each other out.
    fills = "".join(f"{part} f\n" for part in drawn.split("\n") if part)
    turn = _turn(mark.x, mark.y, mark.angle)
    # A choke is stroked at tint 0, a spread in the ink itself.
    colour = "1 G" if mark.choke > 0 else ""
    stroke = f"{colour} {2 * abs(mark.choke)} w {drawn} S" if mark.choke else ""
    return f"q {grey} {turn} {fills} {stroke} Q"


def _grid(mark: ModuleGrid, grey: str) -> str:
    stride = -(-mark.columns // 8)
    w, h = mark.w / mark.columns, mark.h / mark.rows
    cells = []
    for r in range(mark.rows):
        row = int.from_bytes(mark.bits[r * stride : (r + 1) * stride], "big")
        bits = f"{row:0{stride * 8}b}"
        for c in range(mark.columns):
            if bits[c] == "1":
                y = mark.h / 2 - (r + 1) * h
                cells.append(f"{-mark.w / 2 + c * w:.9f} {y:.9f} {w:.9f} {h:.9f} re")
    turn = _turn(mark.x + mark.w / 2, mark.y + mark.h / 2, 90 * mark.turn)
    return f"q {grey} {turn} {' '.join(cells)} f Q"
