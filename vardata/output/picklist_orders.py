"""The sheets by order: where an order's pieces lie.

In: (order, pieces) in the order in which they are to stand, which ``natural_key`` gives. Out:
parts of ``picklist.pdf``, each of some thousand pieces, so that they can be made one after
another, or side by side, from a stream. The head of a sheet says its first and last order.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from vardata.output.picklist_paper import (
    BLACK,
    BOTTOM,
    GREY,
    INNER,
    LEFT,
    RIGHT,
    TOP,
    ZEBRA,
    Paper,
    foot,
    rule,
    tick_boxes,
)
from vardata.output.picklist_values import OrderPieces, Piece, RunPaper

KIND = "Pick list, order to slots"
CHUNK_PIECES = 2000
_ALL = 10_000  # lines, of one text; more than a sheet has
_NO_ORDER = "(no order)"
_ORDER, _TITLE_SIZE = "order", 7.5  # the column's title
_ORDER_SIZE, _SIZE, _SMALL = 10.0, 9.0, 7.5
_ROW, _STEP = 15.5, 12.0  # height of a row's first line and of each following one
_TICK = 9.0
_TABLE_TOP = TOP - 44.0
_HEAD = 15.0
_ORDER_MOST = 172.0
_PIECES = 62.0
_DIGITS = re.compile("([0-9]+)")


def natural_key(order: str) -> str:
    """A text by which orders sort as people count: 2 before 10, "a" beside "A".

    Keys compare as plain texts, character by character, and so in a database too. A number
    becomes 0, its count of digits and its digits; the order itself comes last, to part equals.
    """
    parts = _DIGITS.split(order.casefold())
    for i in range(1, len(parts), 2):
        digits = parts[i].lstrip("0")
        parts[i] = f"0{len(digits):05d}{digits}"
    return "".join(parts) + "\x01" + order


def order_chunks(
    orders: Iterable[OrderPieces], pieces: int = CHUNK_PIECES
) -> Iterator[tuple[OrderPieces, ...]]:
    """Cuts a stream of orders into chunks of about so many pieces; no order is cut."""
    chunk: list[OrderPieces] = []
    held = 0
    for entry in orders:
        chunk.append(entry)
        held += len(entry[1])
        if held >= pieces:
            yield tuple(chunk)
            chunk, held = [], 0
    if chunk:
        yield tuple(chunk)


# Of a piece: what stands behind its name, the widths of both, the operators of both.
_Told: TypeAlias = tuple[str, float, float, str, str]


class _Line(NamedTuple):
    """One line on a sheet. ``order`` is the entry's place in the chunk; ``first`` of its lines."""

    order: int
    first: bool
    bed: int
    where: str  # operators, to stand after a Td to the column
    height: float


def build_orders(chunk: Sequence[OrderPieces], run: RunPaper, part: int = 1) -> bytes:
    """The sheets of these orders; ``part`` counts the chunks from 1.

    Raises ``OutputError`` where a font of the papers cannot be used.
    """
    if not chunk:
        raise ValueError("a part of the pick list needs at least one order")
    first, last = chunk[0][0] or _NO_ORDER, chunk[-1][0] or _NO_ORDER
    paper = Paper(run, f"Orders {first} to {last}")
    widest = max(paper.bold.width(order or _NO_ORDER, _ORDER_SIZE) for order, _ in chunk)
    width = min(max(widest, paper.bold.width(_ORDER, _TITLE_SIZE)), _ORDER_MOST)
    lines = _lines(paper, chunk, INNER - _TICK - width - _PIECES - 3 * 9.0 - 3.0)
    sheets = _sheets(lines)
    for number, sheet in enumerate(sheets, 1):
        name = f"by order, part {part}, page {number} of {len(sheets)}"
        paper.page([*_sheet(paper, run, chunk, sheet, width), foot(paper, run, name)])
    return paper.finish()


def _lines(paper: Paper, chunk: Sequence[OrderPieces], width: float) -> list[_Line]:
    """All lines of a chunk, such as "bed 3: A1 Anna, A2 Peter; bed 4: B1 Ida"."""
    names = []
    for _, pieces in chunk:
        before = 0
        for bed, slot, _ in pieces:
            names.append(slot if bed == before else f"bed {bed}: {slot}")
            before = bed
    rests = _rests(chunk)
    told = zip(
        rests,
        paper.bold.widths(names, _SIZE),
        paper.regular.widths(rests, _SIZE),
        paper.bold.shows(names, _SIZE),
        paper.regular.shows(rests, _SIZE),
    )
    out = []
    for index, (_, pieces) in enumerate(chunk):
        first = True
        for bed, where in _where(paper, pieces, told, width):
            out.append(_Line(index, first, bed, where, _ROW if first else _STEP))
            first = False
    return out


def _rests(chunk: Sequence[OrderPieces]) -> list[str]:
    """What stands behind each slot: the text and a comma, a semicolon or nothing."""
    out = []
    for _, pieces in chunk:
        beds = [piece[0] for piece in pieces]
        tails = [", " if bed == after else "; " for bed, after in pairwise(beds)]
        for (_, _, text), tail in zip(pieces, [*tails, ""]):
            out.append(f" {text}{tail}" if text else tail)
    return out


