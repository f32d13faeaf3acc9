"""``vardata serials``: list, gaps, import, void, deliver, register, confirm-destroyed."""

from __future__ import annotations

import json

import openpyxl
import pandas
import pytest
from serialjob import SerialShop, shop

from vardata.ledger.serials import Serials

__all__ = ["shop"]
A, B, C, D = "FHL-2026-00018", "FHL-2026-00026", "FHL-2026-00034", "FHL-2026-00042"


def table(shop: SerialShop) -> dict[str, str]:
    """Serial to state, read by pandas from the CSV and by openpyxl from the workbook."""
    assert shop.serials("register", "--out", "reg", "--replace").code == 0
    frame = pandas.read_csv(shop.path / "reg/register.csv", dtype=str, keep_default_na=False)
    rows = list(openpyxl.load_workbook(shop.path / "reg/register.xlsx").active.values)
    assert rows[0] == tuple(frame.columns)
    assert [[cell or "" for cell in row] for row in rows[1:]] == frame.values.tolist()
    return dict(zip(frame["serial"], frame["state"]))


def test_nothing_yet(shop: SerialShop) -> None:
    answer = shop.serials("list")
    assert answer.code == 0 and answer.out.endswith("; none given yet\n")
    assert shop.serials("gaps").out == "no gaps\n"
    assert table(shop) == {}
    assert not (shop.path / "ledger.sqlite").exists()


def test_from_build_to_delivery(shop: SerialShop) -> None:
    run = shop.build()
    assert "next FHL-" in shop.serials("list").out and "; 4 printed\n" in shop.serials("list").out
    assert table(shop) == dict.fromkeys((A, B, C, D), "printed")
    assert shop.serials("void", B).out == "1 number void\n"
    assert shop.serials("deliver", run).out == "3 numbers delivered\n"
    assert table(shop) == {A: "delivered", B: "void", C: "delivered", D: "delivered"}
    assert shop.serials("gaps").out == f"{B} (1): void\n"
    shop.build("run2")
    assert table(shop)[B] == "void"  # building again brings nothing back
    first = (shop.path / "reg/register.xlsx").read_bytes()
    assert table(shop) and (shop.path / "reg/register.xlsx").read_bytes() == first


def test_answers_for_machines(shop: SerialShop) -> None:
    run = shop.build()
    listed = json.loads(shop.serials("list", "--json").out)["serials"]
    assert listed[0] | {"next": ""} == {
        "rule": "tag", "counter": "tag", "next": "", "states": {"printed": 4},
    }  # fmt: skip
    assert json.loads(shop.serials("void", A, D, "--json").out)["void"] == 2
    gaps = json.loads(shop.serials("gaps", "--json").out)["gaps"]
    assert [(gap["first"], gap["last"], gap["state"]) for gap in gaps] == [
        (1, 1, "void"), (4, 4, "void"),
    ]  # fmt: skip
    assert json.loads(shop.serials("deliver", run, "--json").out)["delivered"] == 2
    bad = shop.serials("void", "nonsense", "--json")
    assert bad.code == 2 and json.loads(bad.out)["problems"][0]["kind"] == "no-serial"


@pytest.mark.parametrize(
    ("call", "code", "line"),
    [
        (["void", "FHL-2026-00019"], 2, "'FHL-2026-00019' is no serial that this job has printed"),
        (["void", "FHL-2026-99995"], 2, "is no serial that this job has printed"),
        (["void", "FHL-2025-00018"], 2, "is no serial that this job has printed"),
        (["void", A, "--rule", "tga"], 2, "the job has no serial 'tga'; did you mean 'tag'?"),
        (["deliver", "abc"], 2, "the ledger knows no serials of a run 'abc'"),
        (["register", "--out", "run"], 6, "run: the output folder exists already"),
        (["import", "lost.csv"], 5,
         "lost.csv: the file is not there; name a file that is there"),
        (["import", "order.csv"], 5,
         "order.csv: the file is not there; did you mean 'orders.csv'?"),
        (["import", "orders.csv", "--column", "Owner"], 5,
         "orders.csv: 'Ada' is not a serial like 'FHL-{{ year }}-{{ number }}{{ check }}'"),
        (["import", "orders.csv"], 4, "'orders.csv' has 4 columns; say which"),
        (["confirm-destroyed", A], 2, f"'{A}' never comes again: a remake takes a new number"),
    ],
)
def test_one_line_each(shop: SerialShop, call: list[str], code: int, line: str) -> None:
    shop.build()
    before = (shop.path / "ledger.sqlite").read_bytes()
    answer = shop.serials(*call)
    assert answer.code == code and line in answer.err.splitlines()[0], answer
    assert "Traceback" not in answer.err
    assert (shop.path / "ledger.sqlite").read_bytes() == before


