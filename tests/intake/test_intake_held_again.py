"""A table of held rows comes back as an order sheet: guards off, reasons passed over."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from intake_setups import make_setup

from vardata.intake import open_intake
from vardata.intake.record import Record
from vardata.output.held import HeldLine, write_held
from vardata.problems import Problem, Severity

NAMES = ["-Ann", "'Tis", "=SUM(A1)", "'-already", "@home", "00042"]


@pytest.mark.parametrize("suffix", ["csv", "xlsx"])
def test_names_come_back_as_they_were(tmp_path: Path, suffix: str) -> None:
    problem = Problem("x", Severity.HOLD, "=what", "-mend")
    rows = [HeldLine((name,), row, (problem,)) for row, name in enumerate(NAMES, 2)]
    write_held(tmp_path, ("Name",), rows, datetime(2026, 10, 31, tzinfo=UTC))
    setup = make_setup(tmp_path / f"held.{suffix}")
    records = list(open_intake(setup, needed=frozenset({"name"})))
    assert [r.values[0] for r in records if isinstance(r, Record)] == NAMES
