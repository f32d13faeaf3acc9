"""``vardata new``: a job file that builds, by options alone and by questions."""

from __future__ import annotations

import json
import tomllib
from typing import Any

import openpyxl
import pytest
from badjob import Shop
from click.testing import CliRunner

from vardata.cli.main import main

CALL = [
    "new", "fresh.toml", "--sheet", "orders.csv", "--layout", "tag.toml", "--jig", "jig.toml",
    "--bed", "bed.toml",
]  # fmt: skip
MAPPED = ["--column", "number=Asset no"]


def written(shop: Shop) -> dict[str, Any]:
    return tomllib.loads((shop.path / "fresh.toml").read_text(encoding="utf-8"))


def builds(shop: Shop) -> None:
    answer = shop.call("build", "fresh.toml", "--out", "run", "--workers", "1")
    assert answer.code == 0, answer


def test_options_alone_write_a_job_that_builds(shop: Shop) -> None:
    answer = shop.call(*CALL, *MAPPED, "--yes")
    assert answer.code == 0, answer
    assert answer.out.endswith("fresh.toml is written; next: vardata check fresh.toml\n")
    job = written(shop)
    assert job["columns"] == {"number": "Asset no"}
    assert job["records"] == {"order": "Order", "quantity": "Pieces"}
    assert job["print_mode"] == "fine"
    builds(shop)


def test_json_lines_need_no_heading_row(shop: Shop) -> None:
    rows = [line.split(",") for line in (shop.path / "orders.csv").read_text().splitlines()]
    lines = [json.dumps(dict(zip(rows[0], row))) for row in rows[1:]]
    shop.write("orders.jsonl", "\n".join(lines) + "\n")
    call = [word.replace("orders.csv", "orders.jsonl") for word in CALL]
    assert shop.call(*call, *MAPPED, "--yes").code == 0
    assert "header_row" not in written(shop)["sheet"]
    builds(shop)


COVERS = {
    "empty": [], "a title": [["Tags 2026"]],
    "a title and a note": [["Tags 2026"], ["please hurry"]],
}  # fmt: skip


def _with_cover(shop: Shop, rows: list[list[str]]) -> list[str]:
    """The order sheet behind another worksheet, and the call for it."""
    book = openpyxl.Workbook()
    book.active.title = "Cover"
    for row in rows:
        book.active.append(row)
    orders = book.create_sheet("Orders")
    for line in (shop.path / "orders.csv").read_text().splitlines():
        orders.append(line.split(","))
    book.create_sheet("Prices")
    book.save(shop.path / "book.xlsx")
    return [word.replace("orders.csv", "book.xlsx") for word in CALL]


@pytest.mark.parametrize("cover", COVERS)
def test_a_first_worksheet_without_headings_names_the_others(shop: Shop, cover: str) -> None:
    call = _with_cover(shop, COVERS[cover])
    assert shop.call(*call, *MAPPED, "--yes") == (
        5, "", "book.xlsx, sheet 'Cover': the worksheet has no headings; name another worksheet "
        "with --worksheet: 'Orders', 'Prices'\n",
    )  # fmt: skip
    assert not (shop.path / "fresh.toml").exists()
    assert shop.call(*call, *MAPPED, "--worksheet", "Orders", "--yes").code == 0
    builds(shop)


def test_a_first_worksheet_that_does_not_fit_names_the_others_too(shop: Shop) -> None:
    call = _with_cover(shop, [["Owner", "Number", "Photo"]])  # and no row of data
    answer = shop.call(*call, "--yes")
    assert (answer.code, answer.out) == (5, "")
    assert answer.lines[-1] == (
        "book.xlsx: the first worksheet was read; name another worksheet with --worksheet: "
        "'Orders', 'Prices'"
    )


def test_a_sheet_with_titles_and_strange_headings_is_mapped(shop: Shop) -> None:
    rows = (shop.path / "orders.csv").read_text().splitlines()
    heads = "Bestellnummer,Asset number,Owner's name,Photo file,Menge"
    shop.write("orders.csv", "Tags 2026,,,,\n,,,,\n" + "\n".join([heads, *rows[1:]]) + "\n")
    more = ["--locale", "en_GB", "--surface", "light", "--order", "Bestellnummer"]
    answer = shop.call(*CALL, *more, "--yes")
    assert answer.code == 0, answer
    job = written(shop)
    assert job["sheet"]["header_row"] == 3
    assert job["columns"] == {
        "number": "Asset number", "owner": "Owner's name", "photo": "Photo file",
    }  # fmt: skip
    assert job["records"] == {"order": "Bestellnummer", "quantity": "Menge"}
    assert job["blanks"] == {"item": {"surface": "light"}}
    builds(shop)


def test_what_no_option_says_is_asked(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    answers = ["orders.csv", "tag.toml", "jig.toml", "bed.toml", "fine", "clear", "9", "2", "", "-"]
    monkeypatch.setattr("vardata.cli.new._at_a_terminal", lambda: True)
    result = CliRunner().invoke(main, ["new", "fresh.toml"], input="\n".join(answers) + "\n")
    assert result.exit_code == 0, result.output
    assert "  2  Asset no\n" in result.output
    assert "'9' is none of them" in result.output
    job = written(shop)
    assert job["columns"] == {"number": "Asset no"}
    assert job["records"] == {"order": "Order"}
    assert job["blanks"]["item"] == {"surface": "clear"}
    builds(shop)


REFUSED = {
    "no file": (
        ["new", "fresh.toml", "--yes"],
        "the order sheet is not given; add --sheet",
    ),
    "no column": (
        [*CALL, "--yes"],
        "the column for {{ number }} is not given; add --column number=HEADING; there is 'Order', "
        "'Asset no', 'Owner', 'Photo', 'Pieces'",
    ),
    "no heading": (
        [*CALL, "--yes", "--column", "number=Asset"],
        "--column number: the sheet has no heading 'Asset'; did you mean 'Asset no'? allowed: "
        "Order, Asset no, Owner, Photo, Pieces",
    ),
    "no pair": ([*CALL, "--column", "number"], "--column 'number' names no heading; write it as "
                "name=Heading"),
    "there": (["new", "job.toml"], "job.toml: the file is there already; choose another name"),
}  # fmt: skip


@pytest.mark.parametrize("why", REFUSED)
def test_what_cannot_be_written_leaves_nothing(shop: Shop, why: str) -> None:
    before = shop.state()
    call, line = REFUSED[why]
    assert shop.call(*call) == (2, "", line + "\n")
    assert shop.state() == before


def test_faults_of_the_files_are_told_as_ever(shop: Shop) -> None:
    shop.swap("tag.toml", 'symbology = "qr"\n', "")
    answer = shop.call(*CALL, *MAPPED, "--yes")
    assert answer.code == 4
    assert "the key 'symbology' is missing" in answer.err
    assert not (shop.path / "fresh.toml").exists()
