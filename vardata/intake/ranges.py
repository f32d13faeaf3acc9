"""Ranges of a worksheet, such as A1:B2: merged cells above all.

In: references and streams of a worksheet's part. Out: ranges in numbers, and headings that stand
in merged cells. Rules: ECMA-376 part 1, 18.3.1.55 (mergeCells), 18.18.62 (ST_Ref).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import IO, NamedTuple

from vardata.intake.source import SheetRow

_MOST_COLUMNS = 16_384  # ECMA-376 part 1, 18.3.1.73: XFD is the last column
_MERGED = re.compile(rb"<(?:\w+:)?mergeCell\s[^>]*?ref=\"([A-Z]+)(\d+):([A-Z]+)(\d+)\"")
_PIECE, _OVERLAP = 1 << 18, 200  # bytes; no element of a merged cell is longer than the overlap


class Area(NamedTuple):
    """A range; columns count from 0, rows from 1; both ends are in it."""

    left: int
    top: int
    right: int
    bottom: int


def column_index(letters: str) -> int:
    """The index of a column by its letters: A is 0."""
    index = 0
    for letter in letters:
        if not "A" <= letter <= "Z":
            raise ValueError(f"a cell's place {letters!r} is not one")
        index = index * 26 + ord(letter) - 64
    if not 0 < index <= _MOST_COLUMNS:
        raise ValueError(f"column {letters!r} is beyond the last one of a sheet")
    return index - 1


def touches(ref: str, columns: set[int], first_row: int, last_row: int) -> bool:
    """Whether a merged range has more than its first cell among the columns and rows."""
    start, _, end = ref.partition(":")
    try:
        left, right = (column_index(p.rstrip("0123456789")) for p in (start, end))
        top, bottom = (int(p.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")) for p in (start, end))
    except ValueError:
        return False
    rows = bottom >= first_row and top <= last_row
    return rows and any(left <= column <= right for column in columns)


def merged_areas(stream: IO[bytes]) -> list[Area]:
    """The merged ranges of a worksheet, which its part tells only after its cells."""
    areas: dict[Area, None] = {}
    tail = b""
    while piece := stream.read(_PIECE):
        for match in _MERGED.finditer(tail + piece):
            first, last = match[1].decode(), match[3].decode()
            area = Area(column_index(first), int(match[2]), column_index(last), int(match[4]))
            areas[area] = None
        tail = piece[-_OVERLAP:]
    return list(areas)


def with_merged(
    header: SheetRow, areas: Iterable[Area], texts: Mapping[int, Sequence[str]]
) -> list[str]:
    """The headings, filled up from merged cells; ``texts`` are those of the rows above as well."""
    cells = list(header.cells)
    for left, top, right, bottom in areas:
        if not top <= header.number <= bottom:
            continue
        row = texts.get(top, ())
        text = row[left].strip() if left < len(row) else ""
        if not text:
            continue
        cells += [""] * (right + 1 - len(cells))
        for place, column in enumerate(range(left, right + 1), 1):
            if not cells[column].strip():
                cells[column] = text if place == 1 else f"{text} {place}"
    return cells
