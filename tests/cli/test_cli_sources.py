"""Order sheets that are no file of the job: standard input and a database."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest
from badjob import SHEET, Shop, read_json
from click.testing import CliRunner

from vardata.cli.main import main

ROWS = [line.split(",") for line in SHEET.splitlines()]
LINES = "".join(json.dumps(dict(zip(ROWS[0], row))) + "\n" for row in ROWS[1:])


@pytest.mark.parametrize("data", [SHEET.encode(), LINES.encode()])
def test_an_order_sheet_through_standard_input(shop: Shop, data: bytes) -> None:
    call = ["check", "job.toml", "--workers", "1", "--json", "--sheet", "-"]
    result = CliRunner().invoke(main, call, input=data)
    assert result.exit_code == 0, result.output
    assert read_json(result.stdout)["records"] == 4


def test_the_rows_of_a_database_are_built_and_its_address_is_written_nowhere(shop: Shop) -> None:
    with sqlite3.connect("shop.db") as database:
        columns = ", ".join(f'"{name}" text' for name in ROWS[0])
        database.execute(f"create table tags (id integer primary key, {columns})")
        for number, row in enumerate(ROWS[1:]):
            marks = ", ".join("?" * (len(row) + 1))
            database.execute(f"insert into tags values ({marks})", (number, *row))
    database.close()
    names = ", ".join(f'\\"{name}\\"' for name in ROWS[0])
    shop.swap(
        "job.toml",
        'file = "orders.csv"',
        f'database = "sqlite:///shop.db"\nquery = "select {names} from tags order by id"',
    )
    first, again = (
        shop.build("--json"),
        shop.call("build", "job.toml", "--out", "again", "--workers", "1", "--json"),
    )
    assert first.code == 0, first
    assert read_json(first.out)["records"] == 4
    assert read_json(first.out)["run_id"] == read_json(again.out)["run_id"]
    text = Path("run/run.json").read_text(encoding="utf-8")
    assert "shop.db" not in text
    assert "select" in text


FAULTS = {
    'database = "sqlite:///a.db"': "job.toml:8, sheet.query: the key 'query' is missing; add it: a "
    "SELECT with ORDER BY",
    'file = "orders.csv"\ndatabase = "sqlite:///a.db"': "job.toml:10, sheet.database: there is "
    "both a file and a database; keep one of them",
    'file = "orders.csv"\nquery = "select 1"': "job.toml:10, sheet.query: a query needs a "
    "database; add database, or take the query away",
}


@pytest.mark.parametrize("text", FAULTS)
def test_a_sheet_is_a_file_or_a_query(shop: Shop, text: str) -> None:
    shop.swap("job.toml", 'file = "orders.csv"', text)
    assert shop.check() == (4, "", FAULTS[text] + "\n")
