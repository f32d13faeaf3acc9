"""Order sheets of every kind: headings that are not on top, hidden rows, .ods, JSON lines,
databases. Judges: LibreOffice shows and converts sheets; SQLAlchemy and sqlite3 make databases.
"""

from __future__ import annotations

import csv
import sqlite3
import zipfile
from pathlib import Path
from typing import Any

import pytest
from intake_office import convert
from intake_setups import book, opened, outcome, written

from vardata.job.query import query_rows
from vardata.problems import VardataError

TITLED = [["Night Run 2026"], ["exported", "2026-10-31"], [], ["Order", "Name"], ["A1", "Ann"]]
ROLES: dict[str, Any] = {"records": {"order": "Order"}}
FOUND = (
    "note: sheet '{}', row 4: the headings are taken from row 4; set header_row under [sheet] if "
    "another row holds them"
)


# ---------------------------------------------------------------- headings


def test_headings_below_titles_are_found_in_a_workbook(tmp_path: Path) -> None:
    assert outcome(opened(book(tmp_path, TITLED), "name", **ROLES)) == [
        "Orders!5#1 A1/ A1 | Ann", FOUND.format("Orders"),
    ]  # fmt: skip


@pytest.mark.parametrize("delimiter", ",;\t")
def test_headings_below_titles_are_found_in_a_text(delimiter: str, tmp_path: Path) -> None:
    text = "\n".join(delimiter.join(row) for row in TITLED)
    assert outcome(opened(written(tmp_path, text), "name", **ROLES)) == [
        "sheet!5#1 A1/ A1 | Ann", FOUND.format("sheet"),
    ]  # fmt: skip


def test_headings_that_are_stated_are_not_looked_for(tmp_path: Path) -> None:
    with pytest.raises(VardataError) as caught:
        opened(book(tmp_path, TITLED), "name", sheet={"header_row": 1}, **ROLES)
    assert "the headings are 'Night Run 2026'" in str(caught.value)


def test_an_empty_first_sheet_names_the_others(tmp_path: Path) -> None:
    def change(workbook: Any, _sheet: Any) -> None:
        workbook.create_sheet("Winners").append(["Nom"])
        workbook.create_sheet("Prices")

    with pytest.raises(VardataError) as caught:
        opened(book(tmp_path, [], change), "name")
    assert str(caught.value) == (
        "sheet.xlsx, sheet 'Orders': the sheet is empty; name another under [sheet]: 'Winners', "
        "'Prices'"
    )


def test_an_empty_first_sheet_names_the_one_with_the_headings(tmp_path: Path) -> None:
    def change(workbook: Any, _sheet: Any) -> None:
        workbook.create_sheet("Prices")
        workbook.create_sheet("Winners").append(["Name"])

    with pytest.raises(VardataError) as caught:
        opened(book(tmp_path, [], change), "name")
    assert str(caught.value) == (
        "sheet.xlsx, sheet 'Orders': the sheet is empty; the headings seem to stand in sheet "
        "'Winners': write sheet = \"Winners\" under [sheet]"
    )


# ---------------------------------------------------------------- hidden rows

HIDDEN = {
    None: ["Orders!2#1 / Ann", "Orders!3#1 / Bo", "warning: sheet 'Orders', row 3: one hidden row "
           "is read like any other; write hidden_rows = \"skip\" or \"use\" under [sheet]"],
    "use": ["Orders!2#1 / Ann", "Orders!3#1 / Bo"],
    "skip": ["Orders!2#1 / Ann", "Orders!3 skipped: the row is hidden in the sheet"],
}  # fmt: skip


@pytest.mark.parametrize("choice", HIDDEN)
def test_hidden_rows_are_asked_about(choice: str | None, tmp_path: Path) -> None:
    def change(_workbook: Any, sheet: Any) -> None:
        sheet.row_dimensions[3].hidden = True
        sheet.row_dimensions[4].hidden = True  # empty: nothing to say

    path = book(tmp_path, [["Name"], ["Ann"], ["Bo"]], change)
    sheet = {} if choice is None else {"hidden_rows": choice}
    assert outcome(opened(path, "name", sheet=sheet)) == HIDDEN[choice]


def test_rows_that_a_filter_hides_are_hidden_in_an_ods_too(tmp_path: Path) -> None:
    def change(_workbook: Any, sheet: Any) -> None:
        sheet.row_dimensions[3].hidden = True

    path = book(tmp_path, [["Name"], ["Ann"], ["Bo"], ["Cy"]], change)
    convert(path, "ods", tmp_path)
    ods = tmp_path / "out" / "sheet.ods"
    assert outcome(opened(ods, "name", sheet={"hidden_rows": "skip"})) == [
        "Orders!2#1 / Ann", "Orders!3 skipped: the row is hidden in the sheet", "Orders!4#1 / Cy",
    ]  # fmt: skip


# ---------------------------------------------------------------- OpenDocument


