"""The pick list as a table: rows of cells, and the CSV file made of them.

In: ``SlotLine``s of a chunk of beds. Out: rows of text, shared by ``picklist.csv`` and
``picklist.xlsx``, and the CSV's bytes. A worker makes a chunk's bytes, the parent joins them
in order, so the number of workers cannot be seen in the file.

CSV: UTF-8 with a byte order mark, commas, CRLF, every cell in double quotes (RFC 4180, 2.6 and
2.7; quoting every cell keeps a spreadsheet of another locale from splitting at its own
separator). Cells that could run as formulas are guarded (see ``spreadsafe``).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import BinaryIO

from vardata.output.slotline import SlotLine
from vardata.spreadsafe import guard

BOM = b"\xef\xbb\xbf"
_BEFORE = ("bed", "slot", "order", "record", "blank")
_AFTER = ("file", "page")
_BLOCK = 32  # rows that are looked over together; only where something is odd, row by row
# A cell's opening quote and what could make it risky; wider than the rule, never narrower.
_ODD_START = re.compile("\"['\\s=+\\-@\0\ufeff\uff1d\uff0b\uff0d\uff20]")


def headings(fields: Sequence[str], extras: Sequence[str] = ()) -> tuple[str, ...]:
    """The pick list's headings: a column for each text and code field, in the layout's order.

    ``extras`` are further columns, named as ``SlotLine`` names them.
    """
    return (*_BEFORE, *extras, *fields, *_AFTER)


def pick_rows(
    lines: Iterable[SlotLine], fields: Sequence[str], extras: Sequence[str] = ()
) -> list[list[str]]:
    """A row of cells for each slot, in the order of ``headings``; all of them text."""
    rows = []
    wanted = tuple(fields)
    for line in lines:
        bed, slot, _, file, page, record, order, blank, texts, codes = line[:10]
        named = texts + codes
        values = [value for _, value in named]
        if tuple([name for name, _ in named]) != wanted:
            by_name = dict(named)
            values = [by_name.get(name, "") for name in wanted]
        if extras:
            values[:0] = [getattr(line, name) for name in extras]
        rows.append([str(bed), slot, order, record, blank, *values, file, str(page)])
    return rows


def csv_rows(rows: Iterable[Sequence[str]]) -> bytes:
    """Rows as CSV bytes, guarded and quoted."""
    table = list(rows)
    out = []
    for start in range(0, len(table), _BLOCK):
        block = table[start : start + _BLOCK]
        inner = ['","'.join(cells) for cells in block]
        joined = '""'.join(inner)
        quotes = 2 * sum(map(len, block)) - 2
        if joined.count('"') != quotes or _ODD_START.search('"' + joined):
            inner = ['","'.join([_cell(cell) for cell in cells]) for cells in block]
        out.append('"' + '"\r\n"'.join(inner) + '"\r\n')
    return encode("".join(out))


def _cell(text: str) -> str:
    return guard(text).replace('"', '""')


def encode(text: str) -> bytes:
    """UTF-8; half a surrogate pair, which UTF-8 cannot hold, becomes U+FFFD and so is seen."""
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError:
        return re.sub("[\ud800-\udfff]", "\ufffd", text).encode("utf-8")


def open_csv(path: Path, heading_row: Sequence[str]) -> BinaryIO:
    """A file that begins with mark and headings and takes parts. Raises ``OSError``."""
    file = path.open("wb")
    file.write(BOM + csv_rows([heading_row]))
    return file


def write_csv(path: Path, heading_row: Sequence[str], parts: Iterable[bytes]) -> None:
    """Writes mark, headings and the parts as they come. Raises ``OSError``."""
    with open_csv(path, heading_row) as file:
        for part in parts:
            file.write(part)
