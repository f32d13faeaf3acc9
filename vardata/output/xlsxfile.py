"""An xlsx workbook whose rows come as ready XML, in a stream.

In: headings, parts of rows made by ``sheetxml.rows_xml``, a date. Out: the file, the same
bytes each time. openpyxl makes everything but the rows (styles, heading, widths, frozen pane,
filter, printing); the rows pass through to the zip as they come, so memory does not grow.
A worksheet that is full is followed by another with the same heading.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import IO, Any, NamedTuple

from vardata.letters import letters
from vardata.output.sheetxml import (
    GUARDED_STYLE,
    TEXT_STYLE,
    legal_text,
    rows_xml,
    sheet_rows,
)
from vardata.problems import OutputError, VardataError, fail

_ROW_END = b"</row>"
_DOS_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest date a zip can hold; says nothing, never changes
_MOST_BYTES = (1 << 31) - (1 << 20)  # of a worksheet: a zip entry without ZIP64, with room to end
_LEVEL = 2  # half the time of level 3 for a twentieth more bytes


class Form(NamedTuple):
    """What a table looks like. ``widths`` in characters, one a column or none at all."""

    title: str
    widths: tuple[float, ...] = ()
    wrap: bool = False  # long texts on several lines


def pick_form(columns: int) -> Form:
    """The form of ``picklist.xlsx`` with so many columns in all (see ``tables.headings``)."""
    fields = max(columns - 7, 0)
    widths = (7.0, 9.0, 22.0, 22.0, 22.0, *([28.0] * fields), 52.0, 7.0)
    return Form("Pick list", widths[:columns])


class BookWriter:
    """A workbook that takes its rows part by part; made for a ``with`` block.

    Without a form it is the pick list's. Raises ``OutputError`` where a sheet outgrows what the
    format's readers take, ``OSError`` where it cannot write.
    """

    def __init__(
        self, path: Path, headings: Sequence[str], at: datetime, form: Form | None = None
    ) -> None:
        self._headings, self._at = tuple(headings), at
        self._form = form or pick_form(len(headings))
        self._limit = sheet_rows(len(headings))
        self._counts: list[int] = []  # rows of the sheets that are full
        self._count = self._size = 0  # rows and bytes of the sheet at hand
        self._archive = zipfile.ZipFile(path, "w")
        # The package's own description first: that is how a file's kind is told.
        for name, data in self._skeleton(0).items():
            if name.startswith(("_rels/", "docProps/")):
                store(self._archive, name, data)
        self._member = self._begun()

    def __enter__(self) -> BookWriter:
        return self

    def __exit__(self, kind: object, *exc: object) -> None:
        self._member.close()
        self._archive.close()

    def add(self, part: bytes, rows: int | None = None) -> None:
        """Rows as ``rows_xml`` makes them, without a gap after those before; how many they are,
        if that is known."""
        rows = part.count(_ROW_END) if rows is None else rows
        while rows > (room := self._limit - self._count):
            cut = _after_row(part, room)
            self._put(part[:cut], room)
            self._ended()
            self._member = self._begun()
            part, rows = part[cut:], rows - room
        self._put(part, rows)

    def finish(self) -> int:
        """Ends the workbook and gives the number of its rows."""
        self._ended()
        for name, data in self._skeleton().items():
            if not name.startswith(("_rels/", "docProps/", "xl/worksheets/")):
                store(self._archive, name, data)
        return sum(self._counts)

    def _skeleton(self, *more: int) -> Mapping[str, bytes]:
        return _skeleton(self._headings, (*self._counts, *more), self._at, self._form)

    def _sheet(self) -> str:
        return f"xl/worksheets/sheet{len(self._counts) + 1}.xml"

    def _begun(self) -> IO[bytes]:
        """A worksheet up to its rows."""
        name = self._sheet()
        member = self._archive.open(_entry(name), "w")
        head = self._skeleton(0)[name].split(b"</sheetData>")[0]
        member.write(re.sub(rb"<dimension [^>]*/>", b"", head))  # not yet known, and optional
        return member

    def _put(self, part: bytes, count: int) -> None:
        self._count += count
        self._size += len(part)
        if self._size > _MOST_BYTES:
            raise _too_large(self._headings)
        self._member.write(part)

    def _ended(self) -> None:
        """What follows the rows: a filter ends with the last of them."""
        tail = self._skeleton(self._count)[self._sheet()].split(b"</sheetData>")[1]
        self._member.write(b"</sheetData>" + tail)
        self._member.close()
        self._counts.append(self._count)
        self._count = self._size = 0


def write_xlsx(
    path: Path,
    headings: Sequence[str],
    parts: Iterable[bytes],
    at: datetime,
    form: Form | None = None,
) -> int:
    """Writes the workbook of all ``parts`` and gives the number of rows of data."""
    with BookWriter(path, headings, at, form) as book:
        for part in parts:
            book.add(part)
        return book.finish()


def write_rows(
    path: Path,
    headings: Sequence[str],
    rows: Iterable[Sequence[str]],
    at: datetime,
    form: Form,
) -> int:
    """``write_xlsx`` for rows of text that come one by one."""

    def parts() -> Iterator[bytes]:
        done = 0
        chunk: list[Sequence[str]] = []
        for row in rows:
            chunk.append(row)
            if len(chunk) == 256:
                yield rows_xml(chunk, done)
                done += len(chunk)
                chunk.clear()
        yield rows_xml(chunk, done)

    return write_xlsx(path, headings, parts(), at, form)


def _too_large(headings: Sequence[str]) -> VardataError:
    return fail(
        OutputError,
        "xlsx-too-large",
        f"a worksheet of {len(headings)} columns has become larger than a spreadsheet can open",
        "shorten the texts, or build the order sheet in parts; the CSV has no such limit",
    )


def _after_row(part: bytes, rows: int) -> int:
    """The place after so many rows."""
    place = 0
    for _ in range(rows):
        place = part.index(_ROW_END, place) + len(_ROW_END)
    return place


def _entry(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, _DOS_EPOCH)
    info.compress_type = zipfile.ZIP_DEFLATED
    info._compresslevel = _LEVEL  # type: ignore[attr-defined]  # no public way until 3.13
    info.create_system = 3  # the same on every system
    info.external_attr = 0o600 << 16
    return info


def store(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    """A part of a package, the same bytes on every system and day."""
    archive.writestr(_entry(name), data, zipfile.ZIP_DEFLATED, _LEVEL)


@lru_cache(maxsize=4)  # the same serves the head of the rows and what stands before them
def _skeleton(
    headings: tuple[str, ...], counts: tuple[int, ...], at: datetime, form: Form
) -> Mapping[str, bytes]:
    """The files of a workbook with headings and no rows; ``counts`` rows are to come."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for number, count in enumerate(counts or (0,), 1):
        title = form.title if number == 1 else f"{form.title} {number}"
        _dress(book.create_sheet(title), headings, count, form)
    book.properties.creator = "vardata"
    book.properties.title = form.title
    book.properties.created = book.properties.modified = at.replace(tzinfo=None)
    buffer = io.BytesIO()
    book.save(buffer)
    with zipfile.ZipFile(buffer) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    # Saving puts the hour of saving; the run's own date is what belongs there.
    files["docProps/core.xml"] = _core(book, at)
    return files