def test_an_ods_shows_what_libreoffice_shows(tmp_path: Path) -> None:
    import datetime as dt

    cells: list[tuple[Any, str]] = [
        (42, "00000"), (0.125, "0.0%"), (1234.5, "#,##0.00"), (dt.date(2026, 10, 31), "dd.mm.yyyy"),
        (True, "General"), ("=1+1", "General"), ("two  blanks", "@"), ("a\nb", "@"), (0.5, "# ?/?"),
        (dt.time(9, 30), "hh:mm"), (-7, '0;"minus "0'), ("Zoë", "@"), (1e10, "0.00E+00"),
    ]  # fmt: skip

    def change(_workbook: Any, sheet: Any) -> None:
        for row, (value, code) in enumerate(cells, 2):
            sheet.cell(row, 1, value).number_format = code
        sheet.column_dimensions["A"].width = 40

    path = book(tmp_path, [["Value"]], change)
    convert(path, "ods", tmp_path)
    convert(path, "csv:Text - txt - csv (StarCalc):44,34,76,1", tmp_path)
    with (tmp_path / "out" / "sheet.csv").open(encoding="utf-8", newline="") as file:
        shown = [row[0] for row in csv.reader(file)][1:]
    intake = opened(tmp_path / "out" / "sheet.ods", "value", "value")
    found = {row.row: row.values[0] for row in intake if not isinstance(row, str)}
    assert [found[row] for row in range(2, 2 + len(cells))] == shown


def ods(folder: Path, rows: str, **parts: str) -> Path:
    """An OpenDocument sheet with these rows, as little of it as the format asks for."""
    head = (
        '<office:document-content xmlns:office="o" xmlns:table="t" xmlns:text="x" xmlns:c="c">'
        '<office:body><office:spreadsheet><table:table table:name="Orders">'
    )
    tail = (
        '</table:table><table:table table:name="Prices"/></office:spreadsheet></office:body>'
        "</office:document-content>"
    )
    path = folder / "sheet.ods"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("content.xml", head + rows + tail)
        for name, text in parts.items():
            archive.writestr(name.replace("__", "/").replace("_", "."), text)
    return path


def row(*cells: str, more: str = "") -> str:
    return f"<table:table-row {more}>{''.join(cells)}</table:table-row>"


def cell(text: str, more: str = "") -> str:
    inside = f"<text:p>{text}</text:p>" if text else ""
    return f"<table:table-cell {more}>{inside}</table:table-cell>"


def test_an_ods_tells_what_is_not_certain_and_counts_repeated_cells(tmp_path: Path) -> None:
    rows = [
        row(cell("Name"), cell("No")),
        row(cell("Ann"), cell("7"), more='table:number-rows-repeated="2"'),
        row(cell("", 'table:number-columns-repeated="2"'), more='table:number-rows-repeated="99"'),
        row(cell("Bo"), cell("1E16", 'office:value-type="float" office:value="1e16"')),
        row(cell("Cy"), cell("", 'table:formula="of:=1"')),
        row(cell("Di"), cell("#N/A", 'table:formula="of:=1"')),
        row(cell("Ed<text:s text:c='2'/>x"), cell("<text:span>8</text:span>")),
    ]
    where = "held Orders!{0}: sheet 'Orders', row {0}, column 'No': "
    lines = outcome(opened(ods(tmp_path, "".join(rows)), "name no", "name no"))
    assert lines == [
        "Orders!2#1 / Ann | 7",
        "Orders!3#1 / Ann | 7",
        where.format(103) + "the number 1e16 has more than 15 digits, of which a spreadsheet keeps "
        "15: its last digits are lost; format the column as text and enter the numbers again, or "
        "use a csv file",
        where.format(104) + "the cell is a formula without a stored result; open the workbook in a "
        "spreadsheet program, save it, and use that file",
        where.format(105) + "the cell shows the error #N/A; mend the formula or write the value",
        "Orders!106#1 / Ed  x | 8",
        "note: sheet.ods: the first sheet 'Orders' is read; there is also 'Prices'; name another "
        "under [sheet] if it is meant",
        "note: sheet 'Orders', row 4: 99 empty rows are passed over",
    ]


