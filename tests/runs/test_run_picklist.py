"""The pick list in its three forms says what ``slots.jsonl`` and the order sheet say."""

from __future__ import annotations

import csv
import json
import re
from collections import Counter, defaultdict
from functools import lru_cache
from typing import Any

import numpy as np
import openpyxl
import pandas
import pytest
import zxingcpp
from run_kit import Run, judge
from run_pages import grey_page
from run_sheets import OrderSheet

BED = re.compile(r"Bed (\d+) of (\d+)")


@lru_cache(maxsize=2)
def paper_of(run: Run) -> Paper:
    return Paper(run)


class Paper:
    """``picklist.pdf`` as poppler's pdftotext lays it out, page by page."""

    def __init__(self, run: Run) -> None:
        text = judge("pdftotext", "-layout", run.out / "picklist.pdf", "-")
        self.pages = text.split("\f")[:-1]
        self.beds: dict[int, list[int]] = defaultdict(list)  # bed: pages, from 1
        for number, page in enumerate(self.pages, 1):
            head = next((m for m in map(BED.match, page.splitlines()) if m), None)
            if head:
                assert int(head[2]) == len(run.beds)
                self.beds[int(head[1])].append(number)
        first = min(min(pages) for pages in self.beds.values())
        last = max(max(pages) for pages in self.beds.values())
        self.front, self.orders = self.pages[: first - 1], self.pages[last:]

    def lines(self, bed: int) -> list[str]:
        return [line for page in self.beds[bed] for line in self.pages[page - 1].splitlines()]


@pytest.fixture(params=["medals", "tags"])
def pair(request: pytest.FixtureRequest) -> tuple[Run, OrderSheet]:
    name = request.param
    return request.getfixturevalue(name), request.getfixturevalue(f"{name[:-1]}_sheet")


def label(sheet: OrderSheet, record: str) -> str:
    """What people call the blank of a record, from the job's file and the sheet."""
    found = sheet.blank(sheet.row(record))
    assert found is not None
    return str(found[1].get("label") or found[0])


def wanted_rows(run: Run, sheet: OrderSheet) -> list[dict[str, str]]:
    """The table's rows, by ``slots.jsonl``."""
    return [
        {
            "bed": str(slot["bed"]), "slot": slot["slot"], "order": slot["order"],
            "record": slot["record"], "blank": label(sheet, slot["record"]),
            **{part["field"]: part["text"] for part in (*slot["texts"], *slot["codes"])},
            "file": slot["file"], "page": str(slot["page"]),
        }
        for slot in run.slots
    ]  # fmt: skip


