"""The table on a bed's sheets: a line a slot, in the order of filling, with a box to tick.

In: a bed's lines and a paper's pens. Out: rows with their heights, columns that suit this
bed's texts, and operators for as many rows as a page takes. A text that is too wide wraps to
further lines; only what passes the last line is left out, behind an ellipsis.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import chain, pairwise
from operator import itemgetter
from typing import NamedTuple

from vardata.output.picklist_document import Paper
from vardata.output.picklist_paper import BLACK, GREY, INNER, LEFT, SHEET, ZEBRA, rule, tick_boxes
from vardata.output.picklist_text import ELLIPSIS, Pen, Stack
from vardata.output.slotline import SlotLine, telling

HEAD = 15.0  # height of the heading line
_TICK = 9.0
_GAP = 9.0  # between columns
_PAD = 3.0  # right of the last
_JOINT = "  /  "  # between the texts of one item
_FEW = 12  # up to so many slots, larger type
_LINES = 6  # a cell's most
# Where not all fits, columns give way in turns, each down to so many points, and their texts
# wrap. Columns: 0 slot, 1 blank, 2 order, 3 texts, 4 record. Orders and texts are what is
# compared at the bench, so they give way last.
_GIVE_WAY = (
    (3, 230.0), (1, 104.0), (4, 84.0), (3, 180.0), (1, 80.0), (4, 60.0), (3, 150.0),
    (0, 60.0), (2, 120.0), (3, 120.0), (2, 90.0), (1, 60.0), (0, 40.0), (4, 40.0),
)  # fmt: skip
_MORE_GAP = 18.0  # that narrow texts may be set apart further
_TITLES = ("slot", "blank", "order", "", "record")
_NONE = "(none)"
_CAP = 0.72  # height of a capital in sizes; Noto Sans has 0.714
_LEADING = 1.2


class Type(NamedTuple):
    """Sizes in points: slot and text, order and blank, record; and the height of a row."""

    large: float
    middle: float
    small: float
    row: float

    @property
    def sizes(self) -> tuple[float, float, float, float, float]:
        """The size of each column."""
        return (self.large, self.middle, self.middle, self.large, self.small)


_NORMAL = Type(10.0, 9.0, 7.0, 15.5)
_LARGE = Type(13.0, 11.0, 8.0, 23.0)


class Table(NamedTuple):
    """A bed's rows by their ``heights``; ``columns`` are (x, width) of slot, blank, order, texts,
    record. ``stacks`` show each column's texts, a line each; rows that take more have the lines
    of each cell in ``wrapped``."""

    heights: tuple[float, ...]
    stacks: tuple[Stack, ...]
    wrapped: Mapping[int, tuple[list[str], ...]]
    columns: tuple[tuple[float, float], ...]
    type: Type
    title: str
    shortened: bool


class _Column(NamedTuple):
    """The texts of one column and what shows them. ``widest`` is infinite where a text has
    several lines; ``natural`` is how wide the column would like to be."""

    texts: Sequence[str]
    stack: Stack
    widest: float
    natural: float
    pen: Pen
    size: float


def make_table(paper: Paper, lines: Sequence[SlotLine]) -> Table:
    """Chooses type and columns for a bed and sets its rows."""
    *_, slots, _, _, _, records, orders, blanks, texts, codes = zip(*[line[:10] for line in lines])
    told = list(map(telling, texts, codes))
    shared = _shared(told)
    if shared:
        told = [tuple([one for one in of_line if one not in shared]) for of_line in told]
    if "" in orders:
        orders = tuple([order or _NONE for order in orders])
    cells = (slots, blanks, orders, [_text(of_line) for of_line in told], records)
    kind = _LARGE if len(lines) <= _FEW else _NORMAL
    columns, places, wrapped = _set(paper, cells, kind)
    if kind is _LARGE and wrapped:
        kind = _NORMAL
        columns, places, wrapped = _set(paper, cells, kind)
    title = ", ".join(dict.fromkeys(map(itemgetter(0), chain.from_iterable(told))))
    if shared:
        title += f"; on each: {_JOINT.join(text for _, text in shared)}"
    shortened = any(
        cell[-1].endswith(ELLIPSIS) and not column.texts[index].endswith(ELLIPSIS)
        for index, row in wrapped.items()
        for cell, column in zip(row, columns)
    )
    more = {index: max(map(len, row)) - 1 for index, row in wrapped.items()}
    heights = [kind.row] * len(lines)
    for index, count in more.items():
        heights[index] += count * kind.large * _LEADING
    stacks = tuple([column.stack for column in columns])
    return Table(tuple(heights), stacks, wrapped, places, kind, title, shortened)


def _shared(told: Sequence[Sequence[tuple[str, str]]]) -> tuple[tuple[str, str], ...]:
    """What every item of the bed says: said once, it tells no two of them apart. Empty where
    nothing else would be left of some item, or where there is but one."""
    if len(told) < 2:
        return ()
    shared = tuple(one for one in told[0] if one[1] and all(one in of_line for of_line in told))
    alone = shared and any(len(of_line) <= len(shared) for of_line in told)
    return () if alone else shared


def _text(shown: Sequence[tuple[str, str]]) -> str:
    if len(shown) == 1:
        return shown[0][1] or _NONE
    return _JOINT.join([text for _, text in shown if text]) or _NONE


def _set(
    paper: Paper, cells: Sequence[Sequence[str]], kind: Type
) -> tuple[list[_Column], tuple[tuple[float, float], ...], dict[int, tuple[list[str], ...]]]:
    """Columns, their places and the rows of several lines, in one choice of type."""
    pens = (paper.bold, paper.regular, paper.regular, paper.bold, paper.regular)
    columns = list(map(_column, cells, pens, kind.sizes))
    places = _places(paper, columns)
    if all(column.widest <= width for column, (_, width) in zip(columns, places)):
        return columns, places, {}
    widths = [_widths(column) for column in columns]
    wrapped = {}
    for index, row in enumerate(zip(*widths)):
        if any(width > room for width, (_, room) in zip(row, places)):
            wrapped[index] = tuple(
                column.pen.wrap(column.texts[index], column.size, room, _LINES)
                for column, (_, room) in zip(columns, places)
            )
    return columns, places, wrapped


def _column(texts: Sequence[str], pen: Pen, size: float) -> _Column:
    stack = pen.stack(texts, size)
    if "\n" in "".join(texts):
        parts = [part for text in texts for part in text.split("\n")]
        return _Column(texts, stack, math.inf, max(pen.widths(parts, size)), pen, size)
    return _Column(texts, stack, stack.widest, stack.widest, pen, size)


def _widths(column: _Column) -> list[float]:
    """The width of each text, infinite if it has several lines."""
    widths = column.pen.widths(column.texts, column.size)
    return [math.inf if "\n" in text else width for text, width in zip(column.texts, widths)]


def _places(paper: Paper, columns: Sequence[_Column]) -> tuple[tuple[float, float], ...]:
    """(x, width) of each column: as wide as this bed's texts need, as far as there is room."""
    wanted = [
        max(column.natural, paper.bold.width(title, 7.5)) for column, title in zip(columns, _TITLES)
    ]
    room = INNER - _TICK - 5 * _GAP - _PAD
    for i, least in _GIVE_WAY:
        over = sum(wanted) - room
        if over > 0.0:
            wanted[i] = max(wanted[i] - over, min(least, wanted[i]))
    rest = room - wanted[0] - wanted[1] - wanted[2] - wanted[4]
    more = min(max(rest - wanted[3], 0.0) / 5, _MORE_GAP)
    wanted[3] = rest - 3 * more
    out = []
    x = LEFT + _TICK + _GAP
    for i, width in enumerate(wanted):
        out.append((x, width))
        x += width + _GAP + (more if i < 3 else 0.0)
    return tuple(out)


