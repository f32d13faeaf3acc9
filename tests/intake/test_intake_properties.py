"""Properties: whatever a sheet holds, every row of it comes out once, and only once."""

from __future__ import annotations

import csv
import io
import tempfile
import unicodedata
from collections import defaultdict
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from intake_setups import ORDERS, book, make_setup, opened, written

from vardata.intake import open_intake
from vardata.intake.quantity import parse_quantity
from vardata.intake.record import HeldRow, Intaken, Record, SkippedRow
from vardata.intake.tidy import is_clean, tidy, unfit
from vardata.job.sheetchecks import DEFAULTS
from vardata.problems import Severity

TEXT = st.text(
    st.one_of(
        st.characters(exclude_categories=["Cs"], max_codepoint=0x2FFF),
        st.sampled_from(list(" \u00a0\t\n\r\u2028,;\"'|\x00\x07\ufffdé\u0301Ã¼")),
    ),
    max_size=8,
)
QUANTITY = st.one_of(
    st.integers(-2, 6).map(str),
    st.sampled_from(["", " ", "1.0", "2,00", "1.000", "1.5", "x", "٣", "1e2", "07", "+1", "200"]),
)
BLANK = st.sampled_from(["black", " BLACK", "c", "klar", "", "pink", "Black tag"])
ORDER = st.one_of(st.sampled_from(["A1", "00042", ""]), TEXT)
ROW = st.one_of(
    st.tuples(ORDER, TEXT, QUANTITY, BLANK).map(list),
    st.just(["", "", "", ""]),
)
SHEETS = st.lists(ROW, max_size=12)
SETTINGS = settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)


def _by_row(rows: list[Intaken]) -> dict[int, list[Intaken]]:
    found = defaultdict(list)
    for row in rows:
        found[row.row].append(row)
    return dict(found)


def _check(rows: list[list[str]], outcome: list[Intaken]) -> None:
    """Each row that is not empty gives its quantity of records, or is held or skipped, once."""
    found = _by_row(outcome)
    expected = {n for n, cells in enumerate(rows, 2) if any(cell.strip() for cell in cells)}
    assert set(found) == expected
    assert [row.row for row in outcome] == sorted(row.row for row in outcome)
    keys = [row.key for row in outcome]
    assert len(keys) == len(set(keys))
    for number, group in found.items():
        first = group[0]
        asked = parse_quantity(" ".join(rows[number - 2][2].split()), 100)
        if isinstance(first, HeldRow):
            assert len(group) == 1
            assert first.problems
            assert all(p.severity is Severity.HOLD and p.where.row == number
                       for p in first.problems)  # fmt: skip
        elif isinstance(first, SkippedRow):
            assert len(group) == 1
            assert asked == 0
        else:
            assert len(group) == asked
            assert [row.piece for row in group if isinstance(row, Record)] == list(
                range(1, len(group) + 1)
            )
            assert first.order and first.blank in ("black", "clear")
            assert all(isinstance(row, Record) and row.values == first.values for row in group)
            assert not unfit(first.values[1])


@SETTINGS
@given(SHEETS, st.sampled_from(",;\t"))
def test_every_row_of_a_csv_comes_out_once(rows: list[list[str]], delimiter: str) -> None:
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=delimiter, lineterminator="\n", quoting=csv.QUOTE_ALL)
    writer.writerows([["Order", "Name", "Qty", "Blank"], *rows, ["Z", "z", "1", "c"]])
    with tempfile.TemporaryDirectory() as folder:
        path = written(Path(folder), text.getvalue())
        intake = opened(path, "name", sheet={"delimiter": delimiter, "encoding": "utf-8"}, **ORDERS)
        _check([*rows, ["Z", "z", "1", "c"]], list(intake))


@SETTINGS
@given(SHEETS)
def test_every_row_comes_out_once_where_every_check_holds(rows: list[list[str]]) -> None:
    all_rows = [*rows, ["Z", "z", "1", "c"]]
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n", quoting=csv.QUOTE_ALL)
    writer.writerows([["Order", "Name", "Qty", "Blank"], *all_rows])
    with tempfile.TemporaryDirectory() as folder:
        path = written(Path(folder), text.getvalue())
        sheet = {"delimiter": ",", "encoding": "utf-8"}
        setup = make_setup(path, sheet=sheet, checks=dict.fromkeys(DEFAULTS, "hold"), **ORDERS)
        intake = open_intake(setup, frozenset(), frozenset(["name"]), thorough=True)
        _check(all_rows, list(intake))


@SETTINGS
@given(SHEETS)
def test_every_row_of_a_workbook_comes_out_once(rows: list[list[str]]) -> None:
    # Control characters cannot stand in XML, and openpyxl turns a bare "=..." into a formula.
    rows = [
        ["".join(c for c in cell if c >= " " or c in "\t\n").lstrip("=") for cell in row]
        for row in rows
    ]
    all_rows = [*rows, ["Z", "z", "1", "c"]]
    with tempfile.TemporaryDirectory() as folder:
        path = book(Path(folder), [["Order", "Name", "Qty", "Blank"], *all_rows])
        _check(all_rows, list(opened(path, "name", **ORDERS)))


@given(TEXT)
def test_tidy_changes_no_letter(text: str) -> None:
    letters = "".join(char for char in unicodedata.normalize("NFC", text) if not char.isspace())
    assert "".join(char for char in tidy(text) if not char.isspace()) == letters
    assert tidy(tidy(text)) == tidy(text)


@given(st.text(max_size=12))
def test_a_clean_text_is_tidy_and_fit(text: str) -> None:
    if is_clean(text):
        assert tidy(text) == text
        assert not unfit(text)


@given(st.lists(st.text(max_size=5), max_size=5))
def test_clean_cells_joined_tell_of_each_cell(cells: list[str]) -> None:
    if is_clean("|".join(cells)):
        assert all(tidy(cell) == cell and not unfit(cell) for cell in cells)


@given(st.text("0123456789.,-+ eE", max_size=8), st.integers(1, 10_000))
def test_a_quantity_is_a_whole_number_within_limits_or_a_fault(text: str, most: int) -> None:
    found = parse_quantity(text, most)
    if isinstance(found, int):
        assert 0 <= found <= most
        assert float(text.replace(",", ".")) == found
    else:
        assert found.what and found.remedy
