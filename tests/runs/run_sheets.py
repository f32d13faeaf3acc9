"""What an order sheet asks for and shows, read without the program under test.

CSV by Python's csv module; workbooks by openpyxl (values) and by LibreOffice (the text that
a cell displays). Templates and columns are taken from the example's own files.
"""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import openpyxl
from run_kit import Run, judge

_LOCALE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry"
 xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale"
 oor:op="fuse"><value>{}</value></prop></item></oor:items>"""
_COLUMN = re.compile(r"\{\{\s*(\w+)\s*\}\}")


class SheetRow(NamedTuple):
    """A row of the order sheet: its number, the pieces it asks for, its cells as displayed."""

    number: int
    pieces: int
    shown: dict[str, str]


class OrderSheet:
    """Rows by their number; records are named ``sheet!row#piece``."""

    def __init__(self, run: Run, name: str, rows: Iterator[SheetRow]) -> None:
        self.name = name
        self.rows = {row.number: row for row in rows}
        self._job, self._layout = run.toml("job"), run.toml("layout")
        self._code_columns = {
            name
            for name, column in self._job["columns"].items()
            if isinstance(column, dict) and column.get("kind") == "code"
        }

    def records(self) -> list[str]:
        """Keys of all pieces that the sheet asks for."""
        return [
            f"{self.name}!{row.number}#{piece + 1}"
            for row in self.rows.values()
            for piece in range(row.pieces)
        ]

    def row(self, record: str) -> SheetRow:
        match = re.fullmatch(rf"{re.escape(self.name)}!(\d+)#\d+", record)
        assert match, f"{record} is no record of sheet {self.name}"
        return self.rows[int(match[1])]

    def order(self, row: SheetRow) -> str:
        return row.shown[self._heading(self._job["records"]["order"])]

    def blank(self, row: SheetRow) -> tuple[str, dict[str, Any]] | None:
        """Key and settings of the blank that a row chooses; None if there is no such blank."""
        blanks = self._job["blanks"]
        column = self._job["records"].get("blank")
        if column is None:
            return self._job["blank"], blanks[self._job["blank"]]
        wanted = row.shown[self._heading(column)].strip().casefold()
        for key, blank in blanks.items():
            names = (key, blank.get("label", ""), *blank.get("match", ()))
            if wanted in [name.casefold() for name in names]:
                return key, blank
        return None

    def texts(self, row: SheetRow) -> dict[str, str]:
        """What each text and code field of the layout must say, by the field's name."""
        fields = [f for f in self._layout["fields"] if f["type"] in ("text", "code")]
        return {field["name"]: self._filled(field["text"], row) for field in fields}

    def _filled(self, template: str, row: SheetRow) -> str:
        text = _COLUMN.sub(lambda match: self._value(match[1], row), template)
        assert "{" not in text, f"the template {template!r} is more than this test can read"
        return text

    def _value(self, column: str, row: SheetRow) -> str:
        shown = row.shown[self._heading(column)]
        return shown if column in self._code_columns else tidy(shown)

    def _heading(self, column: str) -> str:
        named = self._job["columns"].get(column, column)
        return str(named["heading"] if isinstance(named, dict) else named)


def tidy(text: str) -> str:
    """Composed form, one space between words: all that may be changed in a name."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def csv_sheet(run: Run) -> OrderSheet:
    """An order sheet that is a CSV file, a piece a row."""
    path = run.home / run.toml("job")["sheet"]["file"]
    assert "quantity" not in run.toml("job").get("records", {}), "this reader knows no quantity"
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = [SheetRow(n, 1, dict(row)) for n, row in enumerate(csv.DictReader(file), 2)]
    return OrderSheet(run, path.stem, iter(rows))


def xlsx_sheet(run: Run, displayed: Path) -> OrderSheet:
    """An order sheet that is a workbook; ``displayed`` is what LibreOffice made of it."""
    job = run.toml("job")
    quantity = job["records"]["quantity"]
    name = job["sheet"]["sheet"]
    book = openpyxl.load_workbook(run.home / job["sheet"]["file"], data_only=True)
    values = list(book[name].iter_rows(values_only=True))
    with displayed.open(encoding="utf-8", newline="") as file:
        shown = list(csv.reader(file))
    headings = [str(value) for value in values[0]]
    assert shown[0] == headings and len(shown) == len(values)

    def rows() -> Iterator[SheetRow]:
        for number, (cells, texts) in enumerate(zip(values[1:], shown[1:]), 2):
            pieces = cells[headings.index(quantity)]
            assert isinstance(pieces, int), f"row {number}: {pieces!r} pieces"
            yield SheetRow(number, pieces, dict(zip(headings, texts)))

    return OrderSheet(run, name, rows())


def displayed_csv(run: Run, folder: Path) -> Path:
    """The workbook's sheet as LibreOffice displays it, saved as CSV."""
    job = run.toml("job")
    source = run.home / job["sheet"]["file"]
    assert openpyxl.load_workbook(source, read_only=True).sheetnames[0] == job["sheet"]["sheet"]
    user = folder / "profile" / "user"  # a profile of its own keeps it apart from any other
    user.mkdir(parents=True)
    locale = _LOCALE.format(job["locale"].replace("_", "-"))
    (user / "registrymodifications.xcu").write_text(locale, encoding="utf-8")
    judge(
        "soffice", f"-env:UserInstallation={user.parent.as_uri()}", "--headless", "--convert-to",
        # 44 comma, 34 quote, 76 UTF-8: cells are saved as shown unless said otherwise.
        "csv:Text - txt - csv (StarCalc):44,34,76,1", "--outdir", folder, source, quiet=False,
    )  # fmt: skip
    return folder / f"{source.stem}.csv"
