"""Serial rules in a job that cannot be: one line each, with its place and how to mend it."""

from __future__ import annotations

import pytest
from serialjob import SerialShop, shop

__all__ = ["shop"]

MADE = 'text = "FHL-{{ year }}-{{ number }}{{ check }}"\ndigits = 4\ncheck = "luhn"\n'
TEXT = 'text = "FHL-{{ year }}-{{ number }}{{ check }}"'


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        (TEXT, 'text = "FHL-{{ year }}{{ check }}"',
         "job.toml:19, serials.tag.text: the serial has no number; write {{ number }} once, so "
         "that no two serials are alike"),
        (TEXT, 'text = "{{ number }}{{ number }}{{ check }}"', "the number comes twice"),
        (TEXT, 'text = "{{ year }}{{ week }}{{ number }}{{ check }}"', "write {{ week_year }}"),
        (TEXT, 'text = "{{ numbr }}"', "a serial has no part 'numbr'; did you mean 'number'?"),
        (TEXT, 'text = "{{ number }}"', "a check is computed, but the text does not show it once"),
        (MADE, TEXT + '\nlist = "orders.csv"\ncolumn = "Owner"\n',
         "has both a text and a list of given values"),
        (MADE, 'list = "orders.csv"\ncolumn = "Owner"\ncheck = "luhn"\n',
         "check is for numbers that are made, but these are given by a list; take it away"),
        (TEXT, TEXT + '\ncolumn = "Code"', "a column is named, but no list of given values"),
        (MADE, 'list = "codes.csv"\n', "there is no file 'codes.csv'"),
        (MADE, 'list = "../codes.csv"\n', "'../codes.csv' lies outside the folder"),
        (TEXT + "\n", "", "the serial has neither a text nor a list"),
        ('check = "luhn"', 'check = "none"', "nothing says how it is computed"),
        ('check = "luhn"', 'check = "lunh"', "did you mean 'luhn'?"),
        ('check = "luhn"', 'check = "luhn"\ncheck_over = "FHL{{ number }}"',
         "luhn cannot be computed over F H L; it reads digits; leave out the rest in check_over"),
        ('check = "luhn"', 'check = "luhn"\ncheck_over = "{{ year }}"', "over the number"),
        ("digits = 4", 'digits = 4\nalphabet = "hex"', "luhn cannot be computed over A B C D E F"),
        ("digits = 4", "digits = 4\nstart = 10000", "10000, does not fit into 4 places"),
        ("digits = 4", 'digits = 4\nremake = "same"', "did you mean 'same-when-destroyed'?"),
        ("[serials.tag]", "[serials.piece]", "'piece' cannot be a serial's name in templates"),
        ("[serials.tag]", '[columns]\ntag = "Owner"\n[serials.tag]',
         "'tag' is the name of a column and of a serial; give one of them another name"),
        ("digits = 4", "digit = 4", "unknown key 'digit'; did you mean 'digits'?"),
    ],
)  # fmt: skip
def test_one_line_and_exit_code_4(shop: SerialShop, old: str, new: str, line: str) -> None:
    shop.swap("job.toml", old, new)
    answer = shop.call("check", "job.toml", "--workers", "1")
    assert answer.code == 4
    assert any(line in found for found in answer.err.splitlines()), answer.err
    assert len(answer.err.splitlines()) == 1


def test_a_column_of_the_sheet_with_the_name_of_a_serial(shop: SerialShop) -> None:
    shop.swap("orders.csv", "Order,Owner", "Order,Tag,Owner")
    for row in ("1002,Ada", "1001,", "1002,Mary"):
        shop.swap("orders.csv", row, row.replace(",", ",x,"))
    answer = shop.call("check", "job.toml", "--workers", "1")
    assert (answer.code, answer.err) == (
        5,
        "orders.csv, sheet 'orders', column 'Tag': templates know this column as tag, and so they "
        "do the serial 'tag'; rename [serials.tag], or name the column under [columns]\n",
    )


def test_two_kinds_of_counter_of_one_name(shop: SerialShop) -> None:
    shop.swap("job.toml", "[serials.tag]",
              '[serials.code]\nlist = "orders.csv"\ncolumn = "Owner"\nscope = "tag"\n[serials.tag]')
    answer = shop.call("check", "job.toml", "--workers", "1")
    assert answer.code == 4 and "only one of them is a list of given values" in answer.err
