"""The sheets by order: where an order's pieces lie.

In: (order, pieces) in the order in which they are to stand, which ``natural_key`` gives. Out:
parts of ``picklist.pdf``, each of some thousand pieces, so that they can be made one after
another, or side by side, from a stream. The head of a sheet says its first and last order; the
lines of each order are ``picklist_where``'s.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from vardata.output.picklist_document import Paper
from vardata.output.picklist_paper import (
    BLACK,
    BOTTOM,
    GREY,
    INNER,
    LEFT,
    RIGHT,
    TOP,
    ZEBRA,
    foot,
    rule,
    tick_boxes,
)
from vardata.output.picklist_values import OrderPieces, RunPaper
from vardata.output.picklist_where import ROW, SIZE, Line, where_lines

KIND = "Pick list, order to slots"
_BOTH_SIDES = ": PACK A TWO-SIDED PIECE WHEN SIDES A AND B ARE BOTH PRINTED"
CHUNK_PIECES = 2000
_NO_ORDER = "(no order)"
_ORDER, _TITLE_SIZE = "order", 7.5  # the column's title
_ORDER_SIZE, _SMALL = 10.0, 7.5
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


def build_orders(
    chunk: Sequence[OrderPieces], run: RunPaper, part: int = 1,
    held: Mapping[str, str] | None = None,
) -> bytes:
    """The sheets of these orders; ``part`` counts the chunks from 1. ``held`` says of orders by
    their names what is not printed of them; one may have no pieces at all.

    Raises ``OutputError`` where a font of the papers cannot be used.
    """
    if not chunk:
        raise ValueError("a part of the pick list needs at least one order")
    first, last = chunk[0][0] or _NO_ORDER, chunk[-1][0] or _NO_ORDER
    paper = Paper(run, f"Orders {first} to {last}")
    widest = max(paper.bold.widths([order or _NO_ORDER for order, _ in chunk], _ORDER_SIZE))
    width = min(max(widest, paper.bold.width(_ORDER, _TITLE_SIZE)), _ORDER_MOST)
    lines = where_lines(paper, chunk, held or {}, INNER - _TICK - width - _PIECES - 3 * 9.0 - 3.0)
    sheets, names = _sheets(lines), _names(paper, chunk, width)
    for number, sheet in enumerate(sheets, 1):
        name = f"by order, part {part}, page {number} of {len(sheets)}"
        paper.page([*_sheet(paper, run, chunk, sheet, names, width), foot(paper, run, name)])
    return paper.finish()


def _sheets(lines: Sequence[Line]) -> list[list[Line]]:
    """Lines by sheet; an order that does not fit the rest of a sheet starts the next one,
    unless it fits no sheet at all."""
    room = _TABLE_TOP - _HEAD - BOTTOM
    sheets: list[list[Line]] = [[]]
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
                line = line._replace(height=ROW)
            sheets[-1].append(line)
            used += line.height
        start = end
    return sheets


def _sheet(
    paper: Paper,
    run: RunPaper,
    chunk: Sequence[OrderPieces],
    lines: Sequence[Line],
    names: Sequence[str],
    order_width: float,
) -> list[str]:
    """Head and table of one sheet."""
    x_order = LEFT + _TICK + 9.0
    x_pieces = x_order + order_width + 9.0
    x_where = x_pieces + _PIECES + 9.0
    to_pieces = f"{round(x_pieces, 2) - round(x_order, 2):.2f}"
    to_where = f"{round(x_where, 2) - round(x_pieces, 2):.2f}"
    out = ["0 G 0 g", *_head(paper, run, chunk, lines)]
    y = _TABLE_TOP - _HEAD
    for x, title in ((x_order, _ORDER), (x_pieces, "pieces"), (x_where, "where they lie")):
        out.append(f"{GREY} {paper.bold.at(x, y + 4.5, title, _TITLE_SIZE)}")
    out += [BLACK, rule(y)]
    bands, ticks, texts = [], [], []
    counts: dict[int, str] = {}
    for position, line in enumerate(lines):
        y -= line.height
        if line.order % 2 == 0:
            bands.append(f"{LEFT} {y:.2f} {INNER:.2f} {line.height:.2f} re")
        base = y + 4.5
        if line.first:
            ticks.append((LEFT + 2, base - 1.0))
        if not (line.first or position == 0):
            texts.append(f"BT {x_where:.2f} {base:.2f} Td {line.where} ET")
            continue
        pieces = chunk[line.order][1]
        beds = len({piece[0] for piece in pieces}) if line.first and len(pieces) > 1 else 1
        if line.first:
            count = counts.get(len(pieces)) or paper.regular.show(str(len(pieces)), SIZE)
            counts[len(pieces)] = count
        else:
            told = f"goes on, bed {line.bed}" if line.bed else "goes on"
            count = f"{GREY} {paper.regular.show(told, _SMALL)} {BLACK}"
        texts.append(
            f"BT {x_order:.2f} {base:.2f} Td {names[line.order]} {to_pieces} 0 Td {count} "
            f"{to_where} 0 Td {line.where} ET"
        )
        if beds > 1:
            texts.append(_beds(paper, beds, len(pieces), x_pieces, base))
    if bands:
        out.append(f"{ZEBRA}\n" + "\n".join(bands) + f" f {BLACK}")
    out.append(tick_boxes(ticks, _TICK))
    return [*out, *texts, rule(y)]


def _names(paper: Paper, chunk: Sequence[OrderPieces], width: float) -> list[str]:
    """Operators that show each order's name in a width."""
    names = [order or _NO_ORDER for order, _ in chunk]
    stack = paper.bold.stack(names, _ORDER_SIZE)
    if stack.widest <= width:
        return [f"{stack.before}{name}{stack.after}" for name in stack.shown]
    sizes = [paper.bold.fit_size(name, width, _ORDER_SIZE, 6.0) for name in names]
    return [
        paper.bold.show(paper.bold.shorten(name, size, width), size)
        for name, size in zip(names, sizes)
    ]


def _beds(paper: Paper, beds: int, pieces: int, x: float, base: float) -> str:
    """On how many beds an order lies, behind the count of its pieces, white on black."""
    text = f"{beds} beds"
    x += paper.regular.width(str(pieces), SIZE) + 6.0
    wide = paper.bold.width(text, _SMALL) + 6.0
    return (
        f"0.2 g {x:.2f} {base - 2.2:.2f} {wide:.2f} 10.2 re f 1 g\n"
        f"{paper.bold.at(x + 3.0, base, text, _SMALL)} {BLACK}"
    )


def _head(
    paper: Paper, run: RunPaper, chunk: Sequence[OrderPieces], lines: Sequence[Line]
) -> list[str]:
    """The kind of sheet, its first and last order in large, the job."""
    first = chunk[lines[0].order][0] or _NO_ORDER
    last = chunk[lines[-1].order][0] or _NO_ORDER
    words = first if first == last else f"{first} to {last}"
    size = paper.bold.fit_size(words, INNER - 80, 18.0, 8.0)
    words = paper.bold.shorten(words, size, INNER - 80)
    date = run.at.strftime("%Y-%m-%d")
    kind = KIND.upper() + (_BOTH_SIDES if run.side else "")
    return [
        f"{GREY} BT 0.5 Tc {LEFT} {TOP - 8:.2f} Td {paper.bold.show(kind, 7.5)} 0 Tc ET",
        paper.regular.at_right(RIGHT, TOP - 29, date, 9.5),
        BLACK,
        paper.bold.at(LEFT, TOP - 29, words, size),
    ]
