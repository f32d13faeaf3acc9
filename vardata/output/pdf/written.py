"""What the items of a bed come to, whatever the ink: written once, for the bed's file and for its
picture.

In: items in their places. Out: parts in painting order, each for the plates that print it. Items
do not overlap (``impose.checks``), bleed included: so each part holds what many of them have in
one place of their lists, and states change from part to part and not from item to item.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple, TypeAlias

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
    Setting,
    place_area,
    place_grid,
    place_text,
    setting_change,
)

Glyphs: TypeAlias = Mapping[int, frozenset[int]]  # by the number of the font


class Texts(NamedTuple):
    """Operators of texts on all plates that share them; they find the setting ``first`` and
    leave ``last``."""

    shares: tuple[Share, ...]
    first: Setting
    last: Setting
    operators: bytes


class Fills(NamedTuple):
    """Operators of codes and areas on one plate; they leave no state."""

    plate: int
    paint: Paint
    operators: bytes


class Other(NamedTuple):
    """A mark whose operators depend on the ink or on the file."""

    mark: Mark
    frame: Frame


Part: TypeAlias = Texts | Fills | Other


class Written(NamedTuple):
    """The parts of a bed, and the glyphs that its texts show."""

    parts: tuple[Part, ...]
    glyphs: Glyphs


NOTHING = Written((), {})


def written(placements: Iterable[tuple[Placement, Item]], width: float, height: float) -> Written:
    """Items of width x height mm in their places."""
    rows = [(frame_of(at, width, height), item.marks) for at, item in placements if item.marks]
    shown: dict[int, list[bytes]] = {}
    parts: list[Part] = []
    place = 0
    while rows:
        parts += _column([(frame, marks[place]) for frame, marks in rows], shown)
        place += 1
        rows = [row for row in rows if len(row[1]) > place]
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


def _column(
    column: Sequence[tuple[Frame, Mark | RunOnPlates]], shown: dict[int, list[bytes]]
) -> list[Part]:
    """Marks of different items, so that their order among each other is free."""
    kinds: dict[type, list[tuple[Frame, Any]]] = {}
    for pair in column:
        kinds.setdefault(type(pair[1]), []).append(pair)
    parts: list[Part] = []
    for kind, pairs in kinds.items():
        parts += _WRITERS.get(kind, _others)(pairs, shown)
    return parts


class _Lines:
    """Texts that share their plates, in the making."""

    def __init__(self, first: Setting) -> None:
        self.first = self.last = first
        self.out: list[bytes] = []


def _texts(
    pairs: Iterable[tuple[Frame, RunOnPlates]], shown: dict[int, list[bytes]]
) -> list[Part]:
    lines: dict[tuple[Share, ...], _Lines] = {}
    current: tuple[Share, ...] = ()
    last_font, texts = -1, []
    for frame, (shares, font, size, x, y, angle, squeeze, glyphs, kerns) in pairs:
        setting = (font, size, squeeze)
        if shares is not current:
            current = shares
            if shares not in lines:
                lines[shares] = _Lines(setting)
            found = lines[shares]
        if setting != found.last:
            found.out.append(setting_change(found.last, setting))
            found.last = setting
        found.out.append(place_text(frame, x, y, angle, glyphs, kerns))
        if font != last_font:
            last_font, texts = font, shown.setdefault(font, [])
        texts.append(glyphs)
    return [
        Texts(shares, found.first, found.last, b"\n".join(found.out))
        for shares, found in lines.items()
    ]


def _runs(pairs: Iterable[tuple[Frame, GlyphRun]], shown: dict[int, list[bytes]]) -> list[Part]:
    return _texts(
        ((frame, RunOnPlates(((run.plate, run.paint, run.choke),), *run[2:10]))
         for frame, run in pairs),
        shown,
    )  # fmt: skip


def _grids(pairs: Iterable[tuple[Frame, ModuleGrid]], _: dict[int, list[bytes]]) -> list[Part]:
    fills: dict[tuple[int, Paint], list[bytes]] = {}
    for frame, grid in pairs:
        fills.setdefault(grid[:2], []).append(place_grid(grid, frame))
    return _fills(fills)


def _paths(pairs: Iterable[tuple[Frame, Path]], shown: dict[int, list[bytes]]) -> list[Part]:
    fills: dict[tuple[int, Paint], list[bytes]] = {}
    stroked = []
    for frame, path in pairs:
        if path.stroke > 0.0:
            stroked.append((frame, path))
        else:
            fills.setdefault(path[:2], []).append(place_area(path, frame))
    return _fills(fills) + _others(stroked, shown)


def _fills(fills: dict[tuple[int, Paint], list[bytes]]) -> list[Part]:
    return [Fills(plate, paint, b"\n".join(out)) for (plate, paint), out in fills.items()]


def _others(pairs: Iterable[tuple[Frame, Mark]], _: dict[int, list[bytes]]) -> list[Part]:
    return [Other(mark, frame) for frame, mark in pairs]


_WRITERS: dict[type, Callable[[Any, dict[int, list[bytes]]], list[Part]]] = {
    RunOnPlates: _texts,
    GlyphRun: _runs,
    ModuleGrid: _grids,
    Path: _paths,
}
