"""Whole jobs with serials: who gets which, what stays the same, what is never used up."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from serialjob import SerialShop, png, shop
from stdnum import luhn

__all__ = ["shop"]


def numbers(codes: dict[str, str]) -> list[int]:
    """The counter's numbers behind the codes; python-stdnum judges their check digits."""
    assert all(luhn.is_valid(code[-5:]) for code in codes.values())
    return [int(code[-5:-1]) for code in codes.values()]


def test_records_get_their_numbers_in_the_order_of_the_sheet(shop: SerialShop) -> None:
    shop.build()
    # By hand: Luhn doubles the last digit and fills up to ten, so 1 gives 8, 2 gives 6, ...
    assert shop.codes() == {
        "orders!2#1": "FHL-2026-00018", "orders!3#1": "FHL-2026-00026",
        "orders!3#2": "FHL-2026-00034", "orders!4#1": "FHL-2026-00042",
    }  # fmt: skip
    facts = json.loads((shop.path / "run/run.json").read_text("utf-8"))
    assert facts["serials"]["tag"]["ranges"] == [[1, 4]]


def test_the_same_input_gives_the_same_bytes_and_another_fresh_numbers(shop: SerialShop) -> None:
    first = shop.build("run1")
    assert shop.build("run2") == first
    ours, theirs = shop.path / "run1", shop.path / "run2"
    names = sorted(p.relative_to(ours) for p in ours.rglob("*") if p.is_file())
    assert names == sorted(p.relative_to(theirs) for p in theirs.rglob("*") if p.is_file())
    assert [n for n in names if (ours / n).read_bytes() != (theirs / n).read_bytes()] == []
    shop.swap("orders.csv", "Mary", "Marie")
    assert shop.build("run3") != first
    assert sorted(numbers(shop.codes("run3"))) == [5, 6, 7, 8]
    shop.swap("orders.csv", "Marie", "Mary")
    assert shop.build("run4") == first
    assert shop.codes("run4") == shop.codes("run1")


def test_workers_make_no_difference(shop: SerialShop) -> None:
    one = shop.build("run1")
    answer = shop.call("build", "job.toml", "--out", "run2", "--workers", "2",
                       "--at", "2026-10-31")  # fmt: skip
    assert answer.code == 0 and one in answer.out
    assert (shop.path / "run1/slots.jsonl").read_bytes() == (
        shop.path / "run2/slots.jsonl"
    ).read_bytes()


def test_other_pictures_get_other_numbers(shop: SerialShop) -> None:
    shop.build("run1")
    (shop.path / "ada.png").write_bytes(png(20))
    blue = shop.build("run2")
    assert sorted(numbers(shop.codes("run2"))) == [5, 6, 7, 8]
    assert shop.build("run3") == blue
    assert shop.codes("run3") == shop.codes("run2")
    (shop.path / "ada.png").write_bytes(png(180))
    shop.build("run4")
    assert shop.codes("run4") == shop.codes("run1")


def test_a_held_record_leaves_its_number_unused(shop: SerialShop) -> None:
    shop.swap("orders.csv", "Grace,ada.png,2", "Grace,lost.png,2")
    shop.build()
    assert sorted(numbers(shop.codes())) == [1, 4]
    answer = shop.serials("gaps")
    assert "FHL-2026-00026 to FHL-2026-00034 (2): unused: held records of job tags" in answer.out
    held = (shop.path / "run/held.csv").read_text("utf-8-sig").splitlines()
    assert held[0].startswith('"Order","Owner","Photo","Pieces","held: row"')
    assert "FHL" not in held[1]


def test_check_and_preview_use_nothing_up(shop: SerialShop) -> None:
    before = shop.files()
    assert shop.call("check", "job.toml", "--workers", "1").code == 0
    shown = shop.call("preview", "job.toml", "--out", "look.png", "--workers", "1")
    assert shown.code == 0
    (shop.path / "look.png").unlink()
    assert shop.files() == before  # not even an empty ledger
    shop.build("run1")
    ledger = (shop.path / "ledger.sqlite").read_bytes()
    shop.swap("orders.csv", "Mary", "Marie")
    assert shop.call("check", "job.toml", "--workers", "1").code == 0
    assert (shop.path / "ledger.sqlite").read_bytes() == ledger
    shop.build("run2")
    assert sorted(numbers(shop.codes("run2"))) == [5, 6, 7, 8]


def test_a_serial_that_the_layout_does_not_use_takes_no_number(shop: SerialShop) -> None:
    shop.swap("job.toml", "[serials.tag]", '[serials.more]\ntext = "{{ number }}"\n\n[serials.tag]')
    shop.build()
    assert list(json.loads((shop.path / "run/run.json").read_text())["serials"]) == ["tag"]


