"""Text files of rows: csv, tsv, txt. Finds the delimiter and streams the rows.

In: a path, the job's ``Sheet`` and an encoding that is known to fit. Out: a ``Source``.
Quoting follows RFC 4180, strictly: what a quote means is never guessed. Rows are counted as a
spreadsheet counts them, so a quoted line break does not start a row.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import TextIO

from vardata.intake.source import CellFault, SheetRow
from vardata.intake.tally import Tally
from vardata.intake.textfile import Encoding
from vardata.problems import Problem, SheetError, fail

_CANDIDATES = ",;\t|"
_NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
_SAMPLE_ROWS = 50
_BUFFER = 1 << 18


class DelimitedSource:
    """A text file as a ``Source``."""

    delimited = True

    def __init__(
        self, path: Path, encoding: Encoding, delimiter: str | None, header_row: int
    ) -> None:
        self.path = path
        self.sheet = path.stem
        self.encoding = encoding.name
        self.remarks: list[Problem] = [encoding.remark] if encoding.remark else []
        self.tally = Tally()
        named = self._named_delimiter()
        self._skip = 1 if named else 0  # the line "sep=;" is no row of the sheet
        self.delimiter = delimiter or named or self._sniffed(header_row)

    def _open(self) -> TextIO:
        file = self.path.open(encoding=self.encoding, newline="", buffering=_BUFFER)
        for _ in range(self._skip):
            file.readline()
        return file

    def _named_delimiter(self) -> str:
        """The delimiter that a first line such as "sep=;" names, as some programs write it."""
        with self.path.open(encoding=self.encoding, newline="") as file:
            line = file.readline(16).rstrip("\r\n")
        return line[4] if len(line) == 5 and line[:4].lower() == "sep=" else ""

    def _sniffed(self, header_row: int) -> str:
        """The delimiter that cuts the headings and the first rows into equally many cells."""
        if self.path.suffix.lower() == ".tsv":
            return "\t"
        scores: list[tuple[float, int, str]] = []
        for delimiter in _CANDIDATES:
            with self._open() as file:
                reader = csv.reader(file, delimiter=delimiter)
                try:
                    rows = list(islice(reader, header_row - 1, header_row + _SAMPLE_ROWS))
                except csv.Error:
                    continue  # one huge cell: not cut by this delimiter
            widths = [len(row) for row in rows if any(row)]
            if widths and widths[0] > 1:
                same = sum(width == widths[0] for width in widths) / len(widths)
                scores.append((same, widths[0], delimiter))
        if not scores:
            return ","
        scores.sort(reverse=True)
        best = [score for score in scores if score[:2] == scores[0][:2] or score[0] == 1.0]
        if len(best) > 1:
            found = " and ".join(_NAMES[delimiter] for *_, delimiter in best)
            raise fail(
                SheetError,
                "unclear-delimiter",
                f"the cells may be divided by {found}: each cuts every row alike",
                'name it under [sheet], such as delimiter = ";"',
                file=self.path.name,
            )
        return scores[0][2]

    def rows(self) -> Iterator[SheetRow]:
        """The rows; a row that breaks the rules of quoting comes with a fault."""
        self.tally = Tally()
        number = 0
        with self._open() as file:
            reader = csv.reader(file, delimiter=self.delimiter, strict=True)
            while True:
                start = reader.line_num + 1 + self._skip
                try:
                    for cells in reader:
                        number += 1
                        start = reader.line_num + 1 + self._skip
                        if cells:
                            yield SheetRow(number, cells)
                    return
                except csv.Error as error:
                    number += 1
                    if "unexpected end" in str(error):
                        what = "a quote that is opened in this row is never closed"
                        raise self._unclosed(number, start, what) from None
                    if "field larger" in str(error):
                        what = "a cell of this row is longer than any text, as after an open quote"
                        raise self._unclosed(number, start, what) from None
                    yield SheetRow(number, [], (_quote_fault(start),))

    def sheet_remarks(self, columns: set[int], last_row: int) -> list[Problem]:
        """A text file has no features beyond its cells."""
        return []

    def _unclosed(self, number: int, line: int, what: str) -> Exception:
        return fail(
            SheetError,
            "unclosed-quote",
            f"{what}, so the rows cannot be told apart",
            "close the quote, or double each quote that is part of a text",
            file=self.path.name,
            line=line,
            sheet=self.sheet,
            row=number,
        )


def _quote_fault(line: int) -> CellFault:
    return CellFault(
        -1,
        "stray-quote",
        f"line {line} of the file has a text after a closing quote",
        'double each quote that is part of a text ("Ann ""Annie"" Lee") and quote the whole cell',
    )
