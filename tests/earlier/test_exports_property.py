"""Whatever a shop exports next: every row is told once, and nothing is printed twice unasked.

A small model beside the program keeps what lies in slots; exports are drawn at random.
"""

from __future__ import annotations

import json
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from exportshop import BED, CARD, HEADING, JIG, JOB
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from vardata.earlier import Decisions
from vardata.intake import open_intake
from vardata.intake.record import HeldRow, Record
from vardata.job.load import load_setup
from vardata.job.model import Setup
from vardata.ledger.store import Ledger
from vardata.rows import compared

NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)
LINES = st.tuples(st.sampled_from("AB"), st.sampled_from("12"))
ROW = st.tuples(LINES, st.sampled_from(["Pim", "Ida", "Ole"]), st.integers(0, 3))
# An export: rows, which pieces the fit will hold, and what a person decided.
EXPORT = st.tuples(
    st.lists(ROW, min_size=1, max_size=5, unique_by=lambda row: row[0]),
    st.sets(st.integers(1, 3), max_size=2),
    st.sampled_from(["hold", "print", "keep"]),
)


def _run(setup: Setup, folder: Path, number: int, held: set[int], decided: str) -> tuple[
    list[Record], list[int], dict[int, str], list[int]
]:  # fmt: skip
    """One run without beds: (printed, rows set aside, states, rows held in fitting)."""
    ledger = folder / "ledger.sqlite"
    names = frozenset({"reader"})
    with compared(
        setup, open_intake(setup, frozenset(), names), ledger, sorted(names), Decisions(decided)
    ) as intake:
        assert intake is not None
        printed, aside, reasons, stuck = [], [], {}, []
        for row in intake:
            if not isinstance(row, Record):
                aside.append(row.row)
                reasons[row.row] = "held" if isinstance(row, HeldRow) else row.reason
            elif row.piece in held:
                stuck.append(row.row)
            else:
                printed.append(row)
        slots = folder / "slots.jsonl"
        lines = [
            json.dumps({"record": row.key, "bed": number, "slot": "A1"}) + "\n" for row in printed
        ]
        slots.write_text("".join(lines), encoding="utf-8")
        intake.place(slots, [row for row in reasons if reasons[row] == "held"] + stuck)
        with Ledger(ledger).finishing(
            f"run-{number}", NOON, folder, records=len(printed), beds=1, held=0, skipped=0,
            also=lambda connection: intake.write(connection, f"run-{number}"),
        ):
            pass
    return printed, aside, reasons, stuck


@settings(max_examples=60, deadline=None, phases=(Phase.generate,))  # shrinking takes minutes
@given(st.lists(EXPORT, min_size=2, max_size=5))
def test_nothing_is_printed_twice_unasked_and_every_row_is_told(
    exports: list[tuple[list[tuple[tuple[str, str], str, int]], set[int], str]],
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for file, text in {
            "job.toml": JOB, "card.toml": CARD, "jig.toml": JIG, "bed.toml": BED,
        }.items():  # fmt: skip
            (folder / file).write_text(text, encoding="utf-8")
        lying: dict[tuple[str, str, int], str] = {}  # order, line, piece -> text in its slot
        asked: dict[tuple[str, str], int] = {}  # the quantity when the line was last printed
        for number, (rows, held, decided) in enumerate(exports, 1):
            sheet = "".join(f"{o},{line},{who},{many},\n" for (o, line), who, many in rows)
            (folder / "week-1.csv").write_text(HEADING + sheet, encoding="utf-8")
            setup = load_setup(folder / "job.toml")
            printed, aside, reasons, stuck = _run(setup, folder, number, held, decided)
            assert len(set(aside)) == len(aside)
            for at, ((order, line), who, many) in enumerate(rows, 2):
                pieces = [record.piece for record in printed if record.row == at]
                before = {p: lying[order, line, p] for p in (1, 2, 3) if (order, line, p) in lying}
                again = set(pieces) & before.keys()
                # A piece that lies in a slot comes again only if a person said so, and never
                # where its row, or one that it was mended from, is as it was.
                assert not again or decided == "print"
                whole = before.keys() == set(range(1, many + 1)) and set(before.values()) == {who}
                if many and whole and asked[order, line] == many:
                    assert pieces == [] and reasons[at].startswith("built before")
                # Every piece is in a slot now or before, or its row is set aside or was stuck.
                if set(pieces) | before.keys() < set(range(1, many + 1)):
                    assert at in reasons or at in stuck
                if not before and many:
                    assert set(pieces) == set(range(1, many + 1)) - held
                for piece in pieces:
                    lying[order, line, piece] = who
                    asked[order, line] = many
