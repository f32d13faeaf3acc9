"""What the items of a bed come to, whatever the ink: written once, for the bed's file and for its
picture.

In: items in their places. Out: parts in painting order, each for the plates that print it. Items
do not overlap (``impose.checks``), bleed included: so each part holds what many of them have in
one place of their lists, and states change from part to part and not from item to item.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import zip_longest
from typing import Any, NamedTuple, TypeAlias

from vardata.deflated import deflated
from vardata.marks import (
    GlyphRun,
    Item,
    Mark,
    ModuleGrid,
    Paint,
    Path,
    Placement,
    RunOnPlates,
    Share,
)
from vardata.output.pdf.frames import Frame, frame_of
from vardata.output.pdf.operators import (
    SHOWN,
    Setting,
    place_area,
    place_grid,
    place_text,
    setting_change,
)
from vardata.output.pdf.syntax import THOUSANDTHS

Glyphs: TypeAlias = Mapping[int, frozenset[int]]  # by the number of the font


class Texts(NamedTuple):
    """Operators of texts on all plates that share them; they find the setting ``first`` and
    leave ``last``."""

    shares: tuple[Share, ...]
    first: Setting
    last: Setting
    operators: bytes


class Fills(NamedTuple):
    """Operators of areas on one plate; they leave no state."""

    plate: int
    paint: Paint
    operators: bytes


class Codes:
    """Operators of many codes on one plate, which are most of a bed's bytes: squeezed once for
    every file that paints them with the same operator."""

    def __init__(self, plate: int, paint: Paint, operators: bytes) -> None:
        self.plate, self.paint, self.operators = plate, paint, operators
        self._squeezed: dict[bytes, bytes] = {}

    def squeezed(self, fill: bytes) -> bytes:
        """All of them as a content stream of its own that starts with the operator ``fill``."""
        found = self._squeezed.get(fill)
        if found is None:
            found = self._squeezed[fill] = deflated(b"%b\n%b" % (fill, self.operators))
        return found


class Other(NamedTuple):
    """A mark whose operators depend on the ink or on the file."""

    mark: Mark
    frame: Frame


Part: TypeAlias = Texts | Fills | Codes | Other


class Written(NamedTuple):
    """The parts of a bed, and the glyphs that its texts show."""

    parts: tuple[Part, ...]
    glyphs: Glyphs


NOTHING = Written((), {})


def written(placements: Sequence[tuple[Placement, Item]], width: float, height: float) -> Written:
    """Items of width x height mm in their places. In one place of their lists marks of different
    items stand, so that their order among each other is free."""
    frames = [frame_of(at, width, height) for at, _ in placements]
    shown: dict[int, list[bytes]] = {}
    parts: list[Part] = []
    for column in zip_longest(*[item.marks for _, item in placements]):
        kinds = dict.fromkeys(map(type, column))
        for kind in kinds:
            pairs: Iterable[tuple[Frame, Any]] = zip(frames, column)
            if len(kinds) > 1:
                pairs = [pair for pair in pairs if type(pair[1]) is kind]
            parts += _WRITERS.get(kind, _others)(pairs, shown)
    return Written(tuple(parts), {font: _ids(texts) for font, texts in shown.items()})


def united(many: Iterable[Glyphs]) -> Glyphs:
    """The glyphs of many beds. Files that are made together get all of them, so that a font is
    cut down once for many files, not once for each."""
    found: dict[int, frozenset[int]] = {}
    for glyphs in many:
        for font, ids in glyphs.items():
            found[font] = found.get(font, frozenset()) | ids
    return found


def _ids(texts: Sequence[bytes]) -> frozenset[int]:
    shown = b"".join(set(texts))
    return frozenset(struct.unpack(f">{len(shown) // 2}H", shown))


class _Lines:
    """Texts that share their plates, in the making."""

    def __init__(self, first: Setting) -> None:
        self.first = self.last = first
        self.out: list[bytes] = []


def _texts(
    pairs: Iterable[tuple[Frame, RunOnPlates]], shown: dict[int, list[bytes]]
) -> list[Part]:
    lines: dict[tuple[Share, ...], _Lines] = {}
    current: tuple[Share, ...] | None = None
    numbers, operator = THOUSANDTHS, SHOWN.operator
    for frame, (shares, font, size, x, y, angle, squeeze, glyphs, kerns) in pairs:
        setting = (font, size, squeeze)
        if shares is not current:
            current = shares
            line = lines.get(shares) or lines.setdefault(shares, _Lines(setting))
            write, last = line.out.append, line.last
            texts = shown.setdefault(font, [])
        if setting != last:
            write(setting_change(last, setting))
            line.last = last = setting
            texts = shown.setdefault(font, [])
        texts.append(glyphs)
        a, _, e, f, turned = frame
        if turned or angle:
            write(place_text(frame, x, y, angle, glyphs, kerns))
        else:
            write(b"1 0 0 1 %b %b Tm%b" % (
                numbers[round(a * x + e)], numbers[round(a * y + f)], operator(glyphs, kerns)
            ))  # fmt: skip
    return [
        Texts(shares, line.first, line.last, b"\n".join(line.out))
        for shares, line in lines.items()
    ]


def _runs(pairs: Iterable[tuple[Frame, GlyphRun]], shown: dict[int, list[bytes]]) -> list[Part]:
    return _texts(
        ((frame, RunOnPlates(((run.plate, run.paint, run.choke),), *run[2:10]))
         for frame, run in pairs),
        shown,
    )  # fmt: skip


class _Filled(dict[tuple[int, Paint], list[bytes]]):
    """Operators by plate and paint, in the making."""

    def parts(self, kind: type[Fills] | type[Codes]) -> list[Part]:
        return [kind(plate, paint, b"\n".join(out)) for (plate, paint), out in self.items()]


def _grids(pairs: Iterable[tuple[Frame, ModuleGrid]], _: dict[int, list[bytes]]) -> list[Part]:
    filled = _Filled()
    last, last_paint = -1, None
    for frame, grid in pairs:
        plate, paint = grid[0], grid[1]
        if plate != last or paint is not last_paint:
            write = filled.setdefault((plate, paint), []).append
            last, last_paint = plate, paint
        write(place_grid(grid, frame))
    return filled.parts(Codes)


def _paths(pairs: Iterable[tuple[Frame, Path]], shown: dict[int, list[bytes]]) -> list[Part]:
    filled, stroked = _Filled(), []
    last, last_paint = -1, None
    for frame, path in pairs:
        if path.stroke > 0.0:
            stroked.append((frame, path))
            continue
        plate, paint = path[0], path[1]
        if plate != last or paint is not last_paint:
            write = filled.setdefault((plate, paint), []).append
            last, last_paint = plate, paint
        write(place_area(path, frame))
    return filled.parts(Fills) + _others(stroked, shown)


def _others(pairs: Iterable[tuple[Frame, Mark]], _: dict[int, list[bytes]]) -> list[Part]:
    return [Other(mark, frame) for frame, mark in pairs]


def _nothing(pairs: object, _: dict[int, list[bytes]]) -> list[Part]:
    """What a shorter list of marks has where longer ones go on."""
    return []


_WRITERS: dict[type, Callable[[Any, dict[int, list[bytes]]], list[Part]]] = {
    RunOnPlates: _texts,
    GlyphRun: _runs,
    ModuleGrid: _grids,
    Path: _paths,
    type(None): _nothing,
}
