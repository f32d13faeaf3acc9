"""The rows of a worksheet, parsed: the way for parts in any form that XML allows.

In: the stream of a worksheet's part and how to show a cell. Out: its rows, and what stands beside
them. Raises ``STREAM_ERRORS``. Rules: ECMA-376 part 1, 18.3.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import IO, NamedTuple
from xml.parsers import expat

from vardata.intake.package import ZIP_ERRORS
from vardata.intake.ranges import column_index
from vardata.intake.rowscan import Aside, Remark, Show
from vardata.intake.source import CellFault, SheetRow
from vardata.intake.strings import listen, new_parser
from vardata.intake.workbook import true_value
from vardata.letters import letters

_PIECE = 1 << 16
STREAM_ERRORS = (*ZIP_ERRORS, expat.ExpatError, ValueError)  # a DoctypeError is a ValueError


class _To(NamedTuple):
    """Who is told of cells."""

    show: Show
    remark: Remark
    aside: Aside


def parsed_rows(stream: IO[bytes], show: Show, remark: Remark, aside: Aside) -> Iterator[SheetRow]:
    """The rows with cells; what was read before a fault is given first."""
    ready: list[SheetRow] = []
    parser = new_parser()
    _attach(parser, _To(show, remark, aside), ready)
    while True:
        try:
            piece = stream.read(_PIECE)
            parser.Parse(piece, not piece)
        except STREAM_ERRORS:
            yield from ready
            raise
        yield from ready
        ready.clear()
        if not piece:
            return


class _Row:
    """The row that is being gathered."""

    __slots__ = ("cells", "faults", "hidden", "number")

    def __init__(self) -> None:
        self.number = 0
        self.begin(0, False)

    def begin(self, number: int, hidden: bool) -> None:
        self.number, self.hidden = number, hidden
        self.cells: list[str] = []
        self.faults: list[CellFault] = []

    def put(self, column: int, text: str) -> None:
        gap = column - len(self.cells)
        if gap < 0:
            raise ValueError(f"cell {letters(column)}{self.number} comes out of order")
        if gap and text:
            self.cells.extend([""] * gap)
        if text or not gap:
            self.cells.append(text)


def _attach(parser: expat.XMLParserType, to: _To, give: list[SheetRow]) -> None:
    """Wait for the root element, whose prefix all others share, then listen to them all."""

    def root(name: str, _attributes: dict[str, str]) -> None:
        prefix, colon, _ = name.rpartition(":")
        _listen(parser, to, give, prefix + colon)

    parser.StartElementHandler = root


def _listen(parser: expat.XMLParserType, to: _To, give: list[SheetRow], prefix: str) -> None:
    """Set the handlers that expat calls for every element; state is in closures, for speed."""
    cell_tag, row_tag, formula_tag, phonetic_tag, inline_tag = (
        prefix + tag for tag in ("c", "row", "f", "rPh", "is")
    )
    text_tags = {prefix + "v", prefix + "t"}
    show = to.show
    indexes: dict[str, int] = {}
    pieces: list[str] = []
    row = _Row()
    column, style, kind = -1, 0, "n"
    wanted = formula = phonetic = False

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal column, style, kind, wanted, formula, phonetic
        if name == cell_tag:
            place = attributes.get("r")
            if place is None:
                column += 1
            else:
                letters = place.rstrip("0123456789")
                if letters not in indexes:
                    indexes[letters] = column_index(letters)
                column = indexes[letters]
            kind = attributes.get("t", "n")
            style = int(attributes.get("s", 0))
            formula = False
        elif name in text_tags:
            wanted = not phonetic
        elif name == row_tag:
            place = attributes.get("r")
            row.begin(int(place) if place else row.number + 1, true_value(attributes.get("hidden")))
            column = -1
        elif name == formula_tag:
            formula = True
        elif name == phonetic_tag:
            phonetic = True
        elif name != inline_tag:
            to.aside(name.rpartition(":")[2], attributes)

    def end(name: str) -> None:
        nonlocal wanted, phonetic
        if name == cell_tag:
            raw = "".join(pieces)
            pieces.clear()
            shown = show(kind, style, raw, formula)
            if formula or not isinstance(shown, str):
                shown = to.remark(shown, row.number, row.faults, column, raw, formula)
            row.put(column, shown)
        elif name in text_tags:
            wanted = False
        elif name == row_tag:
            if any(row.cells) or row.faults:
                give.append(SheetRow(row.number, row.cells, tuple(row.faults), row.hidden))
        elif name == phonetic_tag:
            phonetic = False

    def data(text: str) -> None:
        if wanted:
            pieces.append(text)

    listen(parser, start, end, data)