def test_an_ods_that_is_none_is_told_in_one_line(tmp_path: Path) -> None:
    def said(path: Path, **job: Any) -> str:
        with pytest.raises(VardataError) as caught:
            list(opened(path, "name", **job))
        return str(caught.value)

    manifest = {"META-INF__manifest_xml": "<m><manifest:encryption-data/></m>"}
    assert said(ods(tmp_path, "", **manifest)) == (
        "sheet.ods: the workbook is protected with a password; take the password off"
    )
    assert said(ods(tmp_path, "<table:table-row>")).startswith(
        "sheet.ods: the workbook is damaged: mismatched tag"
    )
    assert said(ods(tmp_path, ""), sheet={"sheet": "Price"}) == (
        "sheet.ods: there is no sheet 'Price'; there is 'Orders', 'Prices'; did you mean 'Prices'?"
    )
    with zipfile.ZipFile(tmp_path / "sheet.ods", "w") as archive:
        archive.writestr("readme.txt", "hello")
    assert said(tmp_path / "sheet.ods") == (
        "sheet.ods: the file is no OpenDocument sheet; save the sheet as .ods, .xlsx or .csv"
    )
    with zipfile.ZipFile(tmp_path / "sheet.ods", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("content.xml", b" " * (300 << 20))
    assert said(tmp_path / "sheet.ods").startswith("sheet.ods: the workbook would unpack from ")


# ---------------------------------------------------------------- JSON lines


def test_json_lines_keep_what_is_written(tmp_path: Path) -> None:
    text = (
        '{"Order": "A1", "Name": "Zo\\u00eb", "No": 00042}\n'.replace("00042", "1.50")
        + '\n{"Order": "A2", "Name": null, "No": 12345678901234567890, "More": true}\n'
        + '{"Order": "A3", "Name": ["a"], "No": "00042"}\n'
    )
    path = written(tmp_path, text, "orders.jsonl")
    assert outcome(opened(path, "name no", "no", **ROLES)) == [
        "orders!1#1 A1/ A1 | Zoë | 1.50 | ",
        "orders!3#1 A2/ A2 |  | 12345678901234567890 | TRUE",
        "held orders!4: sheet 'orders', row 4, column 'Name': the value of 'Name' is a list or an "
        "object; give each value a key of its own",
        "note: sheet 'orders', row 2: one empty row is passed over",
    ]
    stated = opened(path, "name no", "no", sheet={"header_row": 3}, **ROLES)
    assert stated.headings == ("Order", "Name", "No", "More")  # they stand in no row


@pytest.mark.parametrize(("data", "line"), [
    (b'{"a": 1}\n{"a": }\n', "orders.jsonl:2: the line is no JSON (Expecting value); write one "
     "object a line"),
    (b'{"a": 1}\n[1]\n', "orders.jsonl:2: the line holds no object; write "
     '{"heading": "value", ...}'),
    (b'{"a": "\xff"}\n', "orders.jsonl:1: the line is not UTF-8; save the file as UTF-8"),
])  # fmt: skip
def test_a_line_that_is_no_record_is_told(data: bytes, line: str, tmp_path: Path) -> None:
    with pytest.raises(VardataError) as caught:
        opened(written(tmp_path, data, "orders.jsonl"), "a")
    assert (caught.value.exit_code, str(caught.value)) == (5, line)


# ---------------------------------------------------------------- databases


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    path = tmp_path / "shop.db"
    with sqlite3.connect(path) as database:
        database.execute("create table tags (id integer primary key, code text, name text)")
        database.executemany(
            "insert into tags (code, name) values (?, ?)", [("00042", "Zoë"), ("7", None)]
        )
    database.close()
    return path


def test_the_rows_of_a_query_are_an_order_sheet(shop: Path) -> None:
    query = "select code, name from tags order by id desc"
    path = query_rows("sqlite:///shop.db", query, shop.parent, "job.toml")
    assert outcome(opened(path, "code name", "code")) == [
        "query!1#1 / 7 | ", "query!2#1 / 00042 | Zoë",
    ]  # fmt: skip
    again = query_rows("sqlite:///shop.db", query, shop.parent, "job.toml")
    assert again.read_bytes() == path.read_bytes()


@pytest.mark.parametrize(("url", "query", "line"), [
    ("sqlite:///shop.db", "delete from tags", "job.toml, sheet.query: the query is refused: it is "
     "not one SELECT; write one query that begins with SELECT or WITH"),
    ("sqlite:///shop.db", "select 1 order by 1; drop table tags", "job.toml, sheet.query: the "
     "query is refused: it is not one SELECT; write one query that begins with SELECT or WITH"),
    ("sqlite:///shop.db", "select * from tags", "job.toml, sheet.query: the query is refused: it "
     "does not say in which order rows come; end it with ORDER BY a unique column"),
    ("sqlite:///shop.db", "select x from tags order by id", "job.toml, sheet.query: the database "
     "refuses the query: no such column: x; check the query and the database"),
    ("sqlite:///stop.db", "select 1 order by 1", "job.toml, sheet.database: there is no database "
     "file 'stop.db'; check database"),
    ("shop.db", "select 1 order by 1", "job.toml, sheet.database: the database's URL cannot be "
     'understood, or its kind is not known; write it like "sqlite:///shop.db"'),
    ("mysql+pymysql://u:secret@h/d", "select 1 order by 1", "job.toml, sheet.database: the driver "
     "of this database is not installed (pymysql); install the package pymysql"),
])  # fmt: skip
def test_a_query_that_cannot_be_run(shop: Path, url: str, query: str, line: str) -> None:
    with pytest.raises(VardataError) as caught:
        query_rows(url, query, shop.parent, "job.toml")
    assert caught.value.exit_code == 5
    assert "secret" not in str(caught.value)
    assert str(caught.value) == line


def test_a_query_cannot_write(shop: Path) -> None:
    before = shop.read_bytes()
    query = "with gone as (select 1) insert into tags (code) select 'x' order by 1"
    with pytest.raises(VardataError) as caught:
        query_rows("sqlite:///shop.db", query, shop.parent, "job.toml")
    assert "attempt to write a readonly database" in str(caught.value)
    assert shop.read_bytes() == before
    assert not list(shop.parent.glob("shop.db?*"))
