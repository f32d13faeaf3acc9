"""Proofs of a mixed job: all its products in one call. Judged by poppler's text of the pages."""

from __future__ import annotations

import subprocess
from pathlib import Path

from mixedshop import Shop, shop

__all__ = ["shop"]

PRODUCTS = ("medal, 50 x 50 mm", "badge, 70 x 25 mm", "plate, 120 x 40 mm")


def pages(path: Path) -> list[str]:
    done = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True)
    return done.stdout.decode().split("\f")[:-1]


def test_the_hardest_of_every_product_are_on_one_proof(shop: Shop) -> None:
    done = shop.call("proof", "job.toml", "--out", "hard.pdf")
    assert done.code == 0, done.err
    said = "\n".join(pages(shop.path / "hard.pdf"))
    places = [said.index(product) for product in PRODUCTS]
    assert places == sorted(places)
    assert said.count("longest text:") >= 3
    for one in ("medal", "badge", "plate"):
        done = shop.call("proof", "job.toml", "--out", f"{one}.pdf", "--product", one)
        assert done.code == 0, done.err
        alone = "\n".join(pages(shop.path / f"{one}.pdf"))
        assert not any(other in alone for other in PRODUCTS)
        assert f"layout {one}" in " ".join(alone.split())


def test_a_customer_sees_all_items_of_an_order(shop: Shop) -> None:
    done = shop.call("proof", "job.toml", "--out", "order.pdf", "--order", "MH-26")
    assert done.code == 0 and done.out.startswith("8 items, proof ")
    said = "\n".join(pages(shop.path / "order.pdf"))
    keys = [
        f"orders!{row}#{piece}" for row, line in enumerate(shop.sheet(), 2)
        if line["Order"] == "MH-26" for piece in range(1, int(line["Pieces"]) + 1)
    ]  # fmt: skip
    assert len(keys) == 8 and all(key in said for key in keys)
    assert all(product in said for product in PRODUCTS)
    assert said.count("signature") == 1


def test_each_product_has_a_first_piece_to_sign(shop: Shop) -> None:
    done = shop.call("proof", "job.toml", "--out", "first.pdf", "--specimen")
    assert done.code == 0 and done.out.startswith("3 items ")
    sheets = pages(shop.path / "first.pdf")
    assert len(sheets) == 3
    for sheet, product in zip(sheets, ("medal", "badge", "plate")):
        assert product in sheet and "page 1 of 1" in sheet
        for word in ("FIRST-OFF", "position", "adhesion", "scan of codes", "not good"):
            assert word in sheet, word
    assert "scan of number: RC0" in sheets[1]  # what the code of the badge must say


def test_a_part_of_an_order_is_not_offered_for_approval(shop: Shop) -> None:
    done = shop.call(
        "proof", "job.toml", "--out", "x.pdf", "--order", "MH-26", "--product", "medal"
    )
    assert done.code == 2
    assert done.err.strip() == (
        "--product would leave a part of the order out, and an order is approved whole; "
        "leave --product out"
    )
