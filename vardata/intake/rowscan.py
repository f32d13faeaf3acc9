"""The rows of a worksheet, scanned: the fast way for parts that are written as usual.

In: the stream of a worksheet's part and how to show a cell. Out: its rows. Programs write cells in
one plain form, which a pattern reads many times as fast as an XML parser calls handlers. The
pattern is strict: what it does not know, however little, raises ``Irregular`` before a row is
given, and an XML parser reads the part from its start instead. Nothing is read leniently here.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable, Iterator
from typing import IO

from vardata.intake.cells import Shown
from vardata.intake.source import CellFault, SheetRow

_PIECE = 1 << 17
_MOST_WAITING = 1 << 24  # characters without the end of a row
# Characters that XML 1.0 does not allow (2.2), as bytes of UTF-8.
_FORBIDDEN = bytes(set(range(32)) - {9, 10, 13})
_NO_CHARACTERS = (b"\xef\xbf\xbe", b"\xef\xbf\xbf")
_HEAD = re.compile(
    r'\ufeff?(?:<\?xml version=["\']1\.0["\'](?: encoding=["\'](?:UTF|utf)-8["\'])?[^<>?e]*\?>|'
    r'<\?xml version="1\.0" encoding="(?:UTF|utf)-8" standalone="(?:yes|no)"\?>)?\s*<worksheet[\s>]'
)
_DATA = re.compile(r"<sheetData\s*(/?)>")
_ROW = re.compile(r"\s*<row((?: [\w:]+=\"[^\"<&]*\")*) ?(/?)>")
_CELL = re.compile(
    r'\s*<c r="([A-Z]{1,3})\d+"(?: s="(\d{1,6})")?(?: t="(\w+)")?(?: ?/>'
    r"|>(<f(?: [^<>]*)?(?:/>|>[^<]*</f>))?"
    r'(?:<v>([^<]*)</v>|<v ?/>|<is><t(?: xml:space="preserve")?>([^<]*)</t></is>|<is><t ?/></is>)?'
    r"</c>)"
)
_ATTRIBUTE = re.compile(r'([\w:]+)="([^"]*)"')
_ASIDE = re.compile(r"<(col|mergeCell) ([^<>]*?)/?>")
_ENTITY = re.compile(r"&(?:(amp|lt|gt|quot|apos)|#(\d{1,7})|#x([0-9A-Fa-f]{1,6}));")
_NAMED = {"amp": "&", "lt": "<", "gt": ">", "quot": '"', "apos": "'"}

Show = Callable[[str, int, str, bool], Shown | str]
Remark = Callable[[Shown | str, int, list[CellFault], int, str, bool], str]
Aside = Callable[[str, dict[str, str]], None]


class Irregular(Exception):
    """The part holds something that is not in the usual form."""


def scanned_rows(
    stream: IO[bytes], show: Show, remark: Remark, aside: Aside, column_index: Callable[[str], int]
) -> Iterator[SheetRow]:
    """The rows with cells. Raises ``Irregular``, and what the stream raises."""
    pieces = _texts(stream)
    text, start, empty = _before_rows(pieces, aside)
    indexes: dict[str, int] = {}
    number = 0
    while not empty:
        row = _ROW.match(text, start)
        if row is None or (not row[2] and (end := text.find("</row>", row.end())) < 0):
            rest = text[start:]
            if rest.lstrip().startswith("</sheetData>"):
                text, start = rest, 0
                break
            if len(rest) > _MOST_WAITING:
                raise Irregular
            text, start = rest + _next(pieces), 0
            continue
        place, hidden = "", False
        if row[1]:
            attributes = dict(_ATTRIBUTE.findall(row[1]))
            place, hidden = attributes.get("r", ""), attributes.get("hidden") in ("1", "true", "on")
            if place and not place.isdecimal():
                raise Irregular
        number = int(place) if place else number + 1
        if row[2]:
            start = row.end()
            continue
        cells, faults = _cells(text, row.end(), end, number, show, remark, indexes, column_index)
        start = end + 6
        if any(cells) or faults:
            yield SheetRow(number, cells, tuple(faults), hidden)
    _after_rows(text[start:], pieces, aside)


def _cells(
    text: str, start: int, end: int, number: int, show: Show, remark: Remark,
    indexes: dict[str, int], column_index: Callable[[str], int],
) -> tuple[list[str], list[CellFault]]:  # fmt: skip
    """The cells of one row, from ``start`` to ``end`` of the text."""
    cells: list[str] = []
    faults: list[CellFault] = []
    for cell in _CELL.finditer(text, start, end):
        if cell.start() != start:
            raise Irregular
        start = cell.end()
        letters, style, kind, formula, raw, inline = cell.groups()
        value = raw if raw is not None else inline or ""
        if "&" in value or "\r" in value:
            value = _plain(value)
        column = indexes.get(letters)
        if column is None:
            column = indexes[letters] = _column(letters, column_index)
        shown = show(kind or "n", int(style) if style else 0, value, formula is not None)
        if formula is not None or not isinstance(shown, str):
            shown = remark(shown, number, faults, column, value, formula is not None)
        gap = column - len(cells)
        if gap < 0:
            raise Irregular  # out of order: the parser says so in its own words
        if gap and shown:
            cells.extend([""] * gap)
        if shown or not gap:
            cells.append(shown)
    if start < end and not text[start:end].isspace():
        raise Irregular
    return cells, faults


def _column(letters: str, column_index: Callable[[str], int]) -> int:
    try:
        return column_index(letters)
    except ValueError:
        raise Irregular from None


def _plain(text: str) -> str:
    """Entities and line ends as a parser gives them (XML 1.0, 2.11 and 4.6)."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if text.count("&") != len(_ENTITY.findall(text)):
        raise Irregular
    return _ENTITY.sub(_character, text)


