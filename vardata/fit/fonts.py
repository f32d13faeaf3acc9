"""Font files: what shaping, fitting, dress and the PDF writer ask of them.

In: paths of TrueType or OpenType/CFF files. Out: ``Face`` (one file, opened when first used)
and ``FontBook`` (all faces of a run under small, fixed numbers). Lengths are in 1/1000 em,
whatever the file's own units. uharfbuzz reads and shapes; fontTools gives names.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple

from vardata.marks import Command, Commands

Bounds = tuple[float, float, float, float]


class _Pen:
    """Receives an outline (fontTools' pen protocol) and keeps it as commands."""

    def __init__(self, scale: float) -> None:
        self._scale = scale
        self._at = (0.0, 0.0)
        self.commands: list[Command] = []

    def _add(self, kind: str, *points: tuple[float, float]) -> None:
        scaled = tuple(number * self._scale for point in points for number in point)
        self.commands.append((kind, *scaled))
        self._at = points[-1]

    def moveTo(self, point: tuple[float, float]) -> None:  # noqa: N802
        self._add("m", point)

    def lineTo(self, point: tuple[float, float]) -> None:  # noqa: N802
        self._add("l", point)

    def curveTo(self, *points: tuple[float, float]) -> None:  # noqa: N802
        self._add("c", *points)

    def qCurveTo(self, *points: tuple[float, float]) -> None:  # noqa: N802
        """Quadratic splines with implied on-curve points, raised to cubics exactly."""
        off, end = points[:-1], points[-1]
        for index, control in enumerate(off):
            last = index == len(off) - 1
            after = off[index + 1] if not last else end
            to = end if last else ((control[0] + after[0]) / 2, (control[1] + after[1]) / 2)
            start = self._at
            one = tuple(s + 2 / 3 * (c - s) for s, c in zip(start, control))
            two = tuple(t + 2 / 3 * (c - t) for t, c in zip(to, control))
            self._add("c", one, two, to)  # type: ignore[arg-type]

    def closePath(self) -> None:  # noqa: N802
        self.commands.append(("h",))

    def endPath(self) -> None:  # noqa: N802
        return


def bounds(commands: Commands) -> Bounds | None:
    """The true box of an outline, curves included; None where nothing is drawn."""
    from fontTools.misc.bezierTools import calcCubicBounds

    boxes: list[Bounds] = []
    at = (0.0, 0.0)
    for kind, *numbers in commands:
        if kind == "h":
            continue
        values = [float(number) for number in numbers]
        end = (values[-2], values[-1])
        if kind == "c":
            boxes.append(calcCubicBounds(at, (values[0], values[1]), (values[2], values[3]), end))
        elif kind == "l":
            boxes.append((*map(min, at, end), *map(max, at, end)))
        at = end
    if not boxes:
        return None
    x0, y0, x1, y1 = zip(*boxes)
    return (min(x0), min(y0), max(x1), max(y1))


class Glyph(NamedTuple):
    """What setting a line asks of a glyph, in the file's own units; ``id`` is 16 bits."""

    advance: int
    left: float
    bottom: float
    right: float
    top: float
    id: bytes


class _GlyphTable(dict[int, Glyph]):
    """Glyphs by number, looked up once. A glyph without ink has its left above its right."""

    def __init__(self, face: Face) -> None:
        self._face = face

    def __missing__(self, glyph: int) -> Glyph:
        face = self._face
        box = face.extents(glyph)
        left, bottom, right, top = (
            (number / face.scale for number in box) if box else (1e9, 1e9, -1e9, -1e9)
        )
        found = self[glyph] = Glyph(
            face.font.get_glyph_h_advance(glyph), left, bottom, right, top,
            glyph.to_bytes(2, "big"),
        )
        return found


class Face:
    """One font file, opened when first asked. ``index`` is its number in the book."""

    def __init__(self, path: Path, index: int) -> None:
        self.path = path
        self.index = index
        self._advances: dict[int, float] = {}
        self._extents: dict[int, Bounds | None] = {}
        self._outlines: dict[int, Commands] = {}
        self.glyphs: dict[int, Glyph] = _GlyphTable(self)

    def __repr__(self) -> str:
        return f"Face({self.path.name})"

    def __getstate__(self) -> tuple[Path, int]:
        return self.path, self.index

    def __setstate__(self, state: tuple[Path, int]) -> None:
        self.__init__(*state)  # type: ignore[misc]

    # ------------------------------------------------------------ the file

    @cached_property
    def data(self) -> bytes:
        return self.path.read_bytes()

    @cached_property
    def _hb_face(self) -> Any:
        import uharfbuzz as hb

        return hb.Face(hb.Blob.from_file_path(str(self.path)))

    @cached_property
    def font(self) -> Any:
        """The uharfbuzz font, scaled to the file's own units."""
        import uharfbuzz as hb

        return hb.Font(self._hb_face)

    @cached_property
    def _tables(self) -> Any:
        from fontTools.ttLib import TTFont

        return TTFont(self.path, lazy=True)

    @cached_property
    def units_per_em(self) -> int:
        return int(self._hb_face.upem)

    @cached_property
    def scale(self) -> float:
        """The file's units to 1/1000 em."""
        return 1000.0 / self.units_per_em

    @cached_property
    def is_cff(self) -> bool:
        return "CFF " in self._tables

    @cached_property
    def glyph_count(self) -> int:
        return int(self._hb_face.glyph_count)

    @cached_property
    def postscript_name(self) -> str:
        return str(self._tables["name"].getDebugName(6) or self.path.stem).replace(" ", "")

    # ------------------------------------------------------------ metrics

    @cached_property
    def _line_metrics(self) -> tuple[float, float]:
        metrics = self.font.get_font_extents("ltr")
        return metrics.ascender * self.scale, metrics.descender * self.scale

    @property
    def ascent(self) -> float:
        return self._line_metrics[0]

    @property
    def descent(self) -> float:
        """Below the baseline: a negative number."""
        return self._line_metrics[1]

    def _height(self, field: str, letter: str) -> float:
        value = getattr(self._tables["OS/2"], field, 0) if "OS/2" in self._tables else 0
        if value:
            return float(value) * self.scale
        glyph = self.font.get_nominal_glyph(ord(letter))
        box = self.extents(glyph) if glyph else None
        return box[3] if box else 0.0

    @cached_property
    def cap_height(self) -> float:
        return self._height("sCapHeight", "H")

    @cached_property
    def x_height(self) -> float:
        return self._height("sxHeight", "x")

    # ------------------------------------------------------------ characters and glyphs

    @cached_property
    def charset(self) -> frozenset[str]:
        """The characters that the font has a glyph for."""
        return frozenset(map(chr, self._hb_face.unicodes))

    def has(self, codepoint: int) -> bool:
        return chr(codepoint) in self.charset

    def advance(self, glyph: int) -> float:
        found = self._advances.get(glyph)
        if found is None:
            found = self.font.get_glyph_h_advance(glyph) * self.scale
            self._advances[glyph] = found
        return found

    def outline(self, glyph: int) -> Commands:
        """The glyph's outline as cubic commands."""
        found = self._outlines.get(glyph)
        if found is None:
            pen = _Pen(self.scale)
            self.font.draw_glyph_with_pen(glyph, pen)
            found = self._outlines[glyph] = tuple(pen.commands)
        return found

    def extents(self, glyph: int) -> Bounds | None:
        """The box (x0, y0, x1, y1) of the glyph's ink; None for a space."""
        try:
            return self._extents[glyph]
        except KeyError:
            found = self._extents[glyph] = bounds(self.outline(glyph))
            return found

    @cached_property
    def _names(self) -> dict[int, str]:
        names: dict[int, str] = {}
        for codepoint, name in sorted(self._tables.getBestCmap().items()):
            names.setdefault(self._tables.getGlyphID(name), chr(codepoint))
        return names

    def text_of(self, glyph: int) -> str:
        """The text that a glyph stands for, by the font's own mapping, else by its name."""
        found = self._names.get(glyph)
        if found is None:
            from fontTools.agl import toUnicode

            found = self._names[glyph] = toUnicode(self._tables.getGlyphName(glyph))
        return found


class FontBook:
    """All faces of a run. Numbers follow the order of ``named_paths``, one a file."""

    def __init__(self, named_paths: Mapping[str, Path]) -> None:
        numbers = {path: index for index, path in enumerate(dict.fromkeys(named_paths.values()))}
        self._faces = tuple(Face(path, index) for path, index in numbers.items())
        self._by_name = {name: self._faces[numbers[path]] for name, path in named_paths.items()}

    def face(self, index: int) -> Face:
        return self._faces[index]

    def chain(self, names: Sequence[str]) -> tuple[Face, ...]:
        """The faces of a fallback chain, each once. ``KeyError`` for a name not in the book."""
        return tuple(dict.fromkeys(self._by_name[name] for name in names))

    def __len__(self) -> int:
        return len(self._faces)
