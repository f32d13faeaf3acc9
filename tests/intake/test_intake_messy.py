"""Messy text files made by hand, with every line that a person gets to read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from intake_setups import ORDERS, opened, outcome, written

from vardata.problems import VardataError

HEAD = "Order,Name,Qty,Blank\n"
ALLOWED = "write a whole number from 0 to 100"
COLUMN = "sheet 'sheet', row {}, column {!r}: "

SHEETS: dict[str, tuple[str, list[str]]] = {
    "clean": (
        HEAD + "A1,Ann,2,black\nA2,Zoë,1,KLAR\n",
        [
            "sheet!2#1 A1/black A1 | Ann | 2 | black",
            "sheet!2#2 A1/black A1 | Ann | 2 | black",
            "sheet!3#1 A2/clear A2 | Zoë | 1 | KLAR",
        ],
    ),
    "leading zeros stay": (
        HEAD + "00042,1E5,01,C\n",
        ["sheet!2#1 00042/clear 00042 | 1E5 | 01 | C"],
    ),
    "white space": (
        HEAD + "A1,\u00a0Zoë   Ng ,1,Black  Tag\nA2,Al\tB,1,black\n",
        [
            "sheet!2#1 A1/black A1 | Zoë Ng | 1 | Black Tag",
            "sheet!3#1 A2/black A2 | Al B | 1 | black",
            "note: sheet 'sheet', row 2, column 'Name': 2 texts had their white space or Unicode "
            "form tidied, first '\\xa0Zoë   Ng ' became 'Zoë Ng'",
            "note: sheet 'sheet', row 2, column 'Blank': one text had its white space or Unicode "
            "form tidied: 'Black  Tag' became 'Black Tag'",
        ],
    ),
    "line breaks stay": (
        HEAD + 'A1,"Ann \r\n Lee\n",1,black\nA2,Bo,1,black\n',
        [
            "sheet!2#1 A1/black A1 | Ann\nLee | 1 | black",
            "sheet!3#1 A2/black A2 | Bo | 1 | black",
            "note: sheet 'sheet', row 2, column 'Name': one text had its white space or Unicode "
            "form tidied: 'Ann \\r\\n Lee\\n' became 'Ann\\nLee'",
        ],
    ),
    "control characters": (
        HEAD + "A1,Ann\x07,1,black\nA2,B\0o,1,black\nA3,C\x85,1,black\n",
        [
            "held sheet!2: " + COLUMN.format(2, "Name") + "the text holds the control character "
            "U+0007, which cannot be printed; take it out, or write the text again",
            "held sheet!3: " + COLUMN.format(3, "Name") + "the text holds the control character "
            "U+0000, which cannot be printed; take it out, or write the text again",
            "held sheet!4: " + COLUMN.format(4, "Name") + "the text holds the control character "
            "U+0085, which cannot be printed; take it out, or write the text again",
        ],
    ),
    "lost and garbled letters": (
        HEAD + "A1,M\ufffdller,1,black\nA2,MÃ¼ller,1,black\nA3,Ann\u200b,1,black\n",
        [
            "held sheet!2: " + COLUMN.format(2, "Name") + "the text holds U+FFFD, the mark of a "
            "letter that was lost in an earlier conversion; write the text again",
            "sheet!3#1 A2/black A2 | MÃ¼ller | 1 | black",
            "sheet!4#1 A3/black A3 | Ann\u200b | 1 | black",
            "warning: sheet 'sheet', row 3, column 'Name': the text 'MÃ¼ller' looks as if it was "
            "read in a wrong encoding before: it may mean 'Müller'; mend the sheet if the letters "
            "are wrong",
            "warning: sheet 'sheet', row 4, column 'Name': the text 'Ann\\u200b' holds characters "
            "that cannot be seen; they are kept; take them out of the sheet if they should not be "
            "there",
        ],
    ),
    "quantities": (
        HEAD + "A1,a,,black\nA2,b,-1,black\nA3,c,1.5,black\nA4,d,two,black\nA5,e,101,black\n"
        'A6,f,0,black\nA7,g,1.0,black\nA8,h,"1,000",black\nA9,i,99999999999999999999,black\n',
        [
            f"held sheet!2: {COLUMN.format(2, 'Qty')}the quantity is empty; {ALLOWED}",
            f"held sheet!3: {COLUMN.format(3, 'Qty')}quantity '-1' is below 0; {ALLOWED}",
            f"held sheet!4: {COLUMN.format(4, 'Qty')}quantity '1.5' is not a whole number; "
            + ALLOWED,
            f"held sheet!5: {COLUMN.format(5, 'Qty')}quantity 'two' is not a number; {ALLOWED}",
            f"held sheet!6: {COLUMN.format(6, 'Qty')}quantity '101' is more than 100; {ALLOWED}, "
            "or raise records.quantity_max in the job",
            "sheet!7 skipped: quantity is 0",
            "sheet!8#1 A7/black A7 | g | 1.0 | black",
            f"held sheet!9: {COLUMN.format(9, 'Qty')}quantity '1,000' can mean 1 or 1,000; "
            "write 1 or 1000",
            f"held sheet!10: {COLUMN.format(10, 'Qty')}quantity '99999999999999999999' is more "
            f"than 100; {ALLOWED}, or raise records.quantity_max in the job",
        ],
    ),
    "orders and blanks": (
        HEAD + ",Ann,1,black\nA2,Bo,1,\nA3,Cy,x,pink\n",
        [
            f"held sheet!2: {COLUMN.format(2, 'Order')}the order is empty, so the piece could not "
            "be brought back to it; write the order in every row, or delete a row that is no item",
            f"held sheet!3: {COLUMN.format(3, 'Blank')}the blank is empty; write one of Black "
            "tag, C",
            f"held sheet!4: {COLUMN.format(4, 'Qty')}quantity 'x' is not a number; {ALLOWED}",
            f"held sheet!4: {COLUMN.format(4, 'Blank')}there is no blank 'pink'; write one of "
            "Black tag, C",
        ],
    ),
    "slipped rows": (
        HEAD + "A1,Lee, Ann,1,black\nA2,Bo,1,black,,\nA3,Cy\n",
        [
            "held sheet!2: sheet 'sheet', row 2: the row has 5 cells, but there are 4 headings; "
            "put quotes around each text that holds the delimiter",
            "sheet!3#1 A2/black A2 | Bo | 1 | black",
            f"held sheet!4: {COLUMN.format(4, 'Qty')}the quantity is empty; {ALLOWED}",
            f"held sheet!4: {COLUMN.format(4, 'Blank')}the blank is empty; write one of Black "
            "tag, C",
            "note: sheet 'sheet', row 4: one row has fewer cells than the headings; the missing "
            "ones are taken as empty",
        ],
    ),
    "stray quotes": (
        HEAD + 'A1,"Ann "Annie" Lee",1,black\nA2,5" disc,1,black\nA3,"a ""b""",1,black\n',
        [
            "held sheet!2: sheet 'sheet', row 2: line 2 of the file has a text after a closing "
            'quote; double each quote that is part of a text ("Ann ""Annie"" Lee") and quote the '
            "whole cell",
            'sheet!3#1 A2/black A2 | 5" disc | 1 | black',
            'sheet!4#1 A3/black A3 | a "b" | 1 | black',
        ],
    ),
    "empty rows": (
        HEAD + "\n , ,\t,\nA1,Ann,1,black\n\n\nA2,Bo,1,black\n,,,\n\n",
        [
            "sheet!4#1 A1/black A1 | Ann | 1 | black",
            "sheet!7#1 A2/black A2 | Bo | 1 | black",
            "note: sheet 'sheet', row 2: 4 empty rows are passed over",
        ],
    ),
    "columns without heading": (
        "Order,Name,,Qty,Blank,\nA1,Ann,,1,black,\nA2,Bo,x,1,black,y\n,,z,,,\n",
        [
            "sheet!2#1 A1/black A1 | Ann | 1 | black",
            "sheet!3#1 A2/black A2 | Bo | 1 | black",
            "held sheet!4: sheet 'sheet', row 4, column 'C': the row has values only in columns "
            "without a heading; give the column a heading, or delete the row",
            "warning: sheet 'sheet', row 3, column 'C': 2 cells have a value but their column has "
            "no heading; first 'x'; they are not read; give the column a heading, or empty it",
            "warning: sheet 'sheet', row 3, column 'F': one cell has a value but its column has "
            "no heading: 'y' is not read; give the column a heading, or empty it",
        ],
    ),
    "a line that names the delimiter": (
        "sep=;\nOrder;Name;Qty;Blank\nA1;Lee, Ann;1;black\n",
        ["sheet!2#1 A1/black A1 | Lee, Ann | 1 | black"],
    ),
    "headings in several lines": (
        '"Order","Na\nme","Qty"," Blank "\nA1,Ann,1,black\n',
        ["sheet!2#1 A1/black A1 | Ann | 1 | black"],
    ),
    "old line ends": (
        "Order,Name,Qty,Blank\rA1,Ann,1,black\rA2,Bo,0,black\r",
        ["sheet!2#1 A1/black A1 | Ann | 1 | black", "sheet!3 skipped: quantity is 0"],
    ),
    "injected formulas are only text": (
        HEAD + "A1,=1+1,1,black\nA2,@x,1,black\nA3,-Ann,1,black\n",
        [
            "sheet!2#1 A1/black A1 | =1+1 | 1 | black",
            "sheet!3#1 A2/black A2 | @x | 1 | black",
            "sheet!4#1 A3/black A3 | -Ann | 1 | black",
            "warning: sheet 'sheet', row 2, column 'Name': the text '=1+1' looks like a formula "
            "that was not worked out; write what it should give",
            "warning: sheet 'sheet', row 4, column 'Name': the text '-Ann' begins with -; take the "
            "mark out",
        ],
    ),
}


