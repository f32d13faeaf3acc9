"""LibreOffice as a foreign judge: what does another spreadsheet program show for a cell?"""

from __future__ import annotations

import csv
import subprocess
from pathlib import Path
from typing import Any

import openpyxl

_LOCALE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry"
 xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale"
 oor:op="fuse"><value>{}</value></prop></item></oor:items>"""


def convert(path: Path, target: str, folder: Path, locale: str = "en-US") -> None:
    """Have LibreOffice convert a file. A profile of its own keeps it apart from any other."""
    user = folder / f"profile-{locale}" / "user"
    user.mkdir(parents=True, exist_ok=True)
    settings = user / "registrymodifications.xcu"
    if not settings.exists():
        settings.write_text(_LOCALE.format(locale), encoding="utf-8")
    subprocess.run(
        [
            "soffice", f"-env:UserInstallation={user.parent.as_uri()}", "--headless",
            "--convert-to", target, "--outdir", str(folder / "out"), str(path),
        ],
        check=True,
        capture_output=True,
        timeout=180,
    )  # fmt: skip


def shown(cells: list[tuple[Any, str]], folder: Path, locale: str = "en-US") -> list[str]:
    """The text LibreOffice shows for each (value, number format), all in one conversion."""
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    for row, (value, code) in enumerate(cells, 1):
        sheet.cell(row, 1, value).number_format = code
    sheet.column_dimensions["A"].width = 60
    path = folder / f"cells-{locale}.xlsx"
    workbook.save(path)
    # 44 comma, 34 quote, 76 UTF-8: cells are saved as shown unless said otherwise.
    convert(path, "csv:Text - txt - csv (StarCalc):44,34,76,1", folder, locale)
    with (folder / "out" / f"cells-{locale}.csv").open(encoding="utf-8", newline="") as file:
        texts = [row[0] if row else "" for row in csv.reader(file)]
    return texts + [""] * (len(cells) - len(texts))  # empty cells at the end are not saved
