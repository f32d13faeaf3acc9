"""An OpenDocument spreadsheet as a ``Source``: the .ods that free office programs write.

In: a path and the name of one of its tables. Out: rows of displayed texts, streamed: the format
keeps beside each value the text that it shows. Rules: OASIS OpenDocument 1.3, part 3, 9 (tables)
and 6.1 (white space in paragraphs).
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from pathlib import Path
from xml.parsers import expat

from vardata.intake.mergedheads import merged_headings
from vardata.intake.package import ZIP_ERRORS, opened_package
from vardata.intake.ranges import Area
from vardata.intake.source import CellFault, SheetRow
from vardata.intake.spread import Spread
from vardata.intake.strings import listen, new_parser
from vardata.intake.tally import Tally
from vardata.problems import Problem, Severity, SheetError, VardataError, Where, fail

_PIECE = 1 << 16
_ERRORS = (*ZIP_ERRORS, expat.ExpatError, ValueError)
_MOST_COLUMNS = 16_384
_TOO_LARGE = 1e15  # as in workbooks: 15 digits are kept
_MOST_SPACES = 1000


class DocumentSource:
    """A table of an OpenDocument spreadsheet."""

    delimited = False

    def __init__(self, path: Path, name: str | None, header_row: int) -> None:
        self.path, self.header_row = path, header_row
        self.remarks: list[Problem] = []
        self.tally = Tally()
        self.spreads: list[Spread] = []  # known once the headings are
        self._zip = opened_package(path, ".ods")
        names = self._zip.NameToInfo
        if "content.xml" not in names:
            raise fail(
                SheetError, "not-a-workbook", "the file is no OpenDocument sheet",
                "save the sheet as .ods, .xlsx or .csv", file=path.name,
            )  # fmt: skip
        manifest = "META-INF/manifest.xml"
        if manifest in names and b"encryption-data" in self._zip.read(manifest):
            raise fail(
                SheetError, "protected-workbook", "the workbook is protected with a password",
                "take the password off", file=path.name,
            )  # fmt: skip
        tables = list(dict.fromkeys(self._tables()))
        self.sheet = self._chosen(tables, name)
        self.others = [table for table in tables if table != self.sheet]
        if name is None and self.others:
            what = f"the first sheet {self.sheet!r} is read; there is also "
            what += ", ".join(map(repr, self.others))
            remedy = "name another under [sheet] if it is meant"
            where = Where(file=path.name)
            self.remarks.append(
                Problem("chosen-sheet", Severity.NOTE, what, remedy, where, self.sheet)
            )

    def rows(self) -> Iterator[SheetRow]:
        self.tally = Tally()
        reading = _Reading(self.sheet)
        for _ in self._parsed(reading):
            for row, times in reading.ready:
                for _again in range(times):
                    yield row
                    row = row._replace(number=row.number + 1)
            reading.ready.clear()

    def merged_headings(self, header: SheetRow) -> list[str]:
        """The headings with those that stand in merged cells."""
        reading = _Reading(self.sheet)
        for _ in self._parsed(reading):
            if any(row.number > header.number for row, _times in reading.ready):
                break
            reading.ready.clear()
        found = merged_headings(self.sheet, header, reading.areas, self.rows)
        self.spreads = found.spreads
        self.remarks += found.remarks
        return found.cells

    def sheet_remarks(self, columns: set[int], last_row: int) -> list[Problem]:
        return []

    def _tables(self) -> Iterator[str]:
        reading = _Reading(None)
        for _ in self._parsed(reading):
            yield from reading.tables
            reading.tables.clear()

    def _parsed(self, reading: _Reading) -> Iterator[None]:
        """Feeds the content piece by piece."""
        parser = new_parser()
        listen(parser, reading.start, reading.end, reading.data)
        try:
            with self._zip.open("content.xml") as stream:
                while not reading.done:
                    piece = stream.read(_PIECE)
                    parser.Parse(piece, not piece)
                    yield
                    if not piece:
                        return
        except _ERRORS as error:
            raise self._damaged(str(error)) from None

    def _damaged(self, why: str) -> VardataError:
        return fail(
            SheetError, "damaged-workbook", f"the workbook is damaged: {why}",
            "open it in a spreadsheet program and save it again", file=self.path.name,
        )  # fmt: skip

    def _chosen(self, tables: list[str], name: str | None) -> str:
        if not tables:
            raise self._damaged("it has no sheet")
        if name is None:
            return tables[0]
        wanted = name.strip().casefold()
        found = next((table for table in tables if table.strip().casefold() == wanted), None)
        if found is None:
            near = difflib.get_close_matches(name, tables, 1)
            raise fail(
                SheetError, "no-sheet",
                f"there is no sheet {name!r}; there is {', '.join(map(repr, tables))}",
                f"did you mean {near[0]!r}?" if near else "name one of those",
                file=self.path.name,
            )  # fmt: skip
        return found


class _Reading:
    """What expat tells of one table, gathered into rows."""

    def __init__(self, table: str | None) -> None:
        self.table = table
        self.tables: list[str] = []
        self.ready: list[tuple[SheetRow, int]] = []
        self.areas: list[Area] = []  # merged cells, as far as it was read
        self.done = False
        self._inside = self._aside = 0  # depth within the table's cells, and of what is no text
        self._number = 1
        self._text: list[str] = []
        self._in_text = 0
        self._attributes: dict[str, str] = {}
        self._cells: list[str] = []
        self._faults: list[CellFault] = []
        self._column = 0
        self._row: dict[str, str] = {}

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "table:table":
            self.tables.append(attributes.get("table:name", ""))
            self._inside += 1 if self._inside or self.tables[-1] == self.table else 0
            return
        if not self._inside:
            return
        if self._aside or name in ("office:annotation", "draw:frame", "table:shapes"):
            self._aside += 1
        elif name == "table:table-row":
            self._row, self._cells, self._faults, self._column = attributes, [], [], 0
        elif name in ("table:table-cell", "table:covered-table-cell"):
            self._attributes, self._text = attributes, []
        elif name in ("text:p", "text:h"):
            if self._in_text == 0 and self._text:
                self._text.append("\n")
            self._in_text += 1
        elif self._in_text and name == "text:s":
            self._text.append(" " * min(int(attributes.get("text:c", 1)), _MOST_SPACES))
        elif self._in_text and name in ("text:tab", "text:line-break"):
            self._text.append("\t" if name == "text:tab" else "\n")

    def end(self, name: str) -> None:
        if not self._inside:
            return
        if self._aside:
            self._aside -= 1
        elif name == "table:table":
            self._inside -= 1
            self.done = self._inside == 0
        elif name in ("text:p", "text:h"):
            self._in_text -= 1
        elif name in ("table:table-cell", "table:covered-table-cell"):
            self._cell()
        elif name == "table:table-row":
            self._finish_row()

    def data(self, text: str) -> None:
        if self._in_text and not self._aside:
            self._text.append(text)

    def _cell(self) -> None:
        attributes, text = self._attributes, "".join(self._text)
        times = int(attributes.get("table:number-columns-repeated", 1))
        fault = _fault(attributes, text)
        self._merged(attributes)
        if text or fault:
            if self._column + times > _MOST_COLUMNS:
                raise ValueError("a row has more columns than a sheet can have")
            self._cells += [""] * (self._column - len(self._cells)) + [text] * times
            if fault:
                self._faults += [CellFault(self._column + n, *fault, text) for n in range(times)]
        self._column += times

    def _merged(self, attributes: dict[str, str]) -> None:
        """Takes note of a cell that others are merged into (9.1.4)."""
        wide = int(attributes.get("table:number-columns-spanned", 1))
        high = int(attributes.get("table:number-rows-spanned", 1))
        if (wide > 1 or high > 1) and self._column + wide <= _MOST_COLUMNS:
            left, top = self._column, self._number
            self.areas.append(Area(left, top, left + wide - 1, top + high - 1))

    def _finish_row(self) -> None:
        times = int(self._row.get("table:number-rows-repeated", 1))
        if self._cells or self._faults:
            hidden = self._row.get("table:visibility", "visible") != "visible"
            row = SheetRow(self._number, self._cells, tuple(self._faults), hidden)
            self.ready.append((row, times))
        self._number += times


def _fault(attributes: dict[str, str], text: str) -> tuple[str, str, str] | None:
    """Why a cell's text is not certain."""
    if attributes.get("calcext:value-type") == "error" or (
        "table:formula" in attributes and text.startswith(("#", "Err:"))
    ):
        what = f"the cell shows the error {text}"
        return "error-cell", what, "mend the formula or write the value"
    if "table:formula" in attributes and not text and "office:value-type" not in attributes:
        return (
            "uncached-formula", "the cell is a formula without a stored result",
            "open the workbook in a spreadsheet program, save it, and use that file",
        )  # fmt: skip
    if attributes.get("office:value-type") == "float":
        value = attributes.get("office:value", "0")
        if abs(float(value)) >= _TOO_LARGE:
            return (
                "too-many-digits",
                f"the number {value} has more than 15 digits, of which a spreadsheet keeps 15: its "
                "last digits are lost",
                "format the column as text and enter the numbers again, or use a csv file",
            )
    return None