def draw_rows(
    paper: Paper, table: Table, first: int, last: int, top: float
) -> tuple[list[str], str]:
    """Heading and the rows from ``first`` to before ``last``, downwards from ``top``; and the
    name of the form that holds their bands, boxes and rules."""
    heights = table.heights[first:last]
    key = ("grid", heights, first % 2, top, table.type)
    form = paper.stored(key, SHEET, lambda: (_grid(heights, first, top, table.type), ()))
    out = [
        f"/{form} Do",
        paper.once((table.columns, table.title, top), lambda: _heading(paper, table, top)),
    ]
    y = top - HEAD
    start = first
    for index in (*[index for index in table.wrapped if first <= index < last], last):
        out.append(_lined(table, start, index, _base(y, table.type)))
        y -= (index - start) * table.type.row
        if index < last:
            out.append(_wrapped(paper, table, table.wrapped[index], _base(y, table.type)))
            y -= table.heights[index]
        start = index + 1
    return out, form


def _base(top: float, kind: Type) -> float:
    """The baseline of a row's first line."""
    return top - (kind.row + kind.large * _CAP) / 2


def _grid(heights: Sequence[float], first: int, top: float, kind: Type) -> str:
    """Bands behind every other row, a box to tick for each, a rule above and below."""
    bands, ticks = [], []
    y = top - HEAD
    for index, height in enumerate(heights, first):
        ticks.append((LEFT + 2, _base(y, kind) - (_TICK - kind.large * _CAP) / 2))
        y -= height
        if index % 2 == 0:
            bands.append(f"{LEFT} {y:.2f} {INNER:.2f} {height:.2f} re")
    out = [f"{ZEBRA}\n" + "\n".join(bands) + " f"] if bands else []
    return "\n".join([*out, tick_boxes(ticks, _TICK), rule(top - HEAD), rule(y)])