def _core(book: Any, at: datetime) -> bytes:
    from openpyxl.xml.functions import tostring

    book.properties.modified = at.replace(tzinfo=None)
    return bytes(tostring(book.properties.to_tree()))


def _dress(sheet: Any, headings: Sequence[str], count: int, form: Form) -> None:
    """Heading row, styles, widths, frozen pane, filter and printing of one worksheet."""
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

    numbers = [_style_number(sheet, form.wrap, guarded) for guarded in (False, True)]
    if numbers != [TEXT_STYLE, GUARDED_STYLE]:
        raise AssertionError("the workbook's cell styles are not numbered as sheetxml writes them")
    for column, heading in enumerate(headings, 1):
        cell = sheet.cell(1, column)
        cell.value = legal_text(heading)
        cell.data_type = "s"  # never a formula, whatever it begins with
        cell.number_format = "@"
        cell.font = Font(name="Calibri", size=11, bold=True)
        cell.fill = PatternFill("solid", fgColor="E6E6E6")
        cell.border = Border(bottom=Side(style="thin", color="808080"))
        cell.alignment = Alignment(vertical="top", wrap_text=form.wrap)
        width = form.widths[column - 1] if form.widths else max(12.0, len(heading) + 4.0)
        sheet.column_dimensions[letters(column - 1)].width = min(width, 80.0)
    last = letters(max(len(headings), 1) - 1)
    sheet.freeze_panes = "A2"
    sheet.auto_filter.ref = f"A1:{last}{count + 1}"
    sheet.print_title_rows = "1:1"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.sheet_properties.pageSetUpPr = _fit_to_width()
    sheet.page_setup.fitToHeight = 0
    sheet.oddFooter.center.text = "&A, page &P of &N"


def _fit_to_width() -> Any:
    from openpyxl.worksheet.properties import PageSetupProperties

    return PageSetupProperties(fitToPage=True)


def _style_number(sheet: Any, wrap: bool, guarded: bool) -> int:
    """The number that the workbook gives to the style of text cells."""
    from openpyxl.cell import Cell
    from openpyxl.styles import Alignment, Font

    cell = Cell(sheet, row=2, column=1)  # not one of the sheet's: it only carries the style
    cell.font = Font(name="Calibri", size=11)
    cell.number_format = "@"
    cell.alignment = Alignment(vertical="top", wrap_text=wrap)
    cell.quotePrefix = guarded
    return int(cell.style_id)
