"""Problems that differ only in their row, slot or values are one line for people, each for itself
in an answer for machines."""

from __future__ import annotations

import json

from badjob import HEADING, Shop

from vardata.alike import joined
from vardata.problems import Problem, Severity, Where

FAULT = (
    "orders.csv, row 2, field 'owner': no font has '漢' (U+6F22 CJK UNIFIED IDEOGRAPH-6F22); "
    "asked: NotoSans-Regular, NotoNaskhArabic-Regular and 5 more; add a font that has it to the "
    "field's fonts, or change the text"
)


def sheet(shop: Shop, rows: int) -> None:
    lines = (f"{n},{n},Ada {'漢字'[n % 4 > 1]} {n},photos/ada.png,1" for n in range(rows))
    shop.write("orders.csv", HEADING + "\n".join(lines) + "\n")


def test_rows_with_the_same_fault_are_one_line_of_check(shop: Shop) -> None:
    sheet(shop, 300)
    assert shop.check().out.splitlines()[1:4] == [
        f"hold    missing-glyph    300  {FAULT}; likewise rows 3, 4 ('字'), 5 ('字') and 296 more",
        "all of them, row by row: --problems mend.xlsx marks them",
        "300 rows: 0 records for 0 beds; 300 rows held, 0 skipped",
    ]
    marked = shop.check("--problems", "mend.xlsx").out.splitlines()
    assert marked[2] == "all of them, row by row: mend.xlsx"


def test_rows_that_a_warning_counts_are_pointed_at_too(shop: Shop) -> None:
    lines = (f'{n},{n},"Ada{n},",photos/ada.png,1' for n in range(9))
    shop.write("orders.csv", HEADING + "\n".join(lines) + "\n")
    assert shop.check().out.splitlines()[1:3] == [
        "warning edge-marks      9  sheet 'orders', row 2, column 'Owner': the text 'Ada0,' ends "
        "with ,, and 8 more (rows 3, 4, 5 ...); take the mark out",
        "all of them, row by row: --problems mend.xlsx marks them",
    ]


def test_a_few_rows_with_the_same_fault_are_all_named(shop: Shop) -> None:
    many = "; likewise rows 3, 4 ('字'), 5 ('字')"
    for rows, end in ((1, ""), (2, "; likewise row 3"), (4, many)):
        sheet(shop, rows)
        said = shop.check().out.splitlines()
        assert said[1] == f"hold    missing-glyph{rows:>7}  {FAULT}{end}"
        assert said[2].startswith(f"{rows} row")


def test_machines_get_each_row(shop: Shop) -> None:
    sheet(shop, 50)
    problems = json.loads(shop.check("--json").out)["problems"]
    assert [problem["where"]["row"] for problem in problems] == list(range(2, 52))


def _problem(what: str, **where: int | str) -> Problem:
    return Problem("kind", Severity.ERROR, what, "mend it", Where(**where))  # type: ignore[arg-type]


def test_slots_and_records_are_named_as_they_are() -> None:
    slots = [_problem("nothing is printed", bed=1, slot=f"A{n}", record=f"x!{n}#1") for n in (1, 2)]
    assert list(map(str, joined(slots))) == [
        "record x!1#1, bed 1, slot A1: nothing is printed; mend it; likewise bed 1 slot A2"
    ]
    records = [_problem("nothing is printed", record=f"x!{n}#1") for n in range(1, 7)]
    assert list(map(str, joined(records))) == [
        "record x!1#1: nothing is printed; mend it; likewise record x!2#1, record x!3#1, record "
        "x!4#1 and 2 more"
    ]


def test_only_the_same_fault_of_the_same_place_is_joined() -> None:
    apart = [
        _problem("'Ann' is 3.5 mm wide", row=2, field="name"),
        _problem("'Ann' is 3.5 mm wide", row=2, field="team"),
        _problem("'Ann' is 3.5 mm high", row=2, field="name"),
        _problem("'Ann' is wide", file="job.toml", line=4),
        _problem("'Bob' is wide", file="job.toml", line=5),
    ]
    assert [line.first for line in joined(apart)] == apart
    more = _problem("'O'Neil' is 12,5 mm wide", row=9, field="name")
    assert [line.count for line in joined([*apart, more])] == [2, 1, 1, 1, 1]