def _lined(table: Table, first: int, last: int, base: float) -> str:
    """Rows of one line each, the baseline of the first given, all in one text object."""
    if first == last:
        return ""
    at = [round(x * 100) for x, _ in table.columns]
    cells = [f"{stack.before}%s{stack.after}" for stack in table.stacks]
    cells[4] = f"{GREY} {cells[4]} {BLACK}"
    moves = [f"{(after - before) / 100:g} 0 Td" for before, after in pairwise(at)]
    back = f"{(at[0] - at[4]) / 100:g} {-table.type.row:g} Td\n"
    row = " ".join([part for pair in zip(cells, (*moves, back)) for part in pair])
    shown = zip(*[stack.shown[first:last] for stack in table.stacks])
    rows = row * (last - first) % tuple(chain.from_iterable(shown))
    return f"BT {at[0] / 100:g} {base:.2f} Td\n{rows}ET"


def _wrapped(paper: Paper, table: Table, row: Sequence[list[str]], base: float) -> str:
    """A row of several lines."""
    kind, x4 = table.type, table.columns[4][0]
    pens = (paper.bold, paper.regular, paper.regular, paper.bold, paper.regular)
    out = []
    for lines, (x, _), pen, size in zip(row, table.columns, pens, kind.sizes):
        colour = GREY if x == x4 else BLACK
        shown = [pen.show(line, size) for line in lines]
        step = f" 0 {-kind.large * _LEADING:.2f} Td "
        out.append(f"{colour} BT {x:.2f} {base:.2f} Td {step.join(shown)} ET")
    return "\n".join([*out, BLACK])


def _heading(paper: Paper, table: Table, top: float) -> str:
    y = top - HEAD + 4.5
    out = [GREY]
    for i, (x, width) in enumerate(table.columns):
        title = table.title if i == 3 else _TITLES[i]
        out.append(paper.bold.at(x, y, paper.bold.shorten(title, 7.5, width), 7.5))
    return "\n".join([*out, BLACK])
