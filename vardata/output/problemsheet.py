"""``problems.xlsx``: a copy of the order sheet with what is wrong marked in place.

In: the order sheet, the cells to be marked, each with its words. Out: a workbook for the office:
mended cell by cell, it can be built in the sheet's stead. A workbook is copied with its formats
and formulas; rows from elsewhere become a workbook of texts.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from vardata.intake.findings import Mark
from vardata.intake.original import Original
from vardata.output.sheetxml import legal_text
from vardata.output.xlsxfile import store
from vardata.problems import CallError, OutputError, Severity, fail

# Fills as spreadsheet programs use them for bad, doubtful and neutral cells (common practice).
_FILLS = {Severity.HOLD: "FFC7CE", Severity.WARNING: "FFEB9C", Severity.NOTE: "DDEBF7"}
_RANK = list(_FILLS)
_WIDE, _HIGH = 320, 120  # of a comment, in points


def refuse_name(path: Path) -> None:
    """Raises ``CallError`` for a name of another kind of file, and ``OutputError`` where the file
    is there: somebody may be at work in it."""
    if path.suffix.lower() != ".xlsx":
        what = f"--problems {str(path)!r} is no name for a workbook"
        raise fail(CallError, "bad-name", what, "end it in .xlsx")
    if path.exists():
        raise fail(
            OutputError, "out-exists", "the file is there already, perhaps half mended",
            "choose another name", file=str(path),
        )  # fmt: skip


def write_problem_sheet(path: Path, original: Original, marks: Iterable[Mark]) -> int:
    """Writes the copy and gives the number of marked cells. Raises ``OutputError``."""
    refuse_name(path)
    book = _copied(original) if original.path is not None else _fresh(original)
    sheet = book[original.sheet] if original.path is not None else book.active
    count = _mark(sheet, marks, _shift(original))
    # Who opens the file should see the marked sheet, and dates must not differ from day to day.
    book.active = book.index(sheet)
    book.properties.modified = book.properties.created = datetime(2000, 1, 1)
    data = io.BytesIO()
    book.save(data)
    try:
        with zipfile.ZipFile(data) as parts, zipfile.ZipFile(path, "w") as archive:
            for name in parts.namelist():
                store(archive, name, _dated(name, parts.read(name)))
    except OSError as error:
        path.unlink(missing_ok=True)
        raise fail(
            OutputError, "cannot-write", f"the file cannot be written ({error.strerror})",
            "choose another place", file=str(path),
        ) from None  # fmt: skip
    return count


def _shift(original: Original) -> int:
    """How far rows move down: headings that stand in no row of the sheet get one."""
    return 0 if original.header_row else 1


def _copied(original: Original) -> Any:
    from openpyxl import load_workbook

    return load_workbook(original.path)


def _fresh(original: Original) -> Any:
    """A workbook of texts, so that no program takes one for a number or a formula."""
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    shift = _shift(original)
    for number, cells in original.rows:
        for column, text in enumerate(cells, 1):
            if text:
                cell = sheet.cell(number + shift, column, legal_text(text))
                cell.data_type = "s"
                cell.number_format = "@"
    sheet.freeze_panes = sheet.cell(original.header_row + shift + 1, 1)
    return book


def _mark(sheet: Any, marks: Iterable[Mark], shift: int) -> int:
    """Colours the cells and writes what is wrong beside them; the worst gives the colour."""
    from openpyxl.comments import Comment
    from openpyxl.styles import PatternFill

    cells: dict[tuple[int, int], list[Mark]] = {}
    for mark in marks:
        cells.setdefault((mark.row + shift, mark.column), []).append(mark)
    fills: Mapping[Severity, Any] = {
        severity: PatternFill("solid", fgColor=colour) for severity, colour in _FILLS.items()
    }
    for (row, column), found in sorted(cells.items()):
        found.sort(key=lambda mark: _RANK.index(mark.severity))
        cell = sheet.cell(row, column + 1)
        if type(cell).__name__ == "MergedCell":  # it cannot hold anything: its first cell does
            cell = _first_of_merged(sheet, row, column + 1)
        cell.fill = fills[found[0].severity]
        text = "\n".join(dict.fromkeys(mark.text for mark in found))
        before = f"{cell.comment.text}\n" if cell.comment else ""
        cell.comment = Comment(legal_text(before + text), "vardata", height=_HIGH, width=_WIDE)
    return len(cells)


def _first_of_merged(sheet: Any, row: int, column: int) -> Any:
    for area in sheet.merged_cells.ranges:
        if area.min_row <= row <= area.max_row and area.min_col <= column <= area.max_col:
            return sheet.cell(area.min_row, area.min_col)
    return sheet.cell(row, column)


def _dated(name: str, data: bytes) -> bytes:
    """The core properties without the moment of saving, which openpyxl always writes."""
    if name != "docProps/core.xml":
        return data
    return re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>2000-01-01T00:00:00Z", data)
