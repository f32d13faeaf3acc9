"""Workbooks made by hand, and damaged ones, with every line that a person gets to read."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from intake_office import convert
from intake_setups import altered, book, opened, outcome, written

from vardata.intake.record import Record
from vardata.intake.strings import SharedStrings, unescape
from vardata.problems import SheetError

SHEET = "xl/worksheets/sheet1.xml"
HEAD = ["No", "Name", "Qty", "Date"]
JOB: dict[str, Any] = {"records": {"order": "No", "quantity": "Qty"}}


def lines(path: Path, needed: str = "name no date", **job: Any) -> list[str]:
    return outcome(opened(path, needed, **{**JOB, **job}))


def where(row: int, column: str) -> str:
    return f"sheet 'Orders', row {row}, column '{column}': "


def test_cells_are_read_as_displayed(tmp_path: Path) -> None:
    def change(_: Any, sheet: Any) -> None:
        sheet["A2"].number_format = "00000"
        sheet["D2"].number_format = "dd/mm/yyyy"
        sheet["A3"].number_format = '"K-"0000'
        sheet["D3"].number_format = "#,##0.00_);(#,##0.00)"
        sheet["D4"].number_format = '"since "@'

    path = book(
        tmp_path,
        [HEAD, [42, "Ann", 1, 45000], [7, True, 1, -1234.5], ["A1", 0.1 + 0.2, 2.0, "May"]],
        change,
    )
    assert lines(path) == [
        "Orders!2#1 00042/ 00042 | Ann | 1 | 15/03/2023",
        "Orders!3#1 K-0007/ K-0007 | TRUE | 1 | (1,234.50)",
        "Orders!4#1 A1/ A1 | 0.3 | 2 | since May",
        "Orders!4#2 A1/ A1 | 0.3 | 2 | since May",
    ]


def test_cells_that_are_not_certain_are_held(tmp_path: Path) -> None:
    def change(_: Any, sheet: Any) -> None:
        sheet["B2"] = "=1+1"
        sheet["B3"] = "#N/A"
        sheet["D5"].number_format = "ggge"
        sheet["D6"].number_format = "yyyy"
        sheet["C7"].number_format = '0" pcs"'

    rows = [HEAD, [1, "", 1, 1], [2, "", 1, 1], [1234567890123456, "a", 1, 1], [4, "b", 1, 9],
            [5, "c", 1, -9], [6, "d", 3, 1]]  # fmt: skip
    path = book(tmp_path, rows, change)
    assert lines(path) == [
        f"held Orders!2: {where(2, 'Name')}the cell is a formula without a stored result; open "
        "the workbook in a spreadsheet program, save it, and use that file",
        f"held Orders!3: {where(3, 'Name')}the cell shows the error #N/A; mend the formula or "
        "write the value",
        f"held Orders!4: {where(4, 'No')}the number 1234567890123456 has more than 15 digits, of "
        "which a spreadsheet keeps 15: its last digits are lost; format the column as text and "
        "enter the numbers again, or use a csv file",
        f"held Orders!5: {where(5, 'Date')}the number 9 cannot be shown: number format 'ggge' "
        "uses 'g', which is not known here; choose a plain number format for the cell, or format "
        "it as text",
        f"held Orders!6: {where(6, 'Date')}the number -9 cannot be shown: a negative date or "
        "time, which a spreadsheet shows as ####; choose a plain number format for the cell, or "
        "format it as text",
        f"held Orders!7: {where(7, 'Qty')}quantity '3 pcs' is not a number; write a whole number "
        "from 0 to 100",
    ]
    assert lines(path, "no")[-2:] == [
        f"warning: {where(2, 'Name')}2 cells cannot be taken as they stand (the first: the cell "
        "is a formula without a stored result), but nothing uses this column; first ''",
        f"warning: {where(5, 'Date')}2 cells cannot be taken as they stand (the first: the number "
        "9 cannot be shown: number format 'ggge' uses 'g', which is not known here), but nothing "
        "uses this column; first '9'",
    ]


def test_a_stored_result_of_a_formula_is_read(tmp_path: Path) -> None:
    path = book(tmp_path, [HEAD, [1, "=A2*2", 1, '=""']])
    convert(path, "xlsx", tmp_path)  # LibreOffice calculates, and stores the results
    assert lines(tmp_path / "out" / "sheet.xlsx") == ["Orders!2#1 1/ 1 | 2 | 1 | "]


def test_a_result_that_may_be_out_of_date_is_a_warning(tmp_path: Path) -> None:
    path = altered(
        book(tmp_path, [HEAD, [1, "=A2*2", 1, ""]]),
        SHEET,
        lambda data: data.replace(b"<f>A2*2</f><v />", b"<f>A2*2</f><v>0</v>").replace(
            b"<f>A2*2</f><v></v>", b"<f>A2*2</f><v>0</v>"
        ),
    )
    assert lines(path) == [
        "Orders!2#1 1/ 1 | 0 | 1 | ",
        f"warning: {where(2, 'Name')}one cell is a formula, and the workbook asks to be "
        "calculated when it is opened: its result ('0') may be out of date; open the workbook in "
        "a spreadsheet program, save it, and use that file",
    ]


def test_merged_hidden_and_stray_cells_are_told(tmp_path: Path) -> None:
    def change(workbook: Any, sheet: Any) -> None:
        sheet.merge_cells("A2:A3")
        sheet.row_dimensions[4].hidden = True
        sheet.column_dimensions["D"].hidden = True
        sheet["G4"] = "note"
        sheet["G6"] = "Total"
        workbook.create_sheet("Other")

    rows = [HEAD, [1, "Ann", 1, "x"], ["", "Bo", 1, "x"], [3, "Cy", 1, "x"]]
    path = book(tmp_path, rows, change)
    assert lines(path) == [
        "Orders!2#1 1/ 1 | Ann | 1 | x",
        f"held Orders!3: {where(3, 'No')}the order is empty, so the piece could not be brought "
        "back to it; write the order in every row, or delete a row that is no item",
        "Orders!4#1 3/ 3 | Cy | 1 | x",
        f"held Orders!6: {where(6, 'G')}the row has values only in columns without a heading; "
        "give the column a heading, or delete the row",
        "note: sheet.xlsx: the first visible sheet 'Orders' is read; there is also 'Other'; name "
        "another under [sheet] if it is meant",
        "warning: sheet 'Orders': one range is merged, first A2:A3: only its first cell has the "
        "value, the others are empty; undo the merging and fill every cell",
        "note: sheet 'Orders': hidden columns are read like any other: D",
        "warning: sheet 'Orders', row 4: one hidden row is read like any other; write hidden_rows "
        "= \"skip\" or \"use\" under [sheet]",
        f"warning: {where(4, 'G')}2 cells have a value but their column has no heading; first "
        "'note'; they are not read; give the column a heading, or empty it",
        "note: sheet 'Orders', row 5: one empty row is passed over",
    ]


def test_dates_that_follow_the_computer_are_noted(tmp_path: Path) -> None:
    def change(_: Any, sheet: Any) -> None:
        sheet["D2"].number_format = "mm-dd-yy"  # the built-in format 14
        sheet["D3"].number_format = "mm-dd-yy"

    path = book(tmp_path, [HEAD, [1, "a", 1, 45000], [2, "b", 1, 45001]], change)
    assert lines(path, locale="de") == [
        "Orders!2#1 1/ 1 | a | 1 | 15.03.2023",
        "Orders!3#1 2/ 2 | b | 1 | 16.03.2023",
        f"note: {where(2, 'Date')}2 cells are shown as the computer's own settings say; first "
        "'45000' is taken as '15.03.2023'; set the job's locale to that of the sheet, or choose a "
        "fixed format for the column",
    ]


def test_the_1904_system(tmp_path: Path) -> None:
    def change(workbook: Any, sheet: Any) -> None:
        workbook.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
        sheet["D2"].number_format = "yyyy-mm-dd"

    # ECMA-376-1, 18.17.4.1: serial 0 of this system is 1904-01-01.
    path = book(tmp_path, [HEAD, [1, "a", 1, 43538]], change)
    assert lines(path) == ["Orders!2#1 1/ 1 | a | 1 | 2023-03-15"]


def test_the_cells_are_those_that_openpyxl_reads(tmp_path: Path) -> None:
    # A foreign reader, on a workbook of a foreign writer with gaps, numbers and texts.
    rows = [["a", "b", "c", "d"]]
    rows += [[f"t{i}" if i % 3 else None, i, None if i % 2 else "x y", i / 4] for i in range(300)]
    convert(book(tmp_path, rows), "xlsx", tmp_path)
    path = tmp_path / "out" / "sheet.xlsx"
    theirs = [
        tuple("" if v is None else f"{v:g}" if isinstance(v, float) else str(v) for v in row)
        for row in openpyxl.load_workbook(path, read_only=True).active.iter_rows(
            min_row=2, values_only=True
        )
    ]
    assert [row.values for row in opened(path) if isinstance(row, Record)] == theirs


@pytest.mark.parametrize(("name", "found"), [(None, "Orders"), ("Other", "Other"), ("other",
                         "Other")])  # fmt: skip
def test_a_sheet_is_chosen(tmp_path: Path, name: str | None, found: str) -> None:
    def change(workbook: Any, _: Any) -> None:
        for row in (["x"], ["y"]):
            (workbook["Other"] if "Other" in workbook else workbook.create_sheet("Other")).append(
                row
            )

    path = book(tmp_path, [["No"], [1]], change)
    assert opened(path, sheet={"sheet": name} if name else {}).sheet == found


def test_a_hidden_first_sheet_is_not_taken(tmp_path: Path) -> None:
    def change(workbook: Any, sheet: Any) -> None:
        sheet.sheet_state = "hidden"
        other = workbook.create_sheet("Seen")
        other.append(["x"])
        other.append(["y"])
        workbook.active = 1

    assert opened(book(tmp_path, [["No"], [1]], change)).sheet == "Seen"


def refused(path: Path, **job: Any) -> str:
    with pytest.raises(SheetError) as caught:
        list(opened(path, **job))
    assert caught.value.exit_code == 5
    (problem,) = caught.value.problems
    return str(problem)


def test_a_missing_sheet_names_the_nearest(tmp_path: Path) -> None:
    path = book(tmp_path, [["No"], [1]])
    assert refused(path, sheet={"sheet": "Ordres"}) == (
        "sheet.xlsx: there is no sheet 'Ordres'; there is 'Orders'; did you mean 'Orders'?"
    )


SAVE = "; open it in a spreadsheet program and save it again"
DAMAGED = "sheet.xlsx: the workbook is damaged: "


@pytest.mark.parametrize(
    ("data", "said"),
    [
        # [MS-CFB] 2.2: the first eight bytes of an OLE file, as of .xls and protected workbooks
        (bytes.fromhex("D0CF11E0A1B11AE1") + b"x" * 600, "the workbook is protected with a "
         "password, or is an old .xls under a new name; take the password off, or save it as "
         ".xlsx"),
        (b"Name\nAnn\n", f"the file is not an .xlsx workbook, or is damaged{SAVE}"),
        (b"PK\x03\x04" + b"x" * 90, f"the file is not an .xlsx workbook, or is damaged{SAVE}"),
        (b"", "the file is empty; save it again"),
    ],
)  # fmt: skip
def test_files_that_are_no_workbook(tmp_path: Path, data: bytes, said: str) -> None:
    assert refused(written(tmp_path, data, "sheet.xlsx")) == f"sheet.xlsx: {said}"


def _zip(**parts: bytes) -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return data.getvalue()


def test_other_packages_are_told_apart(tmp_path: Path) -> None:
    ods = _zip(mimetype=b"application/vnd.oasis.opendocument.spreadsheet")
    assert refused(written(tmp_path, ods, "sheet.xlsx")) == (
        "sheet.xlsx: the file is an OpenDocument file; save the sheet as .xlsx or .csv"
    )
    other = written(tmp_path, _zip(readme=b"hello"), "sheet.xlsx")
    assert refused(other) == (
        "sheet.xlsx: the file is no workbook at all; save the sheet as .xlsx or .csv"
    )
    binary = written(tmp_path, _zip(**{"xl/workbook.bin": b"x"}), "sheet.xlsx")
    assert refused(binary) == "sheet.xlsx: the file is a binary workbook (.xlsb); save it as .xlsx"


def test_a_bursting_workbook_is_refused_before_it_is_unpacked(tmp_path: Path) -> None:
    path = written(tmp_path, _zip(**{SHEET: bytes(201 << 20)}), "sheet.xlsx")
    assert "the workbook would unpack from " in refused(path)


def test_damaged_parts_are_one_line(tmp_path: Path) -> None:
    rows = [HEAD, [1, "a", 1, 1], [2, "b", 1, 1]]

    def hurt(old: bytes, new: bytes, part: str = SHEET) -> str:
        path = altered(book(tmp_path, rows), part, lambda data: data.replace(old, new))
        return refused(path)

    assert hurt(b"</sheetData>", b"").startswith(
        f"{DAMAGED}sheet 'Orders' cannot be read after row 3 (mismatched tag"
    )
    assert hurt(b"<worksheet", b'<!DOCTYPE w [<!ENTITY a "aa">]><worksheet') == (
        f"{DAMAGED}sheet 'Orders' cannot be read after row 0 (it declares a document type){SAVE}"
    )
    assert hurt(b'<row r="3"', b'<row r="2"') == f"{DAMAGED}row 2 comes after row 2{SAVE}"
    assert hurt(b'r="B3"', b'r="A3"') == (
        f"{DAMAGED}sheet 'Orders' cannot be read after row 2 (cell A3 comes out of order){SAVE}"
    )
    assert hurt(b'r="D3"', b'r="XFE3"') == (
        f"{DAMAGED}sheet 'Orders' cannot be read after row 2 (column 'XFE' is beyond the last one "
        f"of a sheet){SAVE}"
    )
    assert hurt(b"<workbook", b"<workbok", "xl/workbook.xml").startswith(
        f"{DAMAGED}xl/workbook.xml is not well-formed"
    )


def test_a_cut_or_flipped_workbook_never_gives_a_traceback(tmp_path: Path) -> None:
    good = book(tmp_path, [HEAD, *([i, f"n{i}", 1, i] for i in range(50))]).read_bytes()
    for at in range(0, len(good), 97):
        for data in (good[:at], good[:at] + bytes([good[at] ^ 0x55]) + good[at + 1 :]):
            path = written(tmp_path, data, "sheet.xlsx")
            try:
                list(opened(path))
            except SheetError as error:
                assert "\n" not in str(error.problems[0])


def test_strict_and_prefixed_workbooks_are_read(tmp_path: Path) -> None:
    # ISO/IEC 29500 Strict uses other namespaces; a writer may also put a prefix on every element.
    main = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    strict = b"http://purl.oclc.org/ooxml/spreadsheetml/main"

    def prefixed(data: bytes) -> bytes:
        data = data.replace(b"</", b"</s:").replace(b"<", b"<s:").replace(b"<s:/s:", b"</s:")
        return data.replace(b"<s:?", b"<?").replace(b'xmlns="' + main, b'xmlns:s="' + strict)

    path = altered(book(tmp_path, [HEAD, [1, "a", 1, "x"]]), SHEET, prefixed)
    assert lines(path) == ["Orders!2#1 1/ 1 | a | 1 | x"]


def test_shared_strings_keep_letters_only() -> None:
    # ECMA-376-1, 18.4.4, 18.4.6, 18.4.8: runs of rich text and phonetic guides.
    part = (
        '<sst xmlns="x"><si><t>plain</t></si><si><r><rPr><b/></rPr><t xml:space="preserve">a '
        '</t></r><r><t>b</t></r></si><si><t>東京</t><rPh sb="0" eb="2"><t>トウキョウ</t></rPh>'
        "</si><si/><si><t>x_x000A_y _x005F_x000A_</t></si></sst>"
    )
    strings = SharedStrings()
    strings.read(io.BytesIO(part.encode()))
    assert [strings[i] for i in range(len(strings))] == ["plain", "a b", "東京", "", "x\ny _x000A_"]
    with pytest.raises(IndexError):
        strings[5]
    with pytest.raises(IndexError):
        strings[-1]


def test_escapes_of_half_characters_stay_as_written() -> None:
    # ECMA-376-1, 22.9.2.19: a character beyond U+FFFF needs both halves.
    assert unescape("_xD83D__xDE00_") == "\U0001f600"
    assert unescape("a_xD83D_") == "a_xD83D_"
    assert unescape("_x00e9_") == "é"