def _where(
    paper: Paper, pieces: Sequence[Piece], told: Iterator[_Told], width: float
) -> Iterator[tuple[int, str]]:
    """Lines of one order, broken between pieces: the bed a line starts in, and operators."""
    line: list[str] = []
    used = 0.0
    start = 0
    for bed, _, text in pieces:
        rest, name_width, rest_width, name_shown, rest_shown = next(told)
        need = name_width + rest_width
        if line and used + need > width + 0.01:
            yield start, " ".join(line)
            line, used = [], 0.0
        if not line:
            start = bed
        if need <= width and "\n" not in rest:
            line += (name_shown, rest_shown) if rest else (name_shown,)
            used += need
            continue
        # One piece that is wider than the column: its text goes on below, to the end.
        regular = paper.regular
        indent = " " * (1 + int(name_width / regular.width(" ", _SIZE)))
        room = width - regular.width(indent, _SIZE)
        tail = rest[len(text) + 1 :].rstrip()
        parts = regular.wrap(text.replace("\n", " ") + tail, _SIZE, room, _ALL)
        line += (name_shown, regular.show(" " + parts[0], _SIZE))
        for part in parts[1:]:
            yield start, " ".join(line)
            line, start = [regular.show(indent + part, _SIZE)], bed
        line.append(regular.show(" ", _SIZE))
        before = name_width + regular.width(" ", _SIZE) if len(parts) == 1 else width - room
        used = before + regular.width(parts[-1] + " ", _SIZE)
    yield start, " ".join(line)


def _sheets(lines: Sequence[_Line]) -> list[list[_Line]]:
    """Lines by sheet; an order that does not fit the rest of a sheet starts the next one,
    unless it fits no sheet at all."""
    room = _TABLE_TOP - _HEAD - BOTTOM
    sheets: list[list[_Line]] = [[]]
    used = 0.0
    start = 0
    while start < len(lines):
        end = start + 1
        while end < len(lines) and not lines[end].first:
            end += 1
        height = sum(line.height for line in lines[start:end])
        if used + height > room and sheets[-1] and height <= room:
            sheets.append([])
            used = 0.0
        for line in lines[start:end]:
            if used + line.height > room:
                sheets.append([])
                used = 0.0
                line = line._replace(height=_ROW)
            sheets[-1].append(line)
            used += line.height
        start = end
    return sheets


def _sheet(
    paper: Paper,
    run: RunPaper,
    chunk: Sequence[OrderPieces],
    lines: Sequence[_Line],
    order_width: float,
) -> list[str]:
    """Head and table of one sheet."""
    x_order = LEFT + _TICK + 9.0
    x_pieces = x_order + order_width + 9.0
    x_where = x_pieces + _PIECES + 9.0
    out = ["0 G 0 g", *_head(paper, run, chunk, lines)]
    y = _TABLE_TOP - _HEAD
    for x, title in ((x_order, _ORDER), (x_pieces, "pieces"), (x_where, "where they lie")):
        out.append(f"{GREY} {paper.bold.at(x, y + 4.5, title, _TITLE_SIZE)}")
    out += [BLACK, rule(y)]
    bands, ticks, texts = [], [], []
    for position, line in enumerate(lines):
        y -= line.height
        if line.order % 2 == 0:
            bands.append(f"{LEFT} {y:.2f} {INNER:.2f} {line.height:.2f} re")
        base = y + 4.5
        texts.append(f"BT {x_where:.2f} {base:.2f} Td {line.where} ET")
        if line.first:
            ticks.append((LEFT + 2, base - 1.0))
        if line.first or position == 0:
            texts.append(_name(paper, chunk[line.order], line, x_order, x_pieces, base))
    if bands:
        out.append(f"{ZEBRA}\n" + "\n".join(bands) + f" f {BLACK}")
    out.append(tick_boxes(ticks, _TICK))
    return [*out, *texts, rule(y)]


def _name(
    paper: Paper, entry: OrderPieces, line: _Line, x_order: float, x_pieces: float, base: float
) -> str:
    """Order and count on an order's first line, or at the top of a sheet that goes on with it."""
    order, pieces = entry
    width = x_pieces - 9.0 - x_order
    name = order or _NO_ORDER
    size = paper.bold.fit_size(name, width, _ORDER_SIZE, 6.0)
    out = [paper.bold.at(x_order, base, paper.bold.shorten(name, size, width), size)]
    if not line.first:
        text = f"goes on, bed {line.bed}"
        out.append(f"{GREY} {paper.regular.at(x_pieces, base, text, _SMALL)} {BLACK}")
        return "\n".join(out)
    count = str(len(pieces))
    out.append(paper.regular.at(x_pieces, base, count, _SIZE))
    beds = len({piece[0] for piece in pieces})
    if beds > 1:
        text = f"{beds} beds"
        x = x_pieces + paper.regular.width(count, _SIZE) + 6.0
        wide = paper.bold.width(text, _SMALL) + 6.0
        out.append(f"0.2 g {x:.2f} {base - 2.2:.2f} {wide:.2f} 10.2 re f 1 g")
        out.append(f"{paper.bold.at(x + 3.0, base, text, _SMALL)} {BLACK}")
    return "\n".join(out)


def _head(
    paper: Paper, run: RunPaper, chunk: Sequence[OrderPieces], lines: Sequence[_Line]
) -> list[str]:
    """The kind of sheet, its first and last order in large, the job."""
    first = chunk[lines[0].order][0] or _NO_ORDER
    last = chunk[lines[-1].order][0] or _NO_ORDER
    words = first if first == last else f"{first} to {last}"
    size = paper.bold.fit_size(words, INNER - 80, 18.0, 8.0)
    words = paper.bold.shorten(words, size, INNER - 80)
    date = run.at.strftime("%Y-%m-%d")
    return [
        f"{GREY} BT 0.5 Tc {LEFT} {TOP - 8:.2f} Td {paper.bold.show(KIND.upper(), 7.5)} 0 Tc ET",
        paper.regular.at_right(RIGHT, TOP - 29, date, 9.5),
        BLACK,
        paper.bold.at(LEFT, TOP - 29, words, size),
    ]