def _character(match: re.Match[str]) -> str:
    if match[1]:
        return _NAMED[match[1]]
    code = int(match[2]) if match[2] else int(match[3], 16)
    if code in (0xFFFE, 0xFFFF) or 0xD800 <= code < 0xE000 or code > 0x10FFFF:
        raise Irregular
    if code < 32 and code not in (9, 10, 13):
        raise Irregular
    return chr(code)


def _texts(stream: IO[bytes]) -> Iterator[str]:
    """The part in pieces of text; characters that XML forbids are irregular."""
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        while piece := stream.read(_PIECE):
            if len(piece.translate(None, _FORBIDDEN)) != len(piece) or any(
                bad in piece for bad in _NO_CHARACTERS
            ):
                raise Irregular
            yield decoder.decode(piece)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        raise Irregular from None


def _next(pieces: Iterator[str]) -> str:
    piece = next(pieces, None)
    if piece is None:
        raise Irregular  # the part ends too early
    return piece


def _before_rows(pieces: Iterator[str], aside: Aside) -> tuple[str, int, bool]:
    """The text, where its rows begin, and whether there are none."""
    text = _next(pieces)
    while (found := _DATA.search(text)) is None:
        if len(text) > _MOST_WAITING:
            raise Irregular
        text += _next(pieces)
    head = text[: found.start()]
    if not _HEAD.match(head) or "<!" in head or "<?" in head[5:]:
        raise Irregular
    _tell(head, aside)
    return text, found.end(), bool(found[1])


def _after_rows(text: str, pieces: Iterator[str], aside: Aside) -> None:
    """What comes below the rows: merged cells above all."""
    for piece in pieces:
        text += piece
        if len(text) > _MOST_WAITING:
            raise Irregular
    if not text.rstrip().endswith("</worksheet>") or "<!" in text or "<?" in text:
        raise Irregular
    _tell(text, aside)


def _tell(text: str, aside: Aside) -> None:
    for name, attributes in _ASIDE.findall(text):
        aside(name, dict(_ATTRIBUTE.findall(attributes)))
