"""Safe names, the job's own names, and headings that are not clear."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from intake_setups import book, opened, written

from vardata.intake.safenames import safe_name
from vardata.problems import SheetError


@pytest.mark.parametrize(
    ("heading", "name"),
    [
        ("Name", "name"), (" Order No. ", "order_no"), ("Größe", "grosse"), ("Prénom", "prenom"),
        ("E-Mail", "e_mail"), ("2nd line", "c_2nd_line"), ("Łódź", "lodz"), ("Åsa Ø", "asa_o"),
        ("Range", "range_"), ("not", "not_"), ("Имя", ""), ("№ 5", "no_5"), ("a  -  b", "a_b"),
        ("__x__", "x"), ("#", ""), ("Line\nTwo", "line_two"), ("İstanbul", "istanbul"),
    ],
)  # fmt: skip
def test_safe_names(heading: str, name: str) -> None:
    assert safe_name(heading) == name


@given(st.text())
def test_a_safe_name_is_an_identifier_or_nothing(heading: str) -> None:
    name = safe_name(heading)
    assert name == "" or (name.isidentifier() and name.isascii() and name == name.lower())


def names(tmp_path: Path, head: str, needed: str = "", **job: Any) -> tuple[str, ...]:
    path = written(tmp_path, head + "\n" + "x," * (head.count(",")) + "x\n")
    return opened(path, needed, **job).names


def faults(tmp_path: Path, head: str, needed: str = "", **job: Any) -> list[str]:
    with pytest.raises(SheetError) as caught:
        names(tmp_path, head, needed, **job)
    assert caught.value.exit_code == 5
    return [line.partition(": ")[2] for line in str(caught.value).split("\n")]


def test_names_stand_in_sheet_order(tmp_path: Path) -> None:
    assert names(tmp_path, "Order,Name,Имя,Name ") == ("order", "name_b", "column_c", "name_d")


def test_the_jobs_names_go_first(tmp_path: Path) -> None:
    columns = {"name": "Nom", "price": {"heading": "PREIS € "}}
    assert names(tmp_path, "Name,Nom,Preis €", columns=columns) == ("name_a", "name", "price")


def test_a_heading_is_matched_letter_by_letter_first(tmp_path: Path) -> None:
    columns = {"first": "NAME", "second": "Name"}
    assert names(tmp_path, "Name,NAME", columns=columns) == ("second", "first")


def test_new_names_do_not_collide(tmp_path: Path) -> None:
    found = names(tmp_path, "Name,name,Name_a,Name_b")
    assert len(set(found)) == 4
    assert found[2:] == ("name_a", "name_b")


def test_a_missing_column_names_the_nearest(tmp_path: Path) -> None:
    assert faults(tmp_path, "Order,Full Name", "fullname size") == [
        "2 columns are not there: 'fullname' of the layout, 'size' of the layout; the headings are "
        "'Order', 'Full Name'; did you mean {{ full_name }} for 'fullname'? If not, write each "
        "heading in the job and the layout as it is in the sheet"
    ]
    assert faults(tmp_path, "Order,Full Name", "size") == [
        "the layout uses column 'size', which is not there; the headings are 'Order', "
        "'Full Name'; add the column, or name its heading under [columns]",
    ]


def test_all_missing_columns_are_told_in_one_line(tmp_path: Path) -> None:
    columns, roles = {"nom": "Nome", "team": "Squad"}, {"order": "Nr", "quantity": "Pieces"}
    assert faults(tmp_path, "Name,City", "nom", columns=columns, records=roles) == [
        "4 columns are not there: 'Nome' of column 'nom', 'Squad' of column 'team', the order "
        "column 'Nr', the quantity column 'Pieces'; the headings are 'Name', 'City'; did you mean "
        "'Name' for 'Nome'? If not, write each heading in the job and the layout as it is in the "
        "sheet"
    ]


def told(tmp_path: Path, stated: int, *lines: str) -> str:
    path = written(tmp_path, "\n".join(lines))
    columns, roles = {"guest": "Guest", "table": "Table"}, {"order": "Order", "quantity": "Pieces"}
    with pytest.raises(SheetError) as caught:
        opened(path, "guest", columns=columns, records=roles, sheet={"header_row": stated})
    return str(caught.value).partition(": ")[2]


GUESTS = ("Order,Guest,Table,Pieces", "2001,Ottilie Brandvold,7,1", "2002,Jory Brandvold,8,1")


def test_headings_below_the_stated_row_are_pointed_at(tmp_path: Path) -> None:
    remedy = "; the headings seem to stand in row 3: write header_row = 3 under [sheet]"
    assert told(tmp_path, 1, "Dinner", "", *GUESTS) == (
        "none of the job's columns is in this heading row; the headings are 'Dinner'" + remedy
    )
    assert told(tmp_path, 1, "Guest list,Order", "", *GUESTS) == (
        "3 columns are not there: 'Guest' of column 'guest', 'Table' of column 'table', the "
        "quantity column 'Pieces'; the headings are 'Guest list', 'Order'" + remedy
    )
    assert told(tmp_path, 2, "Winter dinner", "", *GUESTS) == "the heading row is empty" + remedy


def test_headings_above_the_stated_row_are_pointed_at(tmp_path: Path) -> None:
    remedy = "; the headings seem to stand in row 1: write header_row = 1 under [sheet]"
    for stated in (2, 3):  # below row 3 there is no data either: the columns say more
        cells = ", ".join(f"'{cell}'" for cell in GUESTS[stated - 1].split(","))
        assert told(tmp_path, stated, *GUESTS) == (
            f"none of the job's columns is in this heading row; the headings are {cells}" + remedy
        )
    assert told(tmp_path, 9, *GUESTS) == (
        "the sheet ends at row 3, before its heading row 9" + remedy
    )


def test_no_row_is_pointed_at_that_has_no_more_of_the_headings(tmp_path: Path) -> None:
    assert told(tmp_path, 1, "Order,Table,Pieces", "x", *GUESTS[1:]).endswith(
        "'Pieces'; write the heading as it is in the sheet"
    )


def test_a_double_heading_is_a_fault_only_where_it_is_needed(tmp_path: Path) -> None:
    assert names(tmp_path, "Name,City,name", "city") == ("name_a", "city", "name_c")
    assert faults(tmp_path, "Name,City,name", "name") == [
        "the layout's column 'name' is there more than once: 'Name' in A and 'name' in C; give "
        "each its own heading in the sheet, or write the one that is meant under [columns]"
    ]
    one = {"name": "name"}
    assert names(tmp_path, "Name,City,name", "name", columns=one) == ("name_a", "city", "name")


def test_faults_of_the_jobs_own_names(tmp_path: Path) -> None:
    columns = {"nom": "Nome", "a": "City", "b": "City", "not": "Name", "2x": "Name"}
    assert faults(tmp_path, "Name,City", "nom", columns=columns) == [
        "column 'nom' of the job has heading 'Nome', which is not there; the headings are 'Name', "
        "'City'; did you mean 'Name'? If not, write the heading as it is in the sheet",
        "heading 'City' is given to both 'a' and 'b'; give each column one name under [columns]",
        "'not' under [columns] cannot be used in a template; use a name of letters, digits and _ "
        "that is no word of the template language",
        "'2x' under [columns] cannot be used in a template; use a name of letters, digits and _ "
        "that is no word of the template language",
    ]


def test_roles_are_found_by_name_or_heading(tmp_path: Path) -> None:
    for wanted in ("order_no", "Order No.", "order no."):
        path = written(tmp_path, "Order No.,Name\nA7,Ann\n")
        assert next(iter(opened(path, records={"order": wanted}))).order == "A7"
    assert faults(tmp_path, "Order No.,Name", records={"order": "Ordr No"}) == [
        "the order column 'Ordr No' is not there; the headings are 'Order No.', 'Name'; did you "
        "mean 'Order No.'? If not, set order under [records] to a heading of the sheet"
    ]


def test_an_empty_heading_row(tmp_path: Path) -> None:
    assert faults(tmp_path, ",,", "name") == [
        "the heading row is empty; set header_row under [sheet] to the row that holds the headings"
    ]


def test_headings_in_another_sheet_of_a_workbook_are_pointed_at(tmp_path: Path) -> None:
    def second(workbook: Any, sheet: Any) -> None:
        data = workbook.create_sheet('Guests "26"')
        for row in (["Winter dinner"], ["Order", "Guest"], ["2001", "Ottilie Brandvold"]):
            data.append(row)

    path = book(tmp_path, [["see the next sheet"]], second)
    job: dict[str, Any] = {"columns": {"guest": "Guest"}, "records": {"order": "Order"}}
    with pytest.raises(SheetError) as caught:
        opened(path, "guest", **job)
    assert str(caught.value) == (
        "sheet 'Orders', row 1: 2 columns are not there: 'Guest' of column 'guest', the order "
        "column 'Order'; the headings are 'see the next sheet'; the headings seem to stand in "
        "sheet 'Guests \"26\"': write sheet = \"Guests \\\"26\\\"\" under [sheet]"
    )
    job["sheet"] = tomllib.loads(str(caught.value).rpartition("write ")[2].partition(" under")[0])
    assert [record.order for record in opened(path, "guest", **job)] == ["2001"]
