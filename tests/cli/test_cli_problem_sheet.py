"""The table of a check, and ``--problems``: a copy of the order sheet to be mended in place.

Judges: openpyxl reads the marks; LibreOffice shows the cells of the copy and of the original.
"""

from __future__ import annotations

import csv
import json
import shutil
import subprocess
from pathlib import Path

import openpyxl
from badjob import SHEET, Shop

MEDALS = Path(__file__).resolve().parents[2] / "examples" / "medals"
BAD = '1,43,"Ada,",photos/ada.png,1'


def _as_csv(path: Path, folder: Path) -> str:
    """What LibreOffice shows of the first sheet."""
    subprocess.run(
        [
            "soffice", f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless",
            "--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false",
            "--outdir", str(folder), str(path),
        ],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    return (folder / path.with_suffix(".csv").name).read_text(encoding="utf-8")


def test_the_table_has_a_line_for_each_kind_with_all_its_cases_counted(shop: Shop) -> None:
    shop.write("orders.csv", SHEET.splitlines()[0] + "\n" + "\n".join(
        f"{n},{n},\"{name},\",photos/ada.png,1" for n, name in enumerate(("Ada", "Bo", "Cy"), 1)
    ) + "\n4,4,n/a,photos/ada.png,1\n")  # fmt: skip
    answer = shop.check()
    assert answer.code == 3
    assert answer.out.splitlines() == [
        "level   kind         count  first cases",
        "hold    placeholder      1  sheet 'orders', row 5, column 'Owner': 'n/a' stands for no "
        "text of its own; write what is to be printed, or leave the cell empty",
        "warning edge-marks       3  sheet 'orders', row 2, column 'Owner': the text 'Ada,' ends "
        "with ,, and 2 more (rows 3, 4); take the mark out",
        "4 rows: 3 records for 1 bed; 1 row held, 0 skipped",
    ]


def test_a_csv_becomes_a_workbook_of_texts_with_its_cells_marked(shop: Shop) -> None:
    shop.row(BAD)
    assert shop.check("--problems", "mend.xlsx").code == 0
    sheet = openpyxl.load_workbook(shop.path / "mend.xlsx").active
    rows = [[cell or "" for cell in row] for row in sheet.iter_rows(values_only=True)]
    assert rows[0] == SHEET.splitlines()[0].split(",")
    assert rows[2] == ["1", "43", "Ada,", "photos/ada.png", "1"]
    marked = [cell for row in sheet.iter_rows() for cell in row if cell.comment]
    assert [cell.coordinate for cell in marked] == ["C3"]
    assert marked[0].comment.text == "warning: the text 'Ada,' ends with ,; take the mark out"
    assert marked[0].fill.fgColor.rgb == "00FFEB9C"


def test_json_lines_become_a_workbook_with_their_keys_as_headings(shop: Shop) -> None:
    shop.row(BAD)
    rows = list(csv.reader((shop.path / "orders.csv").read_text().splitlines()))
    lines = [json.dumps(dict(zip(rows[0], row))) for row in rows[1:]]
    shop.write("orders.jsonl", "\n".join(lines) + "\n")
    answer = shop.check("--sheet", "orders.jsonl", "--problems", "mend.xlsx")
    assert answer.code == 0
    assert "sheet 'orders', row 2, column 'Owner': the text 'Ada,' ends with ,;" in answer.out
    sheet = openpyxl.load_workbook(shop.path / "mend.xlsx").active
    assert [[cell or "" for cell in row] for row in sheet.iter_rows(values_only=True)] == rows
    assert [cell.coordinate for row in sheet.iter_rows() for cell in row if cell.comment] == ["C3"]
    assert sheet.freeze_panes == "A2"


def test_the_mended_copy_builds_in_the_sheets_stead(shop: Shop) -> None:
    shop.row("1,43,ditto,photos/ada.png,1")
    assert shop.check("--problems", "mend.xlsx").code == 3
    book = openpyxl.load_workbook(shop.path / "mend.xlsx")
    book.active["C3"] = "Ada"
    book.save(shop.path / "mend.xlsx")
    assert shop.build("--sheet", "mend.xlsx").code == 0


def test_a_copy_that_is_there_is_not_written_over(shop: Shop) -> None:
    shop.write("mend.xlsx", "half mended")
    assert shop.check("--problems", "mend.xlsx") == (
        6, "",
        "mend.xlsx: the file is there already, perhaps half mended; choose another name\n",
    )  # fmt: skip
    assert (shop.path / "mend.xlsx").read_text() == "half mended"


def test_a_copy_has_the_name_of_a_workbook(shop: Shop) -> None:
    for name in ("mend.csv", "mend", "mend.xlsm"):
        assert shop.check("--problems", name) == (
            2, "", f"--problems {name!r} is no name for a workbook; end it in .xlsx\n"
        )  # fmt: skip
        assert not (shop.path / name).exists()


def test_a_workbook_is_copied_as_it_is_shown(shop: Shop, tmp_path: Path) -> None:
    shutil.copytree(MEDALS, tmp_path / "medals", ignore=shutil.ignore_patterns("ledger.*"))
    job, out = tmp_path / "medals" / "job.toml", tmp_path / "mend.xlsx"
    assert shop.call("check", str(job), "--workers", "1", "--problems", str(out)).code == 3
    sheet = openpyxl.load_workbook(out)["Winners"]
    marked = {cell.coordinate: cell.comment.text for row in sheet.iter_rows() for cell in row
              if cell.comment}  # fmt: skip
    assert {row for row in (63, 106, 142) if any(c.endswith(str(row)) for c in marked)} == {
        63, 106, 142,
    }  # fmt: skip
    assert any("there is no blank 'gold'" in text for text in marked.values())
    folder = tmp_path / "csv"
    folder.mkdir()
    assert _as_csv(out, folder) == _as_csv(MEDALS / "winners.xlsx", folder)
    first = out.read_bytes()
    out.unlink()
    assert shop.call("check", str(job), "--workers", "1", "--problems", str(out)).code == 3
    assert out.read_bytes() == first