@pytest.mark.parametrize("name", SHEETS)
def test_messy_sheet(name: str, tmp_path: Path) -> None:
    text, lines = SHEETS[name]
    needed = "name" if "several" not in name else "na_me"
    path = written(tmp_path, text)
    assert outcome(opened(path, needed, **ORDERS)) == lines


def test_reading_twice_gives_the_same(tmp_path: Path) -> None:
    for text, _ in SHEETS.values():
        intake = opened(written(tmp_path, text), **ORDERS)
        assert outcome(intake) == outcome(intake)


def test_every_hold_carries_its_trail(tmp_path: Path) -> None:
    intake = opened(written(tmp_path, HEAD + "A1,Ann,x,black\n"), "name", **ORDERS)
    (row,) = intake
    (problem,) = row.problems  # type: ignore[union-attr]
    assert (problem.where.sheet, problem.where.row, problem.where.column) == ("sheet", 2, "Qty")
    assert (problem.value, problem.remedy, problem.kind) == ("x", ALLOWED, "bad-quantity")


def test_codes_are_never_touched(tmp_path: Path) -> None:
    text = "Code,Serial,Name\n  A\u00a0 1\t,e\u0301,  x \n\x1dGS, 7 ,y\n"
    job: dict[str, Any] = {"columns": {"serial": {"heading": "Serial", "kind": "code"}}}
    path = written(tmp_path, text)
    intake = opened(path, "name code", "code", **job)
    assert [row.values for row in intake] == [
        ("  A\u00a0 1\t", "e\u0301", "x"),
        ("\x1dGS", " 7 ", "y"),
    ]
    job["columns"]["code"] = {"heading": "Code", "kind": "text"}  # the job's own word goes first
    assert next(iter(opened(path, "name code", "code", **job))).values[0] == "A 1"


