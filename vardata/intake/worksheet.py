"""The cells of a worksheet, streamed: the workbook's ``Source``.

In: a ``Workbook`` and the name of one of its sheets. Out: rows of displayed texts, as they come
in the file; only the shared strings are kept in memory. Rules: ECMA-376 part 1, 18.3.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from pathlib import Path

from vardata.intake.cells import CellReader, Shown
from vardata.intake.locales import Locale
from vardata.intake.mergedheads import merged_headings
from vardata.intake.ranges import column_index, merged_areas, touches
from vardata.intake.rowparse import STREAM_ERRORS, parsed_rows
from vardata.intake.rowscan import Irregular, scanned_rows
from vardata.intake.source import CellFault, SheetRow
from vardata.intake.spread import Spread
from vardata.intake.strings import SharedStrings
from vardata.intake.tally import Tally, quoted
from vardata.intake.workbook import SheetPart, Workbook, true_value
from vardata.letters import letters
from vardata.problems import Problem, Severity, SheetError, VardataError, Where, fail


class WorksheetSource:
    """A sheet of a workbook as a ``Source``."""

    delimited = False

    def __init__(
        self, path: Path, name: str | None, header_row: int, locale: Locale, *,
        locale_stated: bool = True,
    ) -> None:  # fmt: skip
        self.locale_stated = locale_stated
        self.book = Workbook(path, locale)
        self.remarks: list[Problem] = []
        self.tally = Tally()
        self.header_row = header_row
        self._part = self._chosen(name)
        self.sheet = self._part.name
        self.others = [sheet.name for sheet in self.book.sheets if sheet is not self._part]
        strings = SharedStrings()
        if self.book.strings_part:
            try:
                strings.read(self.book.open(self.book.strings_part))
            except STREAM_ERRORS as error:
                raise self.book.damaged(f"the shared texts cannot be read ({error})") from None
        self.reader = CellReader(self.book, strings, locale)
        self.merged: list[str] = []
        self.spreads: list[Spread] = []  # known once the headings are
        self.hidden_columns: list[tuple[int, int]] = []

    def _chosen(self, name: str | None) -> SheetPart:
        sheets = self.book.sheets
        if not sheets:
            raise self.book.damaged("it has no worksheet")
        if name is None:
            chosen = next((sheet for sheet in sheets if not sheet.hidden), sheets[0])
            if chosen is not sheets[0] or len(sheets) > 1:
                others = ", ".join(repr(sheet.name) for sheet in sheets if sheet is not chosen)
                self.remarks.append(
                    Problem(
                        "chosen-sheet",
                        Severity.NOTE,
                        f"the first visible sheet {chosen.name!r} is read; there is also {others}",
                        "name another under [sheet] if it is meant",
                        Where(file=self.book.path.name),
                        chosen.name,
                    )
                )
            return chosen
        exact = next((sheet for sheet in sheets if sheet.name == name), None)
        # Sheet names that differ in case only cannot stand in one workbook.
        wanted = name.strip().casefold()
        found = exact or next((s for s in sheets if s.name.strip().casefold() == wanted), None)
        if found is None:
            names = [sheet.name for sheet in sheets]
            near = difflib.get_close_matches(name, names, 1)
            remedy = f"did you mean {near[0]!r}?" if near else "name one of those"
            listed = ", ".join(map(repr, names))
            raise fail(
                SheetError, "no-sheet", f"there is no sheet {name!r}; there is {listed}", remedy,
                file=self.book.path.name,
            )  # fmt: skip
        return found

    def rows(self) -> Iterator[SheetRow]:
        """The rows with cells. Remarks on the sheet as a whole are complete afterwards.

        The usual form is scanned; a part in any other is parsed from its start, and rows that
        were given already are not given again.
        """
        self._begin()
        last = 0
        try:
            with self.book.open(self._part.part) as stream:
                scan = scanned_rows(stream, self.reader.show, self.remark, self.aside, column_index)
                for row in scan:
                    last = self._in_order(row.number, last)
                    yield row
                return
        except Irregular:
            given, last = last, 0
            hidden = self.tally
            self._begin()
            self.tally.keep(hidden, "hidden-row")  # the reader's own: those rows do not come again
        except STREAM_ERRORS as error:
            raise self._broken(last, error) from None
        try:
            with self.book.open(self._part.part) as stream:
                for row in parsed_rows(stream, self.reader.show, self.remark, self.aside):
                    last = self._in_order(row.number, last)
                    if last > given:
                        yield row
        except STREAM_ERRORS as error:
            raise self._broken(last, error) from None

    def _begin(self) -> None:
        self.tally = Tally()
        self.merged, self.hidden_columns = [], []

    def _in_order(self, number: int, last: int) -> int:
        if number <= last:
            raise self.book.damaged(f"row {number} comes after row {last}")
        return number

    def _broken(self, last: int, error: Exception) -> VardataError:
        return self.book.damaged(f"sheet {self.sheet!r} cannot be read after row {last} ({error})")

    def remark(
        self, shown: Shown | str, row: int, faults: list[CellFault], column: int, raw: str,
        formula: bool,
    ) -> str:  # fmt: skip
        """Note what is to be said of a cell, and give its text."""
        text = shown if isinstance(shown, str) else shown.text
        data = row > self.header_row
        if isinstance(shown, Shown) and shown.kind:
            faults.append(CellFault(column, shown.kind, shown.what, shown.remedy, text))
        elif isinstance(shown, Shown) and data:
            if self.locale_stated:
                self.tally.add("settings", column, row, raw, text)
            else:
                faults.append(_regional(column, raw, text))
        if formula and self.book.stale and data and text:
            self.tally.add("stale-formula", column, row, text, text)
        return text

    def aside(self, name: str, attributes: dict[str, str]) -> None:
        """Take note of elements beside the cells: merged ranges and hidden columns."""
        if name == "mergeCell":
            self.merged.append(attributes.get("ref", ""))
        elif name == "col" and true_value(attributes.get("hidden")):
            first, last = attributes.get("min", ""), attributes.get("max", "")
            if first.isdecimal() and last.isdecimal():
                self.hidden_columns.append((int(first), int(last)))

    def merged_headings(self, header: SheetRow) -> list[str]:
        """The headings with those that stand in merged cells."""
        with self.book.open(self._part.part) as stream:
            areas = merged_areas(stream)
        found = merged_headings(self.sheet, header, areas, self.rows)
        self.spreads = found.spreads
        self.remarks += found.remarks
        return found.cells

    def sheet_remarks(self, columns: set[int], last_row: int) -> list[Problem]:
        """Remarks on merged cells and hidden columns, after reading.

        ``columns`` are the indexes of columns that are kept; headings are left out.
        """
        remarks = []
        merged = [m for m in self.merged if touches(m, columns, self.header_row + 1, last_row)]
        if merged:
            many = f"{len(merged):,} ranges of cells are" if len(merged) > 1 else "one range is"
            remarks.append(
                Problem(
                    "merged-cells",
                    Severity.WARNING,
                    f"{many} merged, first {merged[0]}: only its first cell has the value, "
                    "the others are empty",
                    "undo the merging and fill every cell",
                    Where(sheet=self.sheet),
                    merged[0],
                )
            )
        hidden = [
            letters(i) for i in sorted(columns)
            if any(first <= i + 1 <= last for first, last in self.hidden_columns)
        ]  # fmt: skip
        if hidden:
            remarks.append(
                Problem(
                    "hidden-columns",
                    Severity.NOTE,
                    f"hidden columns are read like any other: {', '.join(hidden)}",
                    where=Where(sheet=self.sheet),
                )
            )
        return remarks


def _regional(column: int, raw: str, text: str) -> CellFault:
    return CellFault(
        column,
        "regional-date",
        f"the cell looks different in each country: {quoted(raw)} is taken as {quoted(text)}",
        "state the locale of the sheet in the job, or choose a fixed format for the column",
        text,
    )
