"""Times the reading of an order sheet as displayed against pandas with openpyxl.

Usage: python tests/bench/reading.py [ROWS ...]      (default: 10000 100000)

openpyxl loses what number formats show; vardata keeps it. Both read the same workbook of eight
columns (texts, padded numbers, dates, percents, money), each in a process of its own, one after
the other. vardata's figures are those of the cells alone, and of a whole intake: columns found,
texts tidied and checked, once as a build reads and once as a check does, which reads twice to look
at whole columns as well. Printed are seconds of processor time (each uses one core) without the
start of the process, the ratio, and the peak of resident memory. Measurements, no test: they fail
for no figure.
"""

from __future__ import annotations

import datetime as dt
import random
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
HEADINGS = ("Order", "Name", "Number", "Date", "Share", "Price", "Team", "Pieces")
NEEDED = "name number date share price team"

WAYS = {
    "cells": "every cell as displayed",
    "build": "a whole intake as a build reads",
    "check": "a whole intake as a check reads",
}
PANDAS = """
import sys, time, resource
import pandas as pd
start = time.process_time()
rows = len(pd.read_excel(sys.argv[1], engine="openpyxl", dtype=str, keep_default_na=False))
print(rows, time.process_time() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""
VARDATA = """
import sys, time, resource
from pathlib import Path
sys.path.insert(0, sys.argv[2])
from intake_setups import make_setup
from vardata.intake import open_intake
setup = make_setup(Path(sys.argv[1]), records={"order": "Order", "quantity": "Pieces"},
                   locale="en_GB")
start = time.process_time()
needed = frozenset(sys.argv[3].split())
if sys.argv[4] == "cells":
    from vardata.intake.locales import find
    from vardata.intake.sources import open_source
    rows = sum(1 for _ in open_source(setup, find("en_GB"), []).rows())
    print(rows, time.process_time() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
    raise SystemExit
intake = open_intake(setup, frozenset(), needed, thorough=sys.argv[4] == "check")
rows = sum(1 for _ in intake)
print(rows, time.process_time() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def write_book(path: Path, count: int) -> None:
    """A workbook of ``count`` rows, written by openpyxl in its write-only mode."""
    from faker.providers.person.en import Provider
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell

    firsts, lasts = sorted(set(Provider.first_names)), sorted(set(Provider.last_names))
    rng = random.Random(2026)
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Orders")
    sheet.append(HEADINGS)
    formats = {3: "00000", 4: "dd.mm.yyyy", 5: "0.0%", 6: "#,##0.00"}
    for number in range(count):
        row = [
            f"A{1000 + number // 3}", f"{rng.choice(firsts)} {rng.choice(lasts)}",
            number % 99_999, dt.date(2026, 1, 1) + dt.timedelta(days=number % 365),
            rng.randrange(1000) / 1000, rng.randrange(10_000_000) / 100,
            f"U{12 + number % 5 * 2} Lions", 1 + number % 2,
        ]  # fmt: skip
        cells = []
        for place, value in enumerate(row, 1):
            cell = WriteOnlyCell(sheet, value)
            if place in formats:
                cell.number_format = formats[place]
            cells.append(cell)
        sheet.append(cells)
    book.save(path)


def measured(code: str, *arguments: str) -> tuple[int, float, float]:
    """Rows, seconds and peak MB of a piece of code in a process of its own."""
    call = [sys.executable, "-c", code, *arguments]
    rows, seconds, kilobytes = subprocess.check_output(call, text=True).split()
    return int(rows), float(seconds), int(kilobytes) / 1024


def main() -> None:
    kit = str(HERE.parent / "intake")
    for count in [int(text) for text in sys.argv[1:]] or [10_000, 100_000]:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "orders.xlsx"
            write_book(path, count)
            _, theirs, their_memory = measured(PANDAS, str(path))
            print(f"{count:,} rows: pandas with openpyxl {theirs:.1f} s, {their_memory:.0f} MB")
            for way, what in WAYS.items():
                _, ours, memory = measured(VARDATA, str(path), kit, NEEDED, way)
                print(
                    f"  vardata, {what}: {ours:.1f} s, {memory:.0f} MB, "
                    f"{theirs / ours:.1f} times as fast"
                )


if __name__ == "__main__":
    main()
