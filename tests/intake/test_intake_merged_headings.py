"""Headings in merged cells, in workbooks of both kinds and in text files, where nothing says that
cells were merged. LibreOffice turns the workbooks of openpyxl into OpenDocument sheets."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from intake_office import convert
from intake_setups import book, opened, outcome, written

from vardata.intake.record import Record
from vardata.problems import VardataError

ROLES: dict[str, Any] = {"records": {"order": "Order"}}
KINDS = pytest.mark.parametrize("kind", ["xlsx", "ods"])


def kinded(kind: str, path: Path) -> Path:
    """The same sheet in another format."""
    if kind == "xlsx":
        return path
    convert(path, kind, path.parent)
    return path.parent / "out" / f"{path.stem}.{kind}"


@KINDS
def test_headings_in_merged_cells_count_for_the_row_of_headings(kind: str, tmp_path: Path) -> None:
    def change(_workbook: Any, sheet: Any) -> None:
        sheet.merge_cells("A1:A2")  # one heading over two rows
        sheet.merge_cells("B1:C1")  # a group above two headings
        sheet.merge_cells("D2:E2")  # one heading over two columns

    rows = [["Order", "Person"], [None, "First", "Last", "Line"], ["A1", "Ann", "Lee", "x", "y"]]
    intake = opened(kinded(kind, book(tmp_path, rows, change)), "first last line line_2", **ROLES)
    assert intake.headings == ("Order", "First", "Last", "Line", "Line 2")
    assert [row.values for row in intake if isinstance(row, Record)] == [
        ("A1", "Ann", "Lee", "x", "y")
    ]


def _over_two_columns(_workbook: Any, sheet: Any) -> None:
    sheet.merge_cells("B1:C1")


LOST = (
    "sheet 'Orders', row 1, column 'Guest': heading 'Guest' is merged over the columns B to C, and "
    "what stands in C, as in row {}, would not be used; if row 2 holds the headings, write "
    "header_row = 2 under [sheet] and use them; if not, give each column a heading of its own"
)


@KINDS
def test_a_heading_over_several_columns_does_not_lose_what_stands_in_them(
    kind: str, tmp_path: Path
) -> None:
    rows = [["Order", "Guest"], [None, "First", "Last"], ["A1", "Ann", "Lee"]]
    path = kinded(kind, book(tmp_path, rows, _over_two_columns))
    with pytest.raises(VardataError) as caught:
        opened(path, "guest", **ROLES)
    assert str(caught.value) == LOST.format(2)
    assert caught.value.exit_code == 5
    # Both columns in use, or the second one known to the job: nothing is lost unawares.
    assert opened(path, "guest guest_2", **ROLES).headings == ("Order", "Guest", "Guest 2")
    opened(path, "guest", columns={"surname": "Guest 2"}, **ROLES)
    below = opened(path, "first last", sheet={"header_row": 2}, records={})
    assert [row.values for row in below if isinstance(row, Record)] == [("Ann", "Lee")]


@KINDS
def test_a_surname_far_below_is_not_lost_either(kind: str, tmp_path: Path) -> None:
    rows = [["Order", "Guest"], ["A1", "Ann"], ["A2", "Bo"], ["A3", "Cy", "Lee"]]
    with pytest.raises(VardataError) as caught:
        opened(kinded(kind, book(tmp_path, rows, _over_two_columns)), "guest", **ROLES)
    assert str(caught.value) == LOST.format(4)


@KINDS
def test_a_second_row_of_headings_that_is_read_as_an_order_is_told(
    kind: str, tmp_path: Path
) -> None:
    def change(_workbook: Any, sheet: Any) -> None:
        sheet.merge_cells("A1:A2")

    deep = (
        "warning: sheet 'Orders', row 1: headings are merged down to row 2, but they are read from "
        "row 1, so what stands below it is read as orders; if row 2 holds headings, write "
        "header_row = 2 under [sheet]; if not, undo the merging"
    )
    rows = [["Order", "Name"], [None, "(in full)"], ["A1", "Ann"]]
    assert deep in outcome(opened(kinded(kind, book(tmp_path, rows, change)), "name", **ROLES))
    rows[1] = []  # only tall: nothing to say
    told = outcome(opened(kinded(kind, book(tmp_path, rows, change)), "name", **ROLES))
    assert not [line for line in told if "merged down" in line]


@KINDS
def test_a_heading_merged_only_to_look_wide_is_read(kind: str, tmp_path: Path) -> None:
    rows = [["Order", "Guest", None, "Place"], ["A1", "Ann", None, "Oslo"]]
    intake = opened(kinded(kind, book(tmp_path, rows, _over_two_columns)), "guest", **ROLES)
    assert [row.values for row in intake if isinstance(row, Record)] == [("A1", "Ann", "", "Oslo")]


ALONE = (
    "sheet 'sheet', row {0}, column 'Guest': heading 'Guest' is the only one over the columns B to "
    "C, and what stands in C, as in row {1}, would not be used; if row {1} holds the headings, "
    "write header_row = {1} under [sheet] and use them; if not, give each column a heading of its "
    "own"
)


def test_a_text_file_that_had_merged_headings_loses_nothing_either(tmp_path: Path) -> None:
    path = written(tmp_path, "Order,Guest,\n,First,Last\nA1,Ann,Lee\nA2,Bo,\n")
    with pytest.raises(VardataError) as caught:
        opened(path, "guest", **ROLES)
    assert str(caught.value) == ALONE.format(1, 2)
    below = opened(path, "first last", sheet={"header_row": 2}, records={})
    rows = [row.values for row in below if isinstance(row, Record)]
    assert rows == [("Ann", "Lee"), ("Bo", "")]
    # At the end of the rows too.
    path = written(tmp_path, "Order,Guest,\nA1,Ann,Lee\nA2,Bo,Low\n")
    with pytest.raises(VardataError) as caught:
        opened(path, "guest", **ROLES)
    assert str(caught.value) == ALONE.format(1, 2)


def test_a_note_here_and_there_is_no_merged_heading(tmp_path: Path) -> None:
    text = "Order,Guest,,Place\nA1,Ann,,Oslo\nA2,Bo,late,Oslo\nA3,Cy,,Oslo\n"
    told = outcome(opened(written(tmp_path, text), "guest", **ROLES))
    assert any("have no heading" in line or "has no heading" in line for line in told)
    # A heading that nothing uses may be as wide as it likes.
    text = "Order,Guest,Place,\nA1,Ann,Oslo,N\nA2,Bo,Oslo,N\n"
    opened(written(tmp_path, text), "guest", **ROLES)
