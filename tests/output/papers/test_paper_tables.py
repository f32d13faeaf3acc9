"""Pick list and held rows as CSV and xlsx, read back by other programs cell by cell."""

from __future__ import annotations

import csv
import io
import subprocess
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.utils.escape import unescape
from paperkit import AT, HOSTILE, SIXTY_FOUR, make_lines

from vardata.output import sheetxml, xlsxfile
from vardata.output.held import HeldLine, SkippedLine, write_held, write_skipped
from vardata.output.sheetxml import rows_xml, sheet_rows
from vardata.output.tables import csv_rows, headings, pick_rows, write_csv
from vardata.output.xlsxfile import Form, write_xlsx
from vardata.problems import OutputError, Problem, Severity, Where
from vardata.spreadsafe import guard, is_risky, unguard

FIELDS = ("name", "town", "code")
HEAD = headings(FIELDS)


def sample_rows() -> list[list[str]]:
    lines = make_lines(SIXTY_FOUR, 64, names=HOSTILE, orders=HOSTILE[::-1], fields=2)
    return pick_rows(lines, FIELDS)


def chunks(rows: list[list[str]], size: int = 7) -> Iterator[tuple[int, list[list[str]]]]:
    for start in range(0, len(rows), size):
        yield start, rows[start : start + size]