def test_a_code_with_a_lost_letter_is_held(tmp_path: Path) -> None:
    intake = opened(written(tmp_path, "Code\nA\ufffd1\n"), "code", "code")
    assert outcome(intake) == [
        "held sheet!2: sheet 'sheet', row 2, column 'Code': the text holds U+FFFD, the mark of a "
        "letter that was lost in an earlier conversion; write the text again"
    ]


def test_a_fault_in_a_column_that_nothing_uses_is_a_warning(tmp_path: Path) -> None:
    path = written(tmp_path, "Name,Remark\nAnn,a\x07\nBo,b\x08\n")
    assert outcome(opened(path, "name")) == [
        "sheet!2#1 / Ann | a\x07",
        "sheet!3#1 / Bo | b\x08",
        "warning: sheet 'sheet', row 2, column 'Remark': 2 cells cannot be taken as they stand "
        "(the first: the text holds the control character U+0007, which cannot be printed), but "
        "nothing uses this column; first 'a\\x07'",
    ]


def line(path: Path, needed: str = "", code: int = 5, **job: Any) -> list[str]:
    with pytest.raises(VardataError) as caught:
        list(opened(path, needed, **job))
    assert caught.value.exit_code == code
    return str(caught.value).split("\n")


def test_an_open_quote_stops_the_reading(tmp_path: Path) -> None:
    path = written(tmp_path, 'Name,City\nAnn,Ulm\n"Bo,Köln\nCy,Bonn\n')
    assert line(path) == [
        "sheet.csv:3, sheet 'sheet', row 3: a quote that is opened in this row is never closed, "
        "so the rows cannot be told apart; close the quote, or double each quote that is part of "
        "a text"
    ]
    path = written(tmp_path, 'Name,City\n"Ann,Ulm\n' + "x,y\n" * 40_000)
    assert line(path) == [
        "sheet.csv:2, sheet 'sheet', row 2: a cell of this row is longer than any text, as after "
        "an open quote, so the rows cannot be told apart; close the quote, or double each quote "
        "that is part of a text"
    ]


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [
        ("a,b\n1;2,3\n4,5\n", ","), ("a;b\n1,2;3\n4;5,6\n", ";"), ("a\tb\n1,2\t3\n", "\t"),
        ("a|b\n1,2|3\n", "|"), ('a,b\n"1;2\n3",4\n', ","), ("Title\n\na;b\n1;2\n", ";"),
    ],
)  # fmt: skip
def test_the_delimiter_is_found(tmp_path: Path, text: str, delimiter: str) -> None:
    row = 3 if text.startswith("Title") else 1
    intake = opened(written(tmp_path, text), sheet={"header_row": row})
    assert intake.headings == ("a", "b"), delimiter


