"""What the command says of order sheets that it cannot read, and that it leaves nothing behind.

The exit code is the one that README.md promises. Workbooks are written by openpyxl, then spoilt.
"""

from __future__ import annotations

import io
import zipfile

import pytest
from badjob import HEADING, SHEET, Shop, Spoil, every, same, swap, write
from openpyxl import Workbook

SHEET_FILE = 5
ROW = "sheet 'orders', row 1: "
HEADINGS = "the headings are 'Order', 'Asset no', 'Owner', 'Photo', 'Pieces'"
SAVE = "; open it in a spreadsheet program and save it again"
PAGE = b"\n<!DOCTYPE html>\n<html><body><table><tr><td>Order</td></tr></table></body></html>\n"
ORDERS_PART = "xl/worksheets/sheet1.xml"


def workbook() -> bytes:
    """The good sheet as a workbook, every cell a text."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Orders"
    for line in SHEET.splitlines():
        sheet.append(line.split(","))
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def cut(part: str, length: int) -> bytes:
    """The workbook with one part cut off, in a package that is whole."""
    data = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook())) as old, zipfile.ZipFile(data, "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name)[:length] if name == part else old.read(name))
    return data.getvalue()


def flipped() -> bytes:
    """The workbook, not packed, with one bit turned over: 00042 becomes 00043."""
    data = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook())) as old, zipfile.ZipFile(data, "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name))
    assert data.getvalue().count(b"00042") == 1
    return data.getvalue().replace(b"00042", b"00043")


def xlsx(data: bytes, sheet: str = "") -> Spoil:
    named = f'[sheet]\nsheet = "{sheet}"\n' if sheet else "[sheet]\n"
    return every(
        write("orders.xlsx", data), swap("job.toml", '[sheet]\nfile = "orders.csv"\n',
                                         f'{named}file = "orders.xlsx"\n'),
    )  # fmt: skip


def suffix(name: str) -> Spoil:
    return every(write(name, "x"), swap("job.toml", '"orders.csv"', f'"{name}"'))


def headings(old: str, new: str) -> Spoil:
    assert old in HEADING
    return write("orders.csv", SHEET.replace(old, new))


def sheet_key(line: str) -> Spoil:
    return swap("job.toml", "[sheet]\n", f"[sheet]\n{line}\n")


CASES: list[tuple[str, Spoil, list[str]]] = [
    # ------------------------------------------------------------ the file
    ("empty", write("orders.csv", ""), ["orders.csv: the file is empty; save it again"]),
    ("empty lines", write("orders.csv", "\n\n"),
     ["orders.csv, sheet 'orders': the sheet is empty; check that it is the right sheet and "
      "file"]),
    ("headings only", write("orders.csv", HEADING),
     ["orders.csv, sheet 'orders': there is no row of data below the headings in row 1; check "
      "sheet and header_row under [sheet]"]),
    ("heading row beyond the end", sheet_key("header_row = 9"),
     ["orders.csv, sheet 'orders': the sheet ends at row 4, before its heading row 9; "
      "the headings seem to stand in row 1: write header_row = 1 under [sheet]"]),
    ("old workbook", suffix("orders.xls"),
     ["orders.xls: an old .xls workbook cannot be read as an order sheet; save it as .xlsx, or "
      "export it as .csv in UTF-8"]),
    ("letter", suffix("orders.docx"),
     ["orders.docx: a .docx file cannot be read as an order sheet; save it as .xlsx, or export it "
      "as .csv in UTF-8"]),
    ("no suffix", suffix("orders"),
     ["orders: a file without a suffix cannot be read as an order sheet; save it as .xlsx, or "
      "export it as .csv in UTF-8"]),
    # 0xEB is the letter with two dots in Windows-1252.
    ("not the encoding that is named", every(
        write("orders.csv", SHEET.replace("Ada", "Zoë").encode("cp1252")),
        sheet_key('encoding = "utf-8"')),
     ["orders.csv:2: this line is not utf-8, which the job says it is (first at byte 0xEB); name "
      'the encoding under [sheet], such as encoding = "cp1252", or save it as UTF-8']),
    ("UTF-16 without its mark", write("orders.csv", SHEET.encode("utf-16-le")),
     ["orders.csv: every other byte is 0, as in UTF-16, but the mark at the start is missing; "
      'name the encoding under [sheet], such as encoding = "utf-16-le", or save it as UTF-8']),
    ("quote that stays open", write("orders.csv", SHEET.replace("Grace", '"Grace')),
     ["orders.csv:3, sheet 'orders', row 3: a quote that is opened in this row is never closed, so "
      "the rows cannot be told apart; close the quote, or double each quote that is part of a "
      "text"]),
    # ------------------------------------------------------------ its headings
    ("heading twice", headings("Pieces", "Owner"),
     [ROW + "the quantity column 'Pieces' is not there; the headings are 'Order', 'Asset no', "
      "'Owner', 'Photo', 'Owner'; set quantity under [records] to a heading of the sheet",
      ROW + "heading 'Owner' of column 'owner' is there more than once: 'Owner' in C and 'Owner' "
      "in E; give each its own heading in the sheet"]),
    ("column misspelt", headings("Asset no", "Asset number"),
     [ROW + "column 'number' of the job has heading 'Asset no', which is not there; the headings "
      "are 'Order', 'Asset number', 'Owner', 'Photo', 'Pieces'; did you mean 'Asset number'? If "
      "not, write the heading as it is in the sheet"]),
    ("column missing", headings("Photo", "Bild"),
     [ROW + "column 'photo' of the job has heading 'Photo', which is not there; the headings are "
      "'Order', 'Asset no', 'Owner', 'Bild', 'Pieces'; write the heading as it is in the sheet"]),
    ("quantity missing", headings("Pieces", "Qty"),
     [ROW + "the quantity column 'Pieces' is not there; the headings are 'Order', 'Asset no', "
      "'Owner', 'Photo', 'Qty'; set quantity under [records] to a heading of the sheet"]),
    ("column of a template unknown", swap("tag.toml", '"{{ owner }}"', '"{{ ownr }}"'),
     [ROW + f"the layout uses column 'ownr', which is not there; {HEADINGS}; did you mean "
      "{{ owner }}? If not, add the column, or name its heading under [columns]"]),
    ("column of a template in capitals", swap("tag.toml", '"{{ owner }}"', '"{{ Owner }}"'),
     [ROW + "the layout uses column 'Owner', which is no name for templates; write {{ owner }} in "
      "the layout"]),
    ("wrong heading row", sheet_key("header_row = 2"),
     ["sheet 'orders', row 2: none of the job's columns is in this heading row; the headings are "
      "'1001', '00042', 'Ada Byron', 'photos/ada.png', '1'; the headings seem to stand in "
      "row 1: write header_row = 1 under [sheet]"]),
    ("wrong delimiter", sheet_key('delimiter = ";"'),
     [ROW + "none of the job's columns is in this heading row; the headings are 'Order,Asset "
      "no,Owner,Photo,Pieces'; check file, sheet, header_row and delimiter under [sheet]"]),
    # ------------------------------------------------------------ workbooks
    ("no workbook", xlsx(b"hello"),
     [f"orders.xlsx: the file is not an .xlsx workbook, or is damaged{SAVE}"]),
    ("workbook cut off", xlsx(workbook()[:-300]),
     [f"orders.xlsx: the file is not an .xlsx workbook, or is damaged{SAVE}"]),
    ("text called a workbook", xlsx(SHEET.encode()),
     ["orders.xlsx: the file is a table as text, not an .xlsx workbook; rename it to end in .csv"]),
    ("web page called a workbook", xlsx(PAGE),
     ["orders.xlsx: the file is a web page, not an .xlsx workbook; rename it to end in .html, open "
      "it in a spreadsheet program and save it as .xlsx"]),
    ("web page called a text", write("orders.csv", PAGE),
     ["orders.csv: the file is a web page, not a table as text; rename it to end in .html, open it "
      "in a spreadsheet program and save it as .xlsx"]),
    # [MS-CFB] 2.2: the first eight bytes of an OLE file, in which a protected workbook is kept
    ("workbook with a password", xlsx(bytes.fromhex("D0CF11E0A1B11AE1") + bytes(600)),
     ["orders.xlsx: the workbook is protected with a password, or is an old .xls under a new "
      "name; take the password off, or save it as .xlsx"]),
    ("no such worksheet", xlsx(workbook(), "Order"),
     ["orders.xlsx: there is no sheet 'Order'; there is 'Orders'; did you mean 'Orders'?"]),
    ("worksheet cut off", xlsx(cut(ORDERS_PART, 400)),
     ["orders.xlsx: the workbook is damaged: sheet 'Orders' cannot be read after row 0 …"]),
    ("list of worksheets cut off", xlsx(cut("xl/workbook.xml", 100)),
     ["orders.xlsx: the workbook is damaged: xl/workbook.xml is not well-formed …"]),
    ("one bit turned over", xlsx(flipped()),
     ["orders.xlsx: the workbook is damaged: sheet 'Orders' cannot be read after row …"]),
]  # fmt: skip


@pytest.mark.parametrize(("spoil", "lines"), [case[1:] for case in CASES],
                         ids=[case[0] for case in CASES])  # fmt: skip
def test_a_sheet_that_cannot_be_read_is_told_and_nothing_is_written(
    shop: Shop, spoil: Spoil, lines: list[str]
) -> None:
    spoil(shop)
    before = shop.state()
    for answer in (shop.build(), shop.check(), shop.preview()):
        assert same(answer.lines, lines), answer.err
        assert (answer.code, answer.out) == (SHEET_FILE, "")
    assert shop.state() == before


def test_the_workbook_that_is_spoilt_is_good(shop: Shop) -> None:
    xlsx(workbook(), "Orders")(shop)
    assert shop.check() == (0, "3 rows: 4 records for 1 bed; 0 rows held, 0 skipped\n", "")


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("order.csv", "order.csv: there is no such order sheet; did you mean 'orders.csv'?"),
        ("zzz.xlsx", "zzz.xlsx: there is no such order sheet; check the name and the folder you "
         "are in"),
        ("photos", "photos: it is a folder, not a file; name the file in it"),
    ],
)  # fmt: skip
def test_a_sheet_of_the_call_that_is_not_there(shop: Shop, name: str, line: str) -> None:
    assert shop.check("--sheet", name) == (SHEET_FILE, "", line + "\n")


def test_a_sheet_that_is_not_there_beside_a_wrong_job_is_a_fault_of_the_job(shop: Shop) -> None:
    shop.swap("job.toml", 'blank = "black"', 'blank = "blak"')
    answer = shop.check("--sheet", "zzz.xlsx")
    assert (answer.code, len(answer.lines)) == (4, 2)


def test_a_guessed_encoding_is_a_warning_with_what_it_shows(shop: Shop) -> None:
    shop.write("orders.csv", SHEET.replace("Ada", "Zoë").encode("cp1252"))
    answer = shop.check()
    assert answer.code == 0 and answer.err == ""
    assert answer.out.splitlines()[:2] == [
        "level   kind              count  first cases",
        "warning guessed-encoding      1  orders.csv: the file is not UTF-8; it is read as cp1252, "
        "which is a guess and shows 'Zoë'; name the encoding under [sheet], such as encoding = "
        "\"cp1257\", if letters are wrong",
    ]