def write_both(folder: Path, rows: list[list[str]]) -> tuple[Path, Path]:
    sheet, table = folder / "picklist.xlsx", folder / "picklist.csv"
    write_xlsx(sheet, HEAD, (rows_xml(part, start) for start, part in chunks(rows)), AT)
    write_csv(table, HEAD, (csv_rows(part) for _, part in chunks(rows)))
    return sheet, table


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All tables in a folder, and the same after LibreOffice has read and written them."""
    folder = tmp_path_factory.mktemp("tables")
    write_both(folder, sample_rows())
    write_held(folder, HELD_HEAD, HELD, AT)
    write_skipped(folder, HELD_HEAD, [SkippedLine(("=1", "0"), 9, "quantity is 0")])
    profile = f"-env:UserInstallation=file://{folder}/profile"
    # Comma, double quote, UTF-8, all cells quoted and as text: LibreOffice's own filter tokens.
    to_csv = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,true,true,false"
    for kind, names in ((to_csv, ("picklist.xlsx", "held.xlsx")), ("xlsx", ("picklist.csv",))):
        subprocess.run(
            ["soffice", profile, "--headless", "--convert-to", kind, "--outdir", folder / "office",
             *(folder / name for name in names)],
            check=True,
            capture_output=True,
        )  # fmt: skip
    return folder


def test_slot_lines_become_rows_in_heading_order() -> None:
    assert HEAD == (
        "bed", "slot", "order", "record", "blank", "name", "town", "code", "file", "page",
    )  # fmt: skip
    row = pick_rows(make_lines(SIXTY_FOUR, 3, fields=2), FIELDS)[2]
    assert row == [
        "3", "A3", "10001", "Orders!4#1", "black anodised", "Екатерина Иванова", "Town 2",
        "https://e.org/3/2", "name-tags-3f9c2a7be1d0-bed-0003-of-0012.pdf", "1",
    ]  # fmt: skip


def test_fields_are_found_by_name_where_a_line_lacks_some() -> None:
    lines = make_lines(SIXTY_FOUR, 1, fields=1)
    assert pick_rows(lines, FIELDS)[0][5:8] == ["Anna Smith", "", "https://e.org/3/0"]


def test_xlsx_by_openpyxl(files: Path) -> None:
    book = openpyxl.load_workbook(files / "picklist.xlsx")
    sheet = book.active
    rows = list(sheet.iter_rows())
    assert tuple(cell.value for cell in rows[0]) == HEAD
    for wanted, cells in zip(sample_rows(), rows[1:], strict=True):
        assert [unescape(cell.value or "") for cell in cells] == wanted
        assert {cell.data_type for cell in cells} <= {"inlineStr", "s", "n"}
        assert all(cell.data_type != "n" or cell.value is None for cell in cells)
        assert all(cell.number_format == "@" for cell in cells)
        assert [bool(cell.quotePrefix) for cell in cells] == [is_risky(text) for text in wanted]
    assert sheet.freeze_panes == "A2"
    assert sheet.auto_filter.ref == f"A1:J{len(rows)}"
    assert sheet.print_title_rows == "$1:$1"
    assert rows[0][0].font.bold
    assert sheet.column_dimensions["I"].width > sheet.column_dimensions["A"].width
    assert book.properties.modified == AT.replace(tzinfo=None)


def test_xlsx_by_pandas(files: Path) -> None:
    frame = pd.read_excel(files / "picklist.xlsx", dtype=str, keep_default_na=False)
    assert tuple(frame.columns) == HEAD
    told = [[unescape(cell) for cell in row] for row in frame.to_numpy().tolist()]
    assert told == sample_rows()


def test_xlsx_by_libreoffice(files: Path) -> None:
    text = (files / "office" / "picklist.csv").read_bytes().decode("utf-8")
    rows = list(csv.reader(io.StringIO(text, newline="")))
    assert tuple(rows[0]) == HEAD
    # LibreOffice ends lines within a cell with LF; all else is exact, NUL and CR included.
    assert rows[1:] == [[cell.replace("\r\n", "\n") for cell in row] for row in sample_rows()]


def test_csv_by_python_and_pandas(files: Path) -> None:
    data = (files / "picklist.csv").read_bytes()
    assert data.startswith(b"\xef\xbb\xbf")
    text = data.decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(text, newline="")))
    assert tuple(rows[0]) == HEAD
    assert rows[1:] == [[guard(cell) for cell in row] for row in sample_rows()]
    assert [[unguard(cell) for cell in row] for row in rows[1:]] == sample_rows()
    # pandas's own reader ends a text at NUL, so it is given the rest.
    table = io.StringIO(text.replace("\0", ""), newline="")
    frame = pd.read_csv(table, dtype=str, keep_default_na=False)
    wanted = [[guard(cell).replace("\0", "") for cell in row] for row in sample_rows()]
    assert frame.to_numpy().tolist() == wanted


def test_csv_opened_by_libreoffice_holds_no_formula(files: Path) -> None:
    book = openpyxl.load_workbook(files / "office" / "picklist.xlsx")
    cells = [cell for row in book.active.iter_rows() for cell in row]
    assert len(cells) > 500
    assert not [cell.coordinate for cell in cells if cell.data_type == "f"]


def test_every_line_end_is_crlf_and_every_cell_quoted() -> None:
    # RFC 4180, 2.1 and 2.5 to 2.7
    assert csv_rows([["a", 'b"c'], ["d\ne", ""]]) == b'"a","b""c"\r\n"d\ne",""\r\n'


def test_half_a_surrogate_is_seen_not_fatal() -> None:
    assert csv_rows([["a\ud800b"]]) == '"a\ufffdb"\r\n'.encode()
    assert b"_xD800_" in rows_xml([["a\ud800b"]], 0)


cells = st.text(max_size=8) | st.text(alphabet="'=+-@\t\r\n \"<&_x0041|é", max_size=8)


@given(st.lists(st.lists(cells, min_size=2, max_size=2), min_size=1, max_size=70))
@settings(max_examples=60)
def test_any_csv_comes_back(rows: list[list[str]]) -> None:
    text = csv_rows(rows).decode("utf-8")
    read = list(csv.reader(io.StringIO(text, newline="")))
    assert [[unguard(cell) for cell in row] for row in read] == rows


@given(st.lists(st.lists(cells, min_size=2, max_size=2), min_size=1, max_size=70))
@settings(max_examples=25, deadline=None)
def test_any_xlsx_comes_back(rows: list[list[str]]) -> None:
    buffer = io.BytesIO()
    write_xlsx(buffer, ("a", "b"), [rows_xml(rows, 0)], AT)  # type: ignore[arg-type]
    sheet = openpyxl.load_workbook(buffer).active
    read = [[unescape(cell or "") for cell in row] for row in sheet.iter_rows(values_only=True)]
    assert read[1:] == rows


def test_an_over_long_cell_is_cut_where_it_can_be_seen(tmp_path: Path) -> None:
    # 32,767 characters are the most that the format's readers take; openpyxl cuts silently.
    path = tmp_path / "long.xlsx"
    texts = ["x" * 32_767, "x" * 32_768, "😀" * 20_000, "\x01" * 9_000]
    write_xlsx(path, ("a",), [rows_xml([[text] for text in texts], 0)], AT)
    read = [row[0] for row in openpyxl.load_workbook(path).active.iter_rows(2, values_only=True)]
    assert read[0] == texts[0]
    note = " [cut: a cell holds 32,767 characters]"
    for text in read[1:]:
        assert len(text.encode("utf-16-le")) // 2 <= 32_767
        assert text.endswith(note)
    # Escaped, each of these takes seven places, and none is cut in two.
    assert unescape(read[3].removesuffix(note)) == "\x01" * ((32_767 - len(note)) // 7)


def test_a_worksheet_too_large_to_open_is_one_clear_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Without ZIP64, which not every reader takes, a zip's entry ends at 2 GiB in Python's zipfile.
    assert xlsxfile._MOST_BYTES < zipfile.ZIP64_LIMIT
    monkeypatch.setattr(xlsxfile, "_MOST_BYTES", 1000)
    with pytest.raises(OutputError) as caught:
        write_xlsx(tmp_path / "big.xlsx", ("a",), [rows_xml([["x" * 500]] * 3, 0)], AT)
    assert "a worksheet of 1 columns has become larger" in str(caught.value)


def test_same_rows_same_bytes_whatever_the_parts(tmp_path: Path) -> None:
    rows = sample_rows()
    first = [path.read_bytes() for path in write_both(tmp_path, rows)]
    sheet, table = tmp_path / "again.xlsx", tmp_path / "again.csv"
    write_xlsx(sheet, HEAD, [rows_xml(rows[:32], 0), b"", rows_xml(rows[32:], 32)], AT)
    write_csv(table, HEAD, [csv_rows(rows)])
    assert table.read_bytes() == first[1]
    with zipfile.ZipFile(sheet) as one, zipfile.ZipFile(tmp_path / "picklist.xlsx") as other:
        assert one.namelist() == other.namelist()
        assert all(one.read(name) == other.read(name) for name in one.namelist())
        assert {info.date_time for info in one.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    write_xlsx(sheet, HEAD, (rows_xml(part, start) for start, part in chunks(rows)), AT)
    assert sheet.read_bytes() == first[0]
    write_xlsx(
        sheet, HEAD, (rows_xml(part, start) for start, part in chunks(rows)),
        datetime(2026, 1, 1, tzinfo=UTC),
    )  # fmt: skip
    assert sheet.read_bytes() != first[0]


def test_the_limit_of_a_sheet() -> None:
    # 1,048,576 rows with the heading: the format's readers (LibreOffice's and others' limit).
    assert sheet_rows(10) == 1_048_575
    assert sheet_rows(40) < 1_048_575  # wide tables: before a part of the zip passes 2 GiB


def test_a_full_sheet_is_followed_by_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sheetxml, "MAX_ROWS", 11)
    rows = [[f"=r{i}", str(i)] for i in range(25)]
    for size in (1, 7, 10, 25):
        parts = (rows_xml(part, start) for start, part in chunks(rows, size))
        path = tmp_path / "split.xlsx"
        assert write_xlsx(path, ("a", "b"), parts, AT, Form("Pick list")) == 25
        book = openpyxl.load_workbook(path)
        assert book.sheetnames == ["Pick list", "Pick list 2", "Pick list 3"]
        tables = [list(sheet.iter_rows(values_only=True)) for sheet in book]
        assert [table[0] for table in tables] == [("a", "b")] * 3
        assert [list(row) for table in tables for row in table[1:]] == rows
        assert [sheet.auto_filter.ref for sheet in book] == ["A1:B11", "A1:B11", "A1:B6"]


def test_no_rows_at_all(tmp_path: Path) -> None:
    for parts in ([], [b""]):
        assert write_xlsx(tmp_path / "none.xlsx", HEAD, parts, AT) == 0
        sheet = openpyxl.load_workbook(tmp_path / "none.xlsx").active
        assert list(sheet.iter_rows(values_only=True)) == [HEAD]


def test_only_one_part_is_held_at_a_time(tmp_path: Path) -> None:
    """The writer asks for a part after it has written the one before."""
    alive: list[int] = []

    def parts() -> Iterator[bytes]:
        for start in range(0, 5000, 50):
            alive.append((tmp_path / "flow.xlsx").stat().st_size)
            yield rows_xml([[f"{i * 7919:x}" * 20] for i in range(start, start + 50)], start)

    write_xlsx(tmp_path / "flow.xlsx", ("a",), parts(), AT)
    assert alive[-1] > alive[50] > alive[1]


HELD_HEAD = ("Name", "Größe", "held: row", "held: what")
HELD = [
    HeldLine(
        ("=Ann", "-5", "old", "old"),
        4,
        (Problem("missing-glyph", Severity.HOLD, "no glyph for 😀", "use another font",
                 Where(sheet="Orders", row=4, column="Name")),),
    ),
    HeldLine(("Bo", "00042", "", ""), 7, (Problem("a", Severity.HOLD, "one", "do this"),)),
    HeldLine(
        ("Bo", "00042", "", ""),
        7,
        (Problem("a", Severity.HOLD, "one", "do this"),
         Problem("b", Severity.HOLD, "two", "do that", Where(field="name", row=7))),
    ),
]  # fmt: skip
HELD_TITLES = [
    "Name", "Größe", "held: row", "held: place", "held: what", "held: how to mend", "held: seal",
]  # fmt: skip
HELD_ROWS = [
    ["=Ann", "-5", "4", "column 'Name'", "no glyph for 😀", "use another font", ""],
    ["Bo", "00042", "7", "1. \n2. field 'name'", "1. one\n2. two", "1. do this\n2. do that", ""],
]


def test_held_rows_keep_the_sheet_and_tell_why(files: Path) -> None:
    sheet = openpyxl.load_workbook(files / "held.xlsx").active
    rows = [[cell or "" for cell in row] for row in sheet.iter_rows(values_only=True)]
    assert rows == [HELD_TITLES, *HELD_ROWS]
    assert all(cell.number_format == "@" for row in sheet.iter_rows() for cell in row)
    text = (files / "held.csv").read_bytes().decode("utf-8-sig")
    read = list(csv.reader(io.StringIO(text, newline="")))
    assert read == [HELD_TITLES, ["'=Ann", "'-5", *HELD_ROWS[0][2:]], HELD_ROWS[1]]
    office = (files / "office" / "held.csv").read_bytes().decode("utf-8")
    assert list(csv.reader(io.StringIO(office, newline=""))) == [HELD_TITLES, *HELD_ROWS]


def test_skipped_rows_are_listed(files: Path) -> None:
    text = (files / "skipped.csv").read_bytes().decode("utf-8-sig")
    read = list(csv.reader(io.StringIO(text, newline="")))
    assert read == [
        ["Name", "Größe", "skipped: row", "skipped: reason"],
        ["'=1", "0", "9", "quantity is 0"],
    ]


def test_nothing_held_gives_files_with_headings_only(tmp_path: Path) -> None:
    assert write_held(tmp_path, ("Name",), [], AT) == 0
    assert write_skipped(tmp_path, ("Name",), []) == 0
    sheet = openpyxl.load_workbook(tmp_path / "held.xlsx").active
    assert [row[0] for row in sheet.iter_rows(values_only=True)] == ["Name"]
    assert (tmp_path / "held.csv").read_bytes().count(b"\r\n") == 1
    assert (tmp_path / "skipped.csv").read_bytes().count(b"\r\n") == 1
