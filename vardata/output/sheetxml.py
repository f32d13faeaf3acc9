"""Rows of an xlsx worksheet, written as XML by hand.

In: rows of text. Out: the bytes of their ``row`` elements, ready to stand in ``sheetData``.
Every cell is an inline string (ECMA-376-1, 18.3.1.53), so ``00042`` stays ``00042`` and no
cell can be a formula. A text that would be one if it were typed keeps its exact value and
gets a style with ``quotePrefix`` (18.8.45): the spreadsheet's own apostrophe, which shows in
the entry line and outlives editing. The workbook around the rows is ``xlsxfile``'s business.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import lru_cache

from vardata.letters import letters
from vardata.spreadsafe import RISKY_START

MAX_ROWS = 1_048_576  # of a worksheet, heading included; the limit of the format's readers
MAX_CHARACTERS = 32_767  # UTF-16 units of a cell; a longer one makes a file "damaged"
TEXT_STYLE = 1  # cell styles of the workbook that xlsxfile makes: text,
GUARDED_STYLE = 2  # and text with quotePrefix

# Zip entries above 2 GiB need ZIP64, which not every reader takes. A cell comes to some 90
# bytes around its text; 160 leaves room for texts of 70 bytes in every cell of a full sheet.
_SHEET_BYTES = 2_000_000_000
_CELL_BYTES = 160

_BLOCK = 32  # rows that are looked over together; only where something is odd, row by row
_ODD_START = re.compile("\\|['\\s=+\\-@\0\ufeff\uff1d\uff0b\uff0d\uff20]")  # wider than risky
_RISKY = re.compile(RISKY_START)
# What XML 1.0, 2.2 does not allow, and the carriage return that it would turn into a line
# feed; also a literal that looks like the escape. ST_Xstring, ECMA-376-1, 22.9.2.19.
_ESCAPED = re.compile("[\x00-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")
_CUT = " [cut: a cell holds 32,767 characters]"


def sheet_rows(columns: int) -> int:
    """How many rows of data a worksheet of so many columns takes below its heading."""
    return min(MAX_ROWS - 1, _SHEET_BYTES // (_CELL_BYTES * max(columns, 1)))


def rows_xml(rows: Iterable[Sequence[str]], first_row: int) -> bytes:
    """Rows as XML. ``first_row`` is how many rows of data stand before them in the workbook.

    All rows have as many cells as the first.
    """
    table = list(rows)
    if not table:
        return b""
    columns = len(table[0])
    template = _template(columns)
    per_sheet = sheet_rows(columns)
    out = []
    for start in range(0, len(table), _BLOCK):
        block = table[start : start + _BLOCK]
        plain = _is_plain("|".join(["|".join(cells) for cells in block]))
        number = (first_row + start) % per_sheet + 2
        for cells in block:
            if number == per_sheet + 2:
                number = 2
            if plain or _is_plain("|".join(cells)):
                out.append((template % tuple(cells)).replace("\0", str(number)))
            else:
                out.append(_odd_row(cells, number))
            number += 1
    return "".join(out).encode("utf-8")


def _is_plain(joined: str) -> bool:
    """Whether cells, joined by bars, can stand in the XML as they are, in the plain style."""
    return (
        joined.isprintable()  # no control, no line end, no half surrogate, no odd space
        and "&" not in joined
        and "<" not in joined
        and ">" not in joined
        and ("_" not in joined or "_x" not in joined)
        and " |" not in joined
        and not joined.endswith(" ")
        and not _ODD_START.search("|" + joined)
        and len(joined) <= MAX_CHARACTERS // 2
    )


@lru_cache(maxsize=16)
def _template(columns: int) -> str:
    """A row with %s for each text and NUL for the row's number."""
    cells = [
        f'<c r="{letters(i)}\0" s="{TEXT_STYLE}" t="inlineStr"><is><t>%s</t></is></c>'
        for i in range(columns)
    ]
    return '<row r="\0">' + "".join(cells) + "</row>"


def _odd_row(cells: Sequence[str], number: int) -> str:
    out = [f'<row r="{number}">']
    for i, cell in enumerate(cells):
        style = GUARDED_STYLE if _RISKY.match(cell) else TEXT_STYLE
        text = cell_text(cell)
        space = ' xml:space="preserve"' if text != text.strip() or "\n" in text else ""
        out.append(
            f'<c r="{letters(i)}{number}" s="{style}" t="inlineStr">'
            f"<is><t{space}>{text}</t></is></c>"
        )
    return "".join(out) + "</row>"


def cell_text(text: str) -> str:
    """A cell's text as it stands in the XML."""
    return legal_text(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def legal_text(text: str) -> str:
    """A text that XML and a cell can hold: forbidden characters as ``_x0001_``, cut visibly."""
    text = _ESCAPED.sub(lambda found: f"_x{ord(found.group()):04X}_", text)
    return _cut(text) if len(text) > MAX_CHARACTERS // 2 else text


def _cut(text: str) -> str:
    units = text.encode("utf-16-le")
    if len(units) // 2 <= MAX_CHARACTERS:
        return text
    kept = units[: 2 * (MAX_CHARACTERS - len(_CUT))].decode("utf-16-le", "ignore")
    return re.sub("_x?[0-9A-Fa-f]{0,4}$", "", kept) + _CUT  # no half of an escape
