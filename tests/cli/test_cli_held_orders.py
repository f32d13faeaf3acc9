"""What the pick list by order says of orders of which rows are held. Judged by poppler's text."""

from __future__ import annotations

import subprocess

from badjob import Shop

HEAD = "Order,Asset no,Owner,Photo,Pieces\n"


def by_order(shop: Shop, *more: str) -> str:
    assert shop.build(*more).code == 3
    done = subprocess.run(
        ["pdftotext", "-layout", "run/picklist.pdf", "-"], capture_output=True, check=True
    )
    said = done.stdout.decode()
    return " ".join(said[said.index("PICK LIST, ORDER TO SLOTS") :].split())


def test_a_packer_sees_that_rows_of_an_order_are_held_and_why(shop: Shop) -> None:
    long = "W" * 90
    shop.write("orders.csv", HEAD + "".join([
        "7,SN-1,Ada King,photos/ada.png,2\n",
        f"7,SN-2,{long},photos/ada.png,1\n",
        "8,SN-3,Bo Li,photos/ada.png,1\n",
        "9,SN-4,Cy Mo,photos/none.png,1\n",
        "9,SN-5,Di Ro,photos/none.png,3\n",
    ]))  # fmt: skip
    said = by_order(shop)
    seven, eight, nine = (said.index(f" {order} {count} ") for order, count in
                          (("7", "2"), ("8", "1"), ("9", "0")))  # fmt: skip
    assert "1 row held, not printed: row 3, " in said[seven:eight]
    assert "held" not in said[eight:nine]
    # All of order 9 is held: it is listed all the same.
    assert (
        "9 0 2 rows held, not printed: 5, 6; row 5, the picture 'photos/none.png' is not there"
    ) in said[nine:]


def test_of_an_order_with_many_held_rows_the_first_rows_are_named(shop: Shop) -> None:
    shop.write("orders.csv", HEAD + "8,SN-0,Bo Li,photos/ada.png,1\n" + "".join(
        f"9,SN-{n},Cy Mo,photos/none.png,{1 + n % 2}\n" for n in range(1, 11)
    ))  # fmt: skip
    assert (
        "9 0 10 rows held, not printed: 3, 4, 5, 6, 7, 8, 9, 10 and 2 more; row 3, the picture "
    ) in by_order(shop)


def test_it_is_told_with_the_last_bag_of_an_order(shop: Shop) -> None:
    shop.swap("job.toml", "[blanks.black]", "[work]\nbag = 2\n\n[blanks.black]")
    shop.write("orders.csv", HEAD + "".join([
        "7,SN-1,Ada King,photos/ada.png,3\n",
        "7,SN-2,Bo Li,photos/none.png,1\n",
    ]))  # fmt: skip
    said = by_order(shop)
    first, last = said.index("bag 1 of 2"), said.index("bag 2 of 2")
    assert "held" not in said[first:last]
    assert "1 row held, not printed: row 3, " in said[last:]


def test_a_reason_shows_nothing_personal(shop: Shop) -> None:
    shop.swap("job.toml", "[sheet]", 'personal = ["Owner"]\n\n[sheet]')
    shop.write("orders.csv", HEAD + f"7,SN-1,{'W' * 90},photos/ada.png,1\n")
    said = by_order(shop)
    assert (
        "7 0 1 row held, not printed: row 2, text too long; what the cell holds is personal and "
        "not shown"
    ) in said
    assert "WWW" not in said
