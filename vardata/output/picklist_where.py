"""Where the pieces of orders lie, line by line, for the sheets by order.

In: orders with their pieces, and what is held of them. Out: lines of ready operators. Which of
them stand on a sheet together is ``picklist_orders``'s business.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from vardata.output.picklist_document import Paper
from vardata.output.picklist_values import OrderPieces, Piece

SIZE = 9.0
ROW, STEP = 15.5, 12.0  # height of a row's first line and of each following one
_ALL = 10_000  # lines, of one text; more than a sheet has

# Of a piece: what stands behind its name, the widths of both, the operators of both.
_Told: TypeAlias = tuple[str, float, float, str, str]


class Line(NamedTuple):
    """One line on a sheet. ``order`` is the entry's place in the chunk; ``first`` of its lines."""

    order: int
    first: bool
    bed: int
    where: str  # operators, to stand after a Td to the column
    height: float


def where_lines(
    paper: Paper, chunk: Sequence[OrderPieces], held: Mapping[str, str], width: float
) -> list[Line]:
    """All lines of a chunk, such as "bed 3: A1 Anna, A2 Peter; bed 4: B1 Ida"; after those of an
    order what is ``held`` of it."""
    names = []
    for _, pieces in chunk:
        before = 0
        for bed, slot, _ in pieces:
            names.append(slot if bed == before else f"bed {bed}: {slot}")
            before = bed
    rests = _rests(chunk)
    told = zip(
        rests,
        paper.bold.widths(names, SIZE),
        paper.regular.widths(rests, SIZE),
        paper.bold.shows(names, SIZE),
        paper.regular.shows(rests, SIZE),
    )
    out = []
    for index, (order, pieces) in enumerate(chunk):
        first = True
        found = _where(paper, pieces, told, width) if pieces else iter(())
        for bed, where in (*found, *_held(paper, held.get(order, ""), width)):
            out.append(Line(index, first, bed, where, ROW if first else STEP))
            first = False
    return out


def _held(paper: Paper, text: str, width: float) -> Iterator[tuple[int, str]]:
    """What is held of an order, in bold, as lines of no bed."""
    for line in paper.bold.wrap(text, SIZE, width, _ALL) if text else ():
        yield 0, paper.bold.show(line, SIZE)


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
        indent = " " * (1 + int(name_width / regular.width(" ", SIZE)))
        room = width - regular.width(indent, SIZE)
        tail = rest[len(text) + 1 :].rstrip()
        parts = regular.wrap(text.replace("\n", " ") + tail, SIZE, room, _ALL)
        line += (name_shown, regular.show(" " + parts[0], SIZE))
        for part in parts[1:]:
            yield start, " ".join(line)
            line, start = [regular.show(indent + part, SIZE)], bed
        line.append(regular.show(" ", SIZE))
        before = name_width + regular.width(" ", SIZE) if len(parts) == 1 else width - room
        used = before + regular.width(parts[-1] + " ", SIZE)
    yield start, " ".join(line)
