"""The table on a bed's sheets: a line a slot, in the order of filling, with a box to tick.

In: a bed's lines and a paper's pens. Out: rows with their heights, columns that suit this
bed's texts, and operators for as many rows as a page takes. A text that is too wide wraps to
further lines; only what passes the last line is left out, behind an ellipsis.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from vardata.output.picklist_document import Paper
from vardata.output.picklist_paper import BLACK, GREY, INNER, LEFT, SHEET, ZEBRA, rule, tick_boxes
from vardata.output.picklist_text import ELLIPSIS, Pen
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


_NORMAL = Type(10.0, 9.0, 7.0, 15.5)
_LARGE = Type(13.0, 11.0, 8.0, 23.0)


class Row(NamedTuple):
    """A line of the table: operators of each cell if all are of one line, else their lines."""

    cells: tuple[str, ...]
    wrapped: tuple[list[str], ...]
    height: float


class Table(NamedTuple):
    """A bed's rows; ``columns`` are (x, width) of slot, blank, order, texts, record."""

    rows: list[Row]
    columns: tuple[tuple[float, float], ...]
    type: Type
    title: str
    shortened: bool


class _Column(NamedTuple):
    """The texts of one column and what shows them. A text of several lines is infinitely wide
    in ``widths`` and ``widest``; ``natural`` is how wide the column would like to be."""

    texts: list[str]
    widths: list[float]
    widest: float
    natural: float
    pen: Pen
    size: float


def make_table(paper: Paper, lines: Sequence[SlotLine]) -> Table:
    """Chooses type and columns for a bed and sets its rows."""
    texts = [[line.slot for line in lines], [line.blank_label for line in lines]]
    texts.append([line.order or _NONE for line in lines])
    told = [telling(line.texts, line.codes) for line in lines]
    shared = _shared(told)
    texts.append([_text([one for one in of_line if one not in shared]) for of_line in told])
    texts.append([line.record for line in lines])
    kind = _LARGE if len(lines) <= _FEW else _NORMAL
    columns, places, rows = _set(paper, texts, kind)
    if kind is _LARGE and any(row.wrapped for row in rows):
        kind = _NORMAL
        columns, places, rows = _set(paper, texts, kind)
    names = dict.fromkeys(one[0] for of_line in told for one in of_line if one not in shared)
    title = ", ".join(names)
    if shared:
        title += f"; on each: {_JOINT.join(text for _, text in shared)}"
    shortened = any(
        cell[-1].endswith(ELLIPSIS) and not columns[i].texts[index].endswith(ELLIPSIS)
        for index, row in enumerate(rows)
        for i, cell in enumerate(row.wrapped)
    )
    return Table(rows, places, kind, title, shortened)


def _shared(told: Sequence[Sequence[tuple[str, str]]]) -> tuple[tuple[str, str], ...]:
    """What every item of the bed says: said once, it tells no two of them apart. Empty where
    nothing else would be left of some item, or where there is but one."""
    if len(told) < 2:
        return ()
    shared = tuple(one for one in told[0] if one[1] and all(one in of_line for of_line in told))
    alone = any(len(of_line) <= len(shared) for of_line in told)
    return () if alone else shared


def _text(shown: Sequence[tuple[str, str]]) -> str:
    if len(shown) == 1:
        return shown[0][1] or _NONE
    return _JOINT.join([text for _, text in shown if text]) or _NONE


def _set(
    paper: Paper, texts: Sequence[list[str]], kind: Type
) -> tuple[list[_Column], tuple[tuple[float, float], ...], list[Row]]:
    """Columns, their places and the rows, in one choice of type."""
    columns = [
        _column(texts[0], paper.bold, kind.large),
        _column(texts[1], paper.regular, kind.middle),
        _column(texts[2], paper.regular, kind.middle),
        _column(texts[3], paper.bold, kind.large),
        _column(texts[4], paper.regular, kind.small),
    ]
    places = _places(paper, columns)
    if all(column.widest <= width for column, (_, width) in zip(columns, places)):
        shown = [column.pen.shows(column.texts, column.size) for column in columns]
        return columns, places, [Row(cells, (), kind.row) for cells in zip(*shown)]
    return columns, places, [_row(columns, places, kind, i) for i in range(len(texts[0]))]


def _column(texts: list[str], pen: Pen, size: float) -> _Column:
    widths = pen.widths(texts, size)
    natural = max(widths, default=0.0)
    if any("\n" in text for text in texts):
        parts = [part for text in texts for part in text.split("\n")]
        natural = max(pen.widths(parts, size))
        widths = [math.inf if "\n" in text else width for text, width in zip(texts, widths)]
    return _Column(texts, widths, max(widths, default=0.0), natural, pen, size)


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


def _row(
    columns: Sequence[_Column], places: Sequence[tuple[float, float]], kind: Type, index: int
) -> Row:
    """A row where some bed's texts are wider than their columns."""
    if all(column.widths[index] <= width for column, (_, width) in zip(columns, places)):
        cells = tuple([column.pen.show(column.texts[index], column.size) for column in columns])
        return Row(cells, (), kind.row)
    wrapped = tuple(
        column.pen.wrap(column.texts[index], column.size, width, _LINES)
        for column, (_, width) in zip(columns, places)
    )
    tallest = max(map(len, wrapped))
    return Row((), wrapped, kind.row + (tallest - 1) * kind.large * _LEADING)


def draw_rows(
    paper: Paper, table: Table, first: int, last: int, top: float
) -> tuple[list[str], str]:
    """Heading and the rows from ``first`` to before ``last``, downwards from ``top``; and the
    name of the form that holds their bands, boxes and rules."""
    heights = tuple([row.height for row in table.rows[first:last]])
    key = ("grid", heights, first % 2, top, table.type)
    form = paper.stored(key, SHEET, lambda: (_grid(heights, first, top, table.type), ()))
    out = [
        f"/{form} Do",
        paper.once((table.columns, table.title, top), lambda: _heading(paper, table, top)),
    ]
    y = top - HEAD
    for row in table.rows[first:last]:
        out.append(_row_operators(paper, table, row, _base(y, table.type)))
        y -= row.height
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


def _row_operators(paper: Paper, table: Table, row: Row, base: float) -> str:
    (x0, _), (x1, _), (x2, _), (x3, _), (x4, _) = table.columns
    if row.cells:
        slot, blank, order, text, record = row.cells
        return (
            f"BT {x0:.2f} {base:.2f} Td {slot} {x1 - x0:.2f} 0 Td {blank} {x2 - x1:.2f} 0 Td "
            f"{order} {x3 - x2:.2f} 0 Td {text} {GREY} {x4 - x3:.2f} 0 Td {record} {BLACK} ET"
        )
    kind = table.type
    pens = (
        (paper.bold, kind.large),
        (paper.regular, kind.middle),
        (paper.regular, kind.middle),
        (paper.bold, kind.large),
        (paper.regular, kind.small),
    )
    out = []
    for lines, (x, _), (pen, size) in zip(row.wrapped, table.columns, pens):
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
