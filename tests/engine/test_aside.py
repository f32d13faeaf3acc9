"""Rows set aside come back in the sheet's order, once each, whatever the order they came in."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from vardata.aside import Aside
from vardata.intake.record import HeldRow, SkippedRow
from vardata.problems import Problem, Severity
from vardata.work.fitted import HeldRecord


def problem(kind: str) -> Problem:
    return Problem(kind, Severity.HOLD, "what")


@given(st.lists(st.tuples(st.integers(1, 40), st.integers(1, 3)), unique_by=lambda row: row[0]))
def test_each_row_once_in_sheet_order(rows: list[tuple[int, int]]) -> None:
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        aside = Aside(Path(folder))
        for row, pieces in rows:
            for piece in range(1, pieces + 1):
                aside.hold_record(HeldRecord(row, piece, "", (str(row),), (problem("x"),)))
        held = list(aside.held())
    assert [entry.row for entry in held] == sorted(row for row, _ in rows)
    assert aside.held_rows == len(rows)
    assert aside.held_records == sum(pieces for _, pieces in rows)


def test_held_rows_of_intake_and_skipped_rows(tmp_path: Path) -> None:
    aside = Aside(tmp_path)
    aside.hold_row(HeldRow(9, "s!9", "", ("b",), (problem("quantity"), problem("other"))))
    aside.hold_record(HeldRecord(4, 1, "", ("a",), (problem("text"),)))
    aside.skip(SkippedRow(7, "s!7", ("c",), "quantity is 0"))
    assert [(row.row, row.values) for row in aside.held()] == [(4, ("a",)), (9, ("b",))]
    assert list(aside.skipped()) == [(7, ("c",), "quantity is 0")]
    assert dict(aside.kinds) == {"quantity": 1, "text": 1}
