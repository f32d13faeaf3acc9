"""What other features do in mixed runs: remakes, and texts that share one size."""

from __future__ import annotations

from mixedshop import Shop, shop

__all__ = ["shop"]


def test_a_spoiled_piece_is_made_again_on_the_jig_of_its_product(shop: Shop) -> None:
    shop.build()
    spoiled = next(s for s in shop.slots() if s["record"] == "orders!14#1")
    assert spoiled["product"] == "badge"
    done = shop.call(
        "remake", "job.toml", "run", "--slot", f"{spoiled['bed']}/{spoiled['slot']}",
        "--out", "again",
    )  # fmt: skip
    assert done.code == 0, done
    (piece,) = shop.slots("again")
    assert (piece["record"], piece["product"], piece["codes"][0]["text"]) == (
        "orders!14#1", "badge", "RC0013"
    )  # fmt: skip
    assert "-badge-jig-20-bed-0001-of-0001.pdf" in piece["file"]


def test_pieces_with_serials_of_a_mixed_job_are_not_made_again_one_by_one(shop: Shop) -> None:
    shop.swap("badge.toml", 'text = "{{ number }}"', 'text = "{{ tag }}"')
    job = shop.path / "job.toml"
    job.write_text(job.read_text("utf-8") + '\n[serials.tag]\ntext = "B{{ number }}"\ndigits = 3\n')
    shop.build()
    done = shop.call("remake", "job.toml", "run", "--slot", "3/A1", "--out", "again")
    assert (done.code, done.err) == (
        2,
        "job.toml: pieces of a mixed job with serials cannot be made again one by one; build an "
        "order sheet of their rows\n",
    )


def test_texts_of_each_product_share_a_size_of_their_own(shop: Shop) -> None:
    shop.swap("medal.toml", 'size = "17pt"', 'size = "17pt"\none_size = "batch"')
    shop.swap("badge.toml", 'size = "15pt"', 'size = "15pt"\none_size = "order"')
    shop.build()
    sizes: dict[str, set[float]] = {}
    for slot in shop.slots():
        key = slot["product"] + (slot["order"] if slot["product"] == "badge" else "")
        sizes.setdefault(key, set()).add(slot["texts"][0]["size_pt"])
    medals = sizes.pop("medal")
    assert len(medals) == 1
    sizes.pop("plate")
    assert all(len(of_order) == 1 for of_order in sizes.values())
    assert set().union(*sizes.values()) != medals
