"""Where the pieces of orders lie, line by line, for the sheets by order.

In: orders with their pieces, and what is held of them. Out: lines of ready operators. Which of
them stand on a sheet together is ``picklist_orders``'s business.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from operator import add
from typing import NamedTuple

from vardata.output.picklist_document import Paper
from vardata.output.picklist_values import OrderPieces, Piece

SIZE = 9.0
ROW, STEP = 15.5, 12.0  # height of a row's first line and of each following one
_ALL = 10_000  # lines, of one text; more than a sheet has


class _Told(NamedTuple):
    """Of each piece of a chunk: its slot's name, what stands behind it, the width of both and
    the operators of both. ``broken``: some texts have several lines."""

    names: list[str]
    rests: list[str]
    needs: list[float]
    shown: list[str]
    broken: bool


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
    told = _told(paper, chunk)
    out = []
    end = 0
    for index, (order, pieces) in enumerate(chunk):
        start, end = end, end + len(pieces)
        if not pieces:
            found: Iterable[tuple[int, str]] = ()
        elif sum(told.needs[start:end]) <= width and not told.broken:
            found = ((pieces[0][0], " ".join(told.shown[start:end])),)
        else:
            found = _where(paper, pieces, told, start, width)
        if order in held:
            found = (*found, *_held(paper, held[order], width))
        for number, (bed, where) in enumerate(found):
            out.append(Line(index, number == 0, bed, where, STEP if number else ROW))
    return out


def _told(paper: Paper, chunk: Sequence[OrderPieces]) -> _Told:
    """What there is to say of each piece. A bed is named with the first of those that lie on it;
    behind a text stands a comma, a semicolon where another bed follows, or nothing."""
    names: list[str] = []
    texts, tails = [], []
    for _, pieces in chunk:
        before, tail = 0, ""
        for bed, slot, text in pieces:
            if bed == before:
                names.append(slot)
                tail = ", "
            else:
                names.append(f"bed {bed}: {slot}")
                before = bed
            texts.append(text)
            tails.append(tail)  # of the piece before this one
            tail = "; "
    if not names:
        return _Told([], [], [], [], False)
    tails = [*tails[1:], ""]
    rests = [f" {text}{tail}" if text else tail for text, tail in zip(texts, tails)]
    bold, name_widths = paper.bold.measured(names, SIZE)
    regular, rest_widths = paper.regular.measured(rests, SIZE)
    between = f"{bold.after} {regular.before}"
    return _Told(
        names,
        rests,
        list(map(add, name_widths, rest_widths)),
        [
            f"{bold.before}{name}{between}{rest}{regular.after}"
            for name, rest in zip(bold.shown, regular.shown)
        ],
        "\n" in "".join(rests),
    )


def _held(paper: Paper, text: str, width: float) -> Iterator[tuple[int, str]]:
    """What is held of an order, in bold, as lines of no bed."""
    for line in paper.bold.wrap(text, SIZE, width, _ALL) if text else ():
        yield 0, paper.bold.show(line, SIZE)


def _where(
    paper: Paper, pieces: Sequence[Piece], told: _Told, begin: int, width: float
) -> Iterator[tuple[int, str]]:
    """Lines of one order, whose pieces are told from ``begin`` on, broken between pieces: the bed a
    line starts in, and operators."""
    line: list[str] = []
    used = 0.0
    start = 0
    for at, (bed, _, text) in enumerate(pieces, begin):
        need, rest = told.needs[at], told.rests[at]
        if line and used + need > width + 0.01:
            yield start, " ".join(line)
            line, used = [], 0.0
        if not line:
            start = bed
        if need <= width and "\n" not in rest:
            line.append(told.shown[at])
            used += need
            continue
        # One piece that is wider than the column: its text goes on below, to the end.
        regular = paper.regular
        name_width = paper.bold.width(told.names[at], SIZE)
        indent = " " * (1 + int(name_width / regular.width(" ", SIZE)))
        room = width - regular.width(indent, SIZE)
        tail = rest[len(text) + 1 :].rstrip()
        parts = regular.wrap(text.replace("\n", " ") + tail, SIZE, room, _ALL)
        line += (paper.bold.show(told.names[at], SIZE), regular.show(" " + parts[0], SIZE))
        for part in parts[1:]:
            yield start, " ".join(line)
            line, start = [regular.show(indent + part, SIZE)], bed
        line.append(regular.show(" ", SIZE))
        before = name_width + regular.width(" ", SIZE) if len(parts) == 1 else width - room
        used = before + regular.width(parts[-1] + " ", SIZE)
    yield start, " ".join(line)