def test_a_job_without_serials(shop: SerialShop) -> None:
    text = (shop.path / "job.toml").read_text("utf-8")
    shop.write("job.toml", text[: text.index("[serials.tag]")])
    layout = (shop.path / "tag.toml").read_text("utf-8")
    shop.write("tag.toml", layout.replace("{{ tag }}", "{{ owner }}"))
    answer = shop.serials("list")
    assert (answer.code, answer.err) == (
        4, "job.toml: the job has no serials; add a table [serials.<name>]\n"
    )  # fmt: skip
    assert shop.build()  # and it needs none


def test_imported_numbers_are_never_given(shop: SerialShop) -> None:
    shop.write("used.csv", "Serial\nFHL-2019-00026\nFHL-2024-00034\n")
    assert shop.serials("import", "used.csv").out == "2 numbers imported\n"
    again = shop.serials("import", "used.csv").out
    assert again == "0 numbers imported\n2 known already as imported, left so\n"
    shop.write("bare.csv", "No\n5\n006\n")
    assert shop.serials("import", "bare.csv", "--numbers").out == "2 numbers imported\n"
    shop.build()
    assert sorted(int(code[-5:-1]) for code in shop.codes().values()) == [1, 4, 7, 8]
    assert list(table(shop).values()).count("printed") == 4
    out = shop.serials("import", "used.csv", "--json").out
    assert json.loads(out)["known"] == {"imported": 2}


def test_a_wrong_check_digit_is_told(shop: SerialShop) -> None:
    # By hand (Luhn): 0002 with 6, 0003 with 4.
    shop.write("used.csv", "Serial\nFHL-2019-00027\nFHL-2019-00034\nFHL-2019-0034\n")
    assert shop.serials("import", "used.csv") == (5, "", (
        "used.csv: 'FHL-2019-00027' has the wrong check digit: 7, and 6 is right; correct the "
        "number, or take it out\n"
        "used.csv: 'FHL-2019-0034' is not a serial like 'FHL-{{ year }}-{{ number }}{{ check }}'; "
        "take it out, or say --numbers for numbers\n"
    ))  # fmt: skip


def test_a_spoiled_piece_comes_again_only_when_it_is_destroyed(shop: SerialShop) -> None:
    shop.swap("job.toml", "digits = 4", 'digits = 4\nremake = "same-when-destroyed"')
    shop.build()
    shop.serials("void", A)
    answer = shop.serials("confirm-destroyed", A)
    assert answer.code == 2 and f"'{A}' is void" in answer.err
    assert shop.serials("confirm-destroyed", B, C).out == "2 pieces confirmed destroyed\n"
    ledger = Serials(shop.path / "ledger.sqlite")
    assert ledger.remake("tag", 2, destroyed=True) == 2
    assert ledger.remake("tag", 4) == 5


def test_the_register_of_a_given_list_keeps_what_could_run_from_running(shop: SerialShop) -> None:
    made = 'text = "FHL-{{ year }}-{{ number }}{{ check }}"\ndigits = 4\ncheck = "luhn"\n'
    shop.swap("job.toml", made, 'list = "codes.csv"\n')
    shop.write("codes.csv", "Code\n=1+1\n0042\nC\nD\nE\n")
    shop.build()
    assert "next E; 4 printed" in shop.serials("list").out
    assert shop.serials("void", "=1+1").out == "1 number void\n"
    assert shop.serials("register", "--out", "reg").code == 0
    sheet = openpyxl.load_workbook(shop.path / "reg/register.xlsx").active
    assert [(row[0].value, row[0].data_type, row[1].value) for row in sheet.iter_rows(2)] == [
        ("=1+1", "s", "void"), ("0042", "s", "printed"), ("C", "s", "printed"),
        ("D", "s", "printed"),
    ]  # fmt: skip
    text = (shop.path / "reg/register.csv").read_bytes()
    assert b"\r\n\"'=1+1\",\"void\"" in text  # OWASP ASVS 1.2.10