def test_jobs_may_share_a_counter(shop: SerialShop) -> None:
    shop.swap("job.toml", "digits = 4", 'digits = 4\nscope = "all"')
    shop.build("run1")
    text = (shop.path / "job.toml").read_text("utf-8")
    shop.write("other.toml", text.replace('name = "tags"', 'name = "others"').replace("FHL-", "X"))
    answer = shop.call("build", "other.toml", "--out", "run2", "--workers", "1")
    assert answer.code == 0, answer
    assert sorted(numbers(shop.codes("run2"))) == [5, 6, 7, 8]


def test_a_crash_keeps_the_numbers_with_their_input(
    shop: SerialShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Crash(BaseException):
        pass

    def crash(*_: object, **__: object) -> None:
        raise Crash

    with monkeypatch.context() as patch:
        patch.setattr("vardata.merge.write_run", crash)
        with pytest.raises(Crash):
            shop.build("run1")
    assert not Path("run1").exists()
    assert "(4): reserved by job tags on " in shop.serials("gaps").out
    assert "no run has finished" in shop.serials("gaps").out
    shop.swap("orders.csv", "Mary", "Marie")
    shop.build("run2")
    assert sorted(numbers(shop.codes("run2"))) == [5, 6, 7, 8]
    shop.swap("orders.csv", "Marie", "Mary")
    shop.build("run1")
    assert sorted(numbers(shop.codes("run1"))) == [1, 2, 3, 4]
    assert shop.serials("gaps").out == "no gaps\n"


LIST = 'list = "codes.csv"\n'


def given_list(shop: SerialShop, codes: str) -> None:
    made = 'text = "FHL-{{ year }}-{{ number }}{{ check }}"\ndigits = 4\ncheck = "luhn"\n'
    shop.swap("job.toml", made, LIST)
    shop.write("codes.csv", codes)


def test_a_given_list_is_consumed_once_each(shop: SerialShop) -> None:
    given_list(shop, "Code\n007\n=1+1\nK 7\n\nA-9\nB\nC\nD\nE\nF\n")
    first = shop.build("run1")
    assert shop.codes("run1") == {
        "orders!2#1": "007", "orders!3#1": "=1+1", "orders!3#2": "K 7", "orders!4#1": "A-9",
    }  # fmt: skip
    shop.write("codes.csv", "Code\nZ\nF\nB\n007\n")  # the customer sends another list
    shop.swap("orders.csv", "Mary", "Marie")
    shop.build("run2")
    assert sorted(shop.codes("run2").values()) == ["B", "C", "D", "E"]
    shop.swap("orders.csv", "Marie", "Mary")
    assert shop.build("run3") == first
    shop.swap("orders.csv", "Mary", "Maria")
    answer = shop.call("build", "job.toml", "--out", "run4", "--workers", "1")
    assert (answer.code, answer.err) == (
        4,
        "job.toml, serials.tag.list: the list 'codes.csv' is used up: 2 are left, and the order "
        "sheet asks for 4; add fresh values at its end\n",
    )
    assert not (shop.path / "run4").exists()


@pytest.mark.parametrize(
    ("codes", "more", "line"),
    [
        ("Code\nA\nB\nA\n", "", "codes.csv, row 4, column 'Code': the list holds 'A' twice, first "
         "in row 2; keep one of them"),
        ("Code,Name\nA,x\n", "", "job.toml, serials.tag.column: 'codes.csv' has 2 columns; say "
         "which one holds the values with column"),
        ("Code,Name\nA,x\n", 'column = "Kode"\n', "did you mean 'Code'?"),
        ("Code\nA\ufffd\n", "", "codes.csv, row 2, column 'Code': the text holds U+FFFD"),
    ],
)  # fmt: skip
def test_a_list_that_cannot_be_used(shop: SerialShop, codes: str, more: str, line: str) -> None:
    given_list(shop, codes)
    shop.swap("job.toml", LIST, LIST + more)
    answer = shop.call("check", "job.toml", "--workers", "1")
    assert answer.code in (4, 5) and line in answer.err, answer.err
    assert len(answer.err.splitlines()) == 1


def test_a_counter_that_is_full(shop: SerialShop) -> None:
    shop.swap("job.toml", "digits = 4", "digits = 4\nstart = 9997")
    answer = shop.call("check", "job.toml", "--workers", "1")
    assert (answer.code, answer.err) == (
        4,
        "job.toml, serials.tag.digits: the counter 'tag' is used up at 4 digits: 3 are left, and "
        "the order sheet asks for 4; allow more digits, or start another counter with scope\n",
    )