def test_an_unclear_delimiter_is_asked_for(tmp_path: Path) -> None:
    path = written(tmp_path, "Name;Size, colour\nAnn;M, red\n")
    assert line(path) == [
        "sheet.csv: the cells may be divided by semicolon and comma: each cuts every row alike; "
        'name it under [sheet], such as delimiter = ";"'
    ]
    assert opened(path, sheet={"delimiter": ";"}).headings == ("Name", "Size, colour")


def test_a_tsv_is_cut_at_tabs(tmp_path: Path) -> None:
    path = written(tmp_path, "Name, first\nAnn, x\n", "sheet.tsv")
    assert opened(path).headings == ("Name, first",)


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("sheet.csv", "", "the file is empty; save it again"),
        ("sheet.csv", "Name\n", "there is no row of data below the headings in row 1; check sheet "
         "and header_row under [sheet]"),
        ("sheet.csv", "Name\n \n,\n", "there is no row of data below the headings in row 1; check "
         "sheet and header_row under [sheet]"),
        ("sheet.xls", "x", "an old .xls workbook cannot be read as an order sheet; save it as "
         ".xlsx, or export it as .csv in UTF-8"),
        ("sheet.ods", "x", "the file is not an .ods workbook, or is damaged; open it in a "
         "spreadsheet program and save it again"),
        ("sheet.fods", "x", "a flat OpenDocument sheet (.fods) cannot be read as an order sheet; "
         "save it as .xlsx, or export it as .csv in UTF-8"),
        ("sheet.pdf", "x", "a PDF cannot be read as an order sheet; save it as .xlsx, or export "
         "it as .csv in UTF-8"),
        ("sheet", "x", "a file without a suffix cannot be read as an order sheet; save it as "
         ".xlsx, or export it as .csv in UTF-8"),
        ("sheet.csv", "PK\x03\x04", "the file is a workbook, not a .csv text; rename it to end "
         "in .xlsx"),
    ],
)  # fmt: skip
def test_files_that_are_no_sheet(tmp_path: Path, name: str, data: str, said: str) -> None:
    (only,) = line(written(tmp_path, data, name))
    assert only.partition(": ")[2] == said


def test_a_heading_row_beyond_the_end(tmp_path: Path) -> None:
    path = written(tmp_path, "a\nb\n")
    assert line(path, sheet={"header_row": 5}) == [
        "sheet.csv, sheet 'sheet': the sheet ends at row 2, before its heading row 5; set "
        "header_row under [sheet] to the row that holds the headings"
    ]


def test_a_missing_file_names_the_nearest(tmp_path: Path) -> None:
    written(tmp_path, "a\n", "orders.csv")
    (only,) = line(tmp_path / "order.csv")
    assert only.endswith("the order sheet is not there; did you mean 'orders.csv'?")


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    path = written(tmp_path, "Name,Qty\n")
    job = {"records": {"quantity": "Count"}, "blanks": {"a": {"match": ("x",)}, "b": {"match":
           ("X",)}}, "locale": "d"}  # fmt: skip
    job["locale"] = "dx"
    kinds = [part.split(": ")[1].split(";")[0] for part in line(path, "nme", 4, **job)]
    assert kinds == [
        "locale 'dx' is not known",
        "there is no row of data below the headings in row 1",
        "2 columns are not there",
        "'X' names two blanks, 'a' and 'b'",
        "the job has blanks, but nothing says which one a record is printed on",
    ]