def test_the_csv_agrees_row_by_row(pair: tuple[Run, OrderSheet]) -> None:
    run, sheet = pair
    with (run.out / "picklist.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert not any(cell.startswith("'") for row in rows for cell in row.values())
    assert rows == wanted_rows(run, sheet)


def test_the_workbook_agrees_row_by_row(pair: tuple[Run, OrderSheet]) -> None:
    """openpyxl finds texts in every cell; pandas, told to keep texts, finds the same."""
    run, sheet = pair
    wanted = wanted_rows(run, sheet)
    page = openpyxl.load_workbook(run.out / "picklist.xlsx", read_only=True).worksheets[0]
    headings, *rows = page.iter_rows(values_only=True)
    assert list(headings) == list(wanted[0])
    assert [dict(zip(headings, row)) for row in rows] == wanted
    frame = pandas.read_excel(run.out / "picklist.xlsx", dtype=str, keep_default_na=False)
    assert frame.to_dict("records") == wanted


def test_every_slot_stands_on_its_beds_sheets(pair: tuple[Run, OrderSheet]) -> None:
    """A line a slot in the order of filling: slot, blank, order, texts and record."""
    run, sheet = pair
    paper = paper_of(run)
    assert sorted(paper.beds) == run.beds
    for bed in run.beds:
        slots = run.on_bed(bed)
        assert rows_on(paper, bed, slots) == [(s["slot"], s["record"]) for s in slots]
        text = "\n".join(paper.lines(bed))
        shown = Counter(text.split())
        for slot in slots:
            times = shown[slot["slot"]]
            assert times >= 2, f"bed {bed}: {slot['slot']} must be in the map and in the table"
        assert slots[0]["file"] in text
        fetch = Counter(label(sheet, slot["record"]) for slot in slots)
        for name, count in fetch.items():
            assert f"{count} {name}" in " ".join(text.split())


def rows_on(paper: Paper, bed: int, slots: list[dict[str, Any]]) -> list[tuple[str, str]]:
    """(slot, record) of each line of the bed's table; a line also has order and first text, if
    that is not said once for all of them above the table."""
    by_record = {slot["record"]: slot for slot in slots}
    row = re.compile(r"\s*(\S+)\s.*\s(\S+!\d+#\d+)\s*$")
    lines = paper.lines(bed)
    found = []
    firsts = {slot["texts"][0]["text"] for slot in slots}
    said_once = len(firsts) == 1 and any(f"on each: {text}" in "\n".join(lines) for text in firsts)
    for number, line in enumerate(lines):
        match = row.match(line)
        if not match:
            continue
        slot = by_record[match[2]]
        block = " ".join([line, *_wrapped(lines[number + 1 :], row)])
        shown = Counter(block.split())
        for text in (slot["order"], "" if said_once else slot["texts"][0]["text"]):
            assert not Counter(text.split()) - shown, f"bed {bed}, {match[1]}: {text!r} is missing"
        found.append((match[1], match[2]))
    return found


def _wrapped(lines: list[str], row: re.Pattern[str]) -> list[str]:
    """What follows a row until the next one or an empty line: the rest of wrapped cells."""
    end = next((i for i, line in enumerate(lines) if not line.strip() or row.match(line)), 0)
    return lines[:end]


def test_the_code_on_a_sheet_names_run_and_bed(pair: tuple[Run, OrderSheet]) -> None:
    """Rendered by PDFium, read by zxing-cpp from the sheet's upper part."""
    run, _ = pair
    paper = paper_of(run)
    run_id = json.loads((run.out / "run.json").read_text(encoding="utf-8"))["run_id"]
    step = 1 if len(run.beds) < 20 else 12
    for bed in run.beds[::step]:
        for page in paper.beds[bed]:
            picture = grey_page(run.out / "picklist.pdf", page, 150)
            head = np.ascontiguousarray(picture[: len(picture) // 6])
            codes = zxingcpp.read_barcodes(head, formats=zxingcpp.BarcodeFormat.QRCode)
            assert [code.text for code in codes] == [f"vardata:{run_id}:bed:{bed}"]


def test_the_front_counts_what_there_is(pair: tuple[Run, OrderSheet]) -> None:
    run, sheet = pair
    text = "\n".join(paper_of(run).front)
    counts = json.loads((run.out / "run.json").read_text(encoding="utf-8"))["counts"]
    orders = len({slot["order"] for slot in run.slots})
    numbers = [len(run.slots), len(run.beds), orders, counts["held_rows"], counts["skipped_rows"]]
    said = [re.findall(r"\d+", line) for line in text.splitlines()]
    assert [str(number) for number in numbers] in said
    blanks = Counter(label(sheet, slot["record"]) for slot in run.slots)
    for name, count in blanks.items():
        assert re.search(rf"^\s*{count:d}\s+{re.escape(name)}$", text, re.MULTILINE), name
    for bed in run.beds if len(run.beds) < 20 else ():
        assert run.bed_file(bed).name in text


def test_every_order_names_all_its_places(pair: tuple[Run, OrderSheet]) -> None:
    """The second half, read as a person does: an order, then bed after bed its slots."""
    run, _ = pair
    wanted: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for slot in run.slots:
        wanted[slot["order"]].append((slot["bed"], slot["slot"]))
    names = sorted(wanted, key=len, reverse=True)
    slots = "|".join(sorted({slot["slot"] for slot in run.slots}, key=len, reverse=True))
    mark = re.compile(rf"\bbed (\d+)(?::|\s)|(?:^|[\s:,])({slots})(?= \S)")
    found: dict[str, list[tuple[int, str]]] = defaultdict(list)
    order, bed = "", 0
    for page in paper_of(run).orders:
        lines = page.splitlines()
        start = next(i for i, line in enumerate(lines) if line.split() == HEADING)
        for line in lines[start + 1 :]:
            if line.startswith("vardata pick list"):
                break
            name = next((n for n in names if line.strip().startswith(n + " ")), None)
            if name is not None:
                order, line = name, line.strip()[len(name) :]
            for match in mark.finditer(line):
                if match[1]:
                    bed = int(match[1])
                else:
                    found[order].append((bed, match[2]))
    assert dict(found) == dict(wanted)


HEADING = ["order", "pieces", "where", "they", "lie"]
