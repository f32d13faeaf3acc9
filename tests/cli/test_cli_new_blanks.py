"""``vardata new`` where a column of the order sheet says which blank a row is printed on."""

from __future__ import annotations

import shutil

import pytest
from badjob import Shop
from click.testing import CliRunner
from test_cli_new import CALL, MAPPED, builds, written

from vardata.cli.main import main

JOB = """\
name = "fresh"
layout = "tag.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"

[sheet]
file = "orders.csv"

[columns]                       # name for templates = heading
number = "Asset no"

[records]
order = "Order"
quantity = "Pieces"
blank = "Colour of tag"

[blanks.black]
label = "Black"
surface = "dark"                # state light, dark or clear
substrate = "#000000"           # for pictures: a guess from its name

[blanks.brushed_silver]
label = "brushed silver"
surface = "dark"                # state light, dark or clear
"""


def with_column(shop: Shop, heading: str, values: list[str]) -> None:
    """The order sheet with one more column; its rows are repeated until all values stand in it."""
    head, *rows = (shop.path / "orders.csv").read_text(encoding="utf-8").splitlines()
    count = max(len(rows), len(values))
    lines = [f"{rows[i % len(rows)]},{values[i % len(values)]}" for i in range(count)]
    shop.write("orders.csv", "\n".join([f"{head},{heading}", *lines]) + "\n")


def test_a_column_of_blanks_gives_a_table_for_each_value(shop: Shop) -> None:
    with_column(shop, "Colour of tag", ["Black", "brushed silver", " black "])
    answer = shop.call(*CALL, *MAPPED, "--yes")
    assert answer == (0, f"{JOB}\nfresh.toml is written; next: vardata check fresh.toml\n", "")
    builds(shop)


@pytest.mark.parametrize(
    "heading", ["Blank", "MATERIAL", "Variant:", "Tag colour", "Color of the medal", "Matière"]
)  # fmt: skip
def test_headings_of_the_trade_are_known(shop: Shop, heading: str) -> None:
    with_column(shop, heading, ["Slate"])
    assert shop.call(*CALL, *MAPPED, "--surface", "light", "--yes").code == 0
    assert written(shop)["records"]["blank"] == heading
    assert written(shop)["blanks"] == {"slate": {"label": "Slate", "surface": "light"}}
    builds(shop)


@pytest.mark.parametrize(
    ("heading", "values"),
    [("Colour of text", ["red"]), ("Material", [""]), ("Blank", [f"b {i}" for i in range(21)])],
)
def test_other_columns_are_left_alone(shop: Shop, heading: str, values: list[str]) -> None:
    """Another meaning; nothing in it; too many values for a few kinds of blank."""
    with_column(shop, heading, values)
    assert shop.call(*CALL, *MAPPED, "--yes").code == 0
    assert "blank" not in written(shop)["records"]
    assert written(shop)["blanks"] == {"item": {"surface": "dark"}}


def test_a_column_that_is_used_otherwise_is_no_column_of_blanks(shop: Shop) -> None:
    text = (shop.path / "orders.csv").read_text(encoding="utf-8").replace("Asset no", "Variant")
    shop.write("orders.csv", text)
    assert shop.call(*CALL, "--column", "number=Variant", "--yes").code == 0
    assert "blank" not in written(shop)["records"]


def test_an_option_names_any_column_or_none(shop: Shop) -> None:
    with_column(shop, "Variant", ["Slate", "Oak"])
    assert shop.call(*CALL, *MAPPED, "--blank", "-", "--yes").code == 0
    assert "blank" not in written(shop)["records"]
    (shop.path / "fresh.toml").unlink()
    assert shop.call(*CALL, *MAPPED, "--blank", "Order", "--yes").code == 0
    assert written(shop)["records"]["blank"] == "Order"


def test_twenty_tables_are_written_and_the_rest_is_told(shop: Shop) -> None:
    with_column(shop, "Kind", [f"kind {i}" for i in range(1, 22)])
    answer = shop.call(*CALL, *MAPPED, "--blank", "Kind", "--yes")
    assert answer.code == 0
    assert list(written(shop)["blanks"]) == [f"kind_{i}" for i in range(1, 21)]
    assert "\n# 'Kind' has more than 20 values: add a table for each of the others\n" in answer.out


def test_every_value_has_a_name_of_its_own(shop: Shop) -> None:
    """Names that clash, values that are no name, signs that mean something in TOML."""
    values = ["red tag", "red-tag", "red_tag", "金", "銀", "7", "a\\b", 'say "oak"', "x" * 200]
    with_column(shop, "Blank", values)
    assert shop.call(*CALL, *MAPPED, "--yes").code == 0
    blanks = written(shop)["blanks"]
    assert [blank["label"] for blank in blanks.values()] == values
    assert list(blanks) == [
        "red_tag_2", "red_tag_3", "red_tag", "blank", "blank_2", "c_7", "a_b", "say_oak", "x" * 60,
    ]  # fmt: skip
    builds(shop)


def test_a_sign_that_toml_forbids_is_escaped(shop: Shop) -> None:
    """TOML 1.0, string: U+007F stands in no string as it is. Its row is held, as ever."""
    with_column(shop, "Blank", ["Slate", "del\x7f"])
    assert shop.call(*CALL, *MAPPED, "--yes").code == 0
    assert written(shop)["blanks"]["del"]["label"] == "del\x7f"
    assert shop.call("check", "fresh.toml").code == 3


def test_the_column_is_asked_for(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    with_column(shop, "Material", ["white"])
    monkeypatch.setattr("vardata.cli.new._at_a_terminal", lambda: True)
    for answer, blanks in (("", "white"), ("-", "item")):
        result = CliRunner().invoke(main, [*CALL, *MAPPED], input=f"\n\n\n\n{answer}\n")
        assert result.exit_code == 0, result.output
        shown = result.output[result.output.index("  1  Material\n") :]
        assert shown.startswith(
            "  1  Material\n  2  -\n"
            f"The column that chooses the blank [Material]: {answer}\n"
        )
        assert list(written(shop)["blanks"]) == [blanks]
        builds(shop)
        shutil.rmtree(shop.path / "run")
        (shop.path / "fresh.toml").unlink()


@pytest.mark.parametrize(
    ("heading", "line"),
    [
        ("Blnk", "the column that chooses the blank: the sheet has no heading 'Blnk'; did you mean "
         "'Blank'? allowed: Order, Asset no, Owner, Photo, Pieces, Blank"),
        ("Blank", "the column that chooses the blank: nothing stands below 'Blank'; name another "
         "with --blank HEADING, or - for none"),
    ],
)  # fmt: skip
def test_a_column_that_cannot_choose_is_refused(shop: Shop, heading: str, line: str) -> None:
    with_column(shop, "Blank", [""])
    before = shop.state()
    assert shop.call(*CALL, *MAPPED, "--blank", heading, "--yes") == (2, "", line + "\n")
    assert shop.state() == before
