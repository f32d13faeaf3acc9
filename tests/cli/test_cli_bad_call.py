"""Wrong calls, and places that cannot be written to: one line each, nothing left behind.

Exit codes are those of README.md. Tests may run as root, whom no rights stop: a folder that
cannot be made lies below a plain file instead.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from badjob import HEADING, Shop, every, swap, write

CALL, OUTPUT = 2, 6
NOTHING = "; nothing was left behind"
BUILD = ["build", "job.toml", "--workers", "1"]


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (["chekc", "job.toml"],
         "vardata: no such command 'chekc'; did you mean 'check'? see vardata --help"),
        (["frobnicate"], "vardata: no such command 'frobnicate'; see vardata --help"),
        (["check"], "vardata check: missing argument 'JOB.toml'; see vardata check --help"),
        (["check", "job.toml", "tag.toml"],
         "vardata check: got unexpected extra argument (tag.toml); see vardata check --help"),
        (["build", "job.toml", "--worker", "2"],
         "vardata build: no such option '--worker'; did you mean '--workers'? see vardata build "
         "--help"),
        (["build", "job.toml", "--zzz"],
         "vardata build: no such option '--zzz'; see vardata build --help"),
        (["build", "job.toml", "--workers", "0"],
         "vardata build: invalid value for '--workers': 0 is not in the range 1<=x<=64; see "
         "vardata build --help"),
        (["build", "job.toml", "--workers", "two"],
         "vardata build: invalid value for '--workers': 'two' is not a whole number; see vardata "
         "build --help"),
        (["build", "job.toml", "--at", "31.10.2026"],
         '--at \'31.10.2026\' is no date; write it as "2026-10-31" or '
         '"2026-10-31T18:00:00+00:00"'),
        (["build", "job.toml", "--at", "2026-02-30"],
         '--at \'2026-02-30\' is no date; write it as "2026-10-31" or '
         '"2026-10-31T18:00:00+00:00"'),
        (["preview", "job.toml"],
         "vardata preview: missing option '--out'; see vardata preview --help"),
    ],
)  # fmt: skip
def test_a_wrong_call(shop: Shop, arguments: list[str], line: str) -> None:
    before = shop.state()
    assert shop.call(*arguments) == (CALL, "", line + "\n")
    assert shop.state() == before


@pytest.mark.parametrize("at", ["0001-01-01", "9999-12-31T23:59:59-05:00", "1980-01-01"])
def test_the_ends_of_the_calendar_are_dates(shop: Shop, at: str) -> None:
    assert shop.build("--at", at).code == 0


# ---------------------------------------------------------------- the run's folder


def folder(shop: Shop, name: str) -> None:
    (shop.path / name).mkdir()


@pytest.mark.parametrize("make", [folder, lambda shop, name: shop.write(name, "x")])
def test_a_place_that_is_taken(shop: Shop, make: object) -> None:
    assert callable(make)
    make(shop, "run")
    before = shop.state()
    assert shop.build() == (OUTPUT, "", "run: the output folder exists already; choose another "
                                        "with --out, or swap it with --replace\n")  # fmt: skip
    assert shop.state() == before


@pytest.mark.parametrize(
    "spoil",
    [
        write("run/letter.txt", "dear customer"),
        write("run", "dear customer"),
        lambda shop: (shop.path / "run").symlink_to("art"),
        lambda shop: (shop.path / "run").symlink_to("nowhere"),
    ],
)
def test_only_a_run_is_replaced(shop: Shop, spoil: object) -> None:
    assert callable(spoil)
    spoil(shop)
    before = shop.state()
    assert shop.build("--replace") == (
        OUTPUT, "", "run: what stands at --out is not the folder of a run; --replace only swaps "
        "an earlier run; choose another folder\n",
    )  # fmt: skip
    assert shop.state() == before


def test_a_run_that_fails_leaves_the_one_it_was_to_replace(shop: Shop) -> None:
    assert shop.build().code == 0
    shop.write("orders.csv", HEADING)
    before = shop.state()
    assert shop.build("--replace").code == 5
    assert shop.state() == before


@pytest.mark.parametrize(
    ("out", "line"),
    [
        ("orders.csv/run", "orders.csv/run: the run cannot be written: a file stands where a "
         "folder is wanted (orders.csv)"),
        ("orders.csv/a/run", "orders.csv/a/run: the run cannot be written: a file stands where a "
         "folder is wanted (orders.csv/a)"),
        ("x" * 300, f"{'x' * 300}: the run cannot be written: File name too long ({'x' * 300})"),
    ],
)  # fmt: skip
def test_a_folder_that_cannot_be_made(shop: Shop, out: str, line: str) -> None:
    before = shop.state()
    advice = f"; choose a folder that you may write to with --out{NOTHING}"
    assert shop.call(*BUILD, "--out", out) == (OUTPUT, "", f"{line}{advice}\n")
    assert shop.state() == before


def test_folders_made_on_the_way_are_gone_again(shop: Shop) -> None:
    shop.swap("orders.csv", "Owner", "Holder")
    before = shop.state()
    assert shop.call(*BUILD, "--out", "spring/week 3/run").code == 5
    assert shop.state() == before


def test_folders_made_on_the_way_stay_with_the_run(shop: Shop) -> None:
    assert shop.call(*BUILD, "--out", "spring/week 3/run").code == 0
    assert (shop.path / "spring/week 3/run/run.json").is_file()


@pytest.mark.parametrize(
    "arguments", [BUILD, ["check", "job.toml"], ["preview", "job.toml", "--out", "look.png"]],
)
def test_a_ledger_that_is_none(shop: Shop, arguments: list[str]) -> None:
    shop.write("ledger.sqlite", "dear customer, " * 400)
    shop.swap("orders.csv", "Owner", "Holder")  # the sheet is wrong too, but is not yet read
    before = shop.state()
    line = (
        f"{shop.path / 'ledger.sqlite'}: this file is no ledger: it is not a SQLite database; "
        'move it away, or name another with "ledger" in the job\n'
    )
    code, out, err = shop.call(*arguments)
    assert (code, out) == (OUTPUT, "")
    assert err in (line, line.replace("\n", f"{NOTHING}\n"))
    assert shop.state() == before


def test_a_ledger_that_is_a_folder(shop: Shop) -> None:
    (shop.path / "ledger.sqlite").mkdir()
    answer = shop.build()
    assert answer.code == OUTPUT
    assert answer.err == (
        f"{shop.path / 'ledger.sqlite'}: the ledger cannot be read (Is a directory); make it "
        'readable, or name another with "ledger" in the job\n'
    )


# ---------------------------------------------------------------- previews


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (["--bed", "2"], "there is no bed 2; bed 1 is the only one"),
        (["--slot", "9"], "the jig has no slot '9' that takes items; allowed: A1, A2, B1, B2"),
        (["--slot", "a1"],
         "the jig has no slot 'a1' that takes items; did you mean 'A1'? allowed: A1, A2, B1, B2"),
        (["--record", "orders!9"],
         "no record 'orders!9' is printed; a key is sheet!row#piece; held records are listed by "
         "vardata check"),
        (["--record", ""], "no record '' is printed; a key is sheet!row#piece; held records are "
         "listed by vardata check"),
        (["--plates", "Colour,Whit"],
         "the layout has no plate 'Whit'; did you mean 'White'? allowed: Colour, White"),
        (["--substrate", "black"], '--substrate \'black\' is no colour; write it as "#1a2b3c"'),
        (["--record", "orders!2", "--slot", "A1"],
         "--record and --slot each ask for one item; give one of them"),
        (["--bed", "0"], "vardata preview: invalid value for '--bed': 0 is not in the range "
         "x>=1; see vardata preview --help"),
        (["--out", "job.toml"], "--out 'job.toml' is no name for a PNG; end it in .png"),
        (["--out", "photos/ada.png"],
         "--out 'photos/ada.png' is a file that the job is made from; choose another name"),
        (["--out", "look.jpg"], "--out 'look.jpg' is no name for a PNG; end it in .png"),
    ],
)  # fmt: skip
def test_a_preview_of_what_is_not_there(shop: Shop, arguments: list[str], line: str) -> None:
    before = shop.state()
    assert shop.preview(*arguments) == (CALL, "", line + "\n")
    assert shop.state() == before


def test_a_slot_that_stays_empty(shop: Shop) -> None:
    shop.row("1001,00043,Grace Hopper,photos/ada.png,1")
    assert shop.preview("--slot", "B2") == (
        CALL, "", "slot B2 of bed 1 is empty; the bed has 3 items\n"
    )  # fmt: skip


def test_a_job_of_which_nothing_is_printed(shop: Shop) -> None:
    shop.write("orders.csv", HEADING + "1001,00042,漢字,photos/ada.png,1\n")
    assert shop.preview() == (CALL, "", "there is no record to show; see vardata check\n")


@pytest.mark.parametrize(
    ("out", "line"),
    [
        ("no/look.png", "no/look.png: there is no folder 'no'; make it, or choose another with "
         "--out"),
        ("album.png", "album.png: the picture cannot be written (Is a directory); choose a file "
         "in a folder that you may write to with --out"),
    ],
)  # fmt: skip
def test_a_picture_that_cannot_be_written(shop: Shop, out: str, line: str) -> None:
    folder(shop, "album.png")
    before = shop.state()
    assert shop.preview("--out", out) == (OUTPUT, "", line + "\n")
    assert shop.state() == before


def test_a_preview_leaves_its_picture_and_nothing_else(shop: Shop) -> None:
    shop.write("look.png", "an earlier picture")
    before = shop.state()
    assert shop.preview().code == 0
    after = shop.state()
    assert {name for name in after if after[name] != before.get(name)} == {"look.png"}
    assert not Path("ledger.sqlite").exists()
    # PNG specification, 5.2: the signature
    assert (shop.path / "look.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


def test_schemas_into_a_place_that_is_taken(shop: Shop) -> None:
    before = shop.state()
    answer = shop.call("schema", "--out", "orders.csv/schemas")
    assert answer.code == OUTPUT
    assert answer.lines == [
        "orders.csv/schemas: the schemas cannot be written (Not a directory); choose another folder"
    ]
    assert shop.state() == before


def test_two_faults_of_a_call_and_a_job(shop: Shop) -> None:
    """What is wrong with the call is told before the job is read."""
    every(swap("job.toml", '"fine"', '"fien"'), write("run/x", ""))(shop)
    assert shop.build("--at", "soon").code == CALL
