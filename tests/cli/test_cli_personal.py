"""Personal columns: never in what is logged, and gone from a run when it is stripped."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import openpyxl
import pytest
from badjob import Shop, read_json

NAMES = ("Ada", "Grace", "Mary", "Byron", "Hopper", "Jackson")
ERASED = {"beds", "picklist.pdf"}
LEFT = "not erased: the order sheet, the ledger, and proofs, pictures and copies made elsewhere\n"


@pytest.fixture
def private(shop: Shop) -> Shop:
    shop.swap("job.toml", "\n[sheet]", '\npersonal = ["Owner"]\n\n[sheet]')
    return shop


def _all_text(folder: Path) -> str:
    """Every text file of a run, and what its workbooks hold."""
    out = []
    for path in sorted(folder.rglob("*")):
        if path.suffix == ".xlsx":
            with zipfile.ZipFile(path) as parts:
                out += [parts.read(name).decode("utf-8", "ignore") for name in parts.namelist()]
        elif path.is_file() and path.suffix != ".pdf":
            out.append(path.read_text(encoding="utf-8"))
    return "\n".join(out)


def test_problems_of_a_personal_column_do_not_show_what_it_holds(private: Shop) -> None:
    private.row('1,43,"Grace Hopper,",photos/ada.png,1')
    answer = private.check()
    assert answer.out.splitlines()[1] == (
        "warning edge-marks      1  sheet 'orders', row 3, column 'Owner': edge marks; what the "
        "cell holds is personal and not shown; see the row in the order sheet"
    )
    built = private.build()
    said = built.out + built.err + private.check("--json").out
    said += (private.path / "run" / "run.json").read_text(encoding="utf-8")
    assert [name for name in NAMES if name in said] == []


def test_a_held_personal_text_is_not_shown_either(private: Shop) -> None:
    private.row("1,43,Grace \N{SPORTS MEDAL} Hopper,photos/ada.png,1")
    answer = private.check()
    assert answer.code == 3
    assert [name for name in NAMES if name in answer.out] == []


def test_a_stripped_run_keeps_serials_slots_and_counts(private: Shop) -> None:
    private.row("1,43,ditto,photos/ada.png,1")
    assert private.build().code == 3
    before = read_json((private.path / "run" / "run.json").read_text(encoding="utf-8"))
    slots = (private.path / "run" / "slots.jsonl").read_text(encoding="utf-8")
    assert "Ada" in _all_text(private.path / "run")
    answer = private.call("erase", "run")
    assert answer == (0, "run: 'Owner' erased, 2 files removed\n" + LEFT, "")
    text = _all_text(private.path / "run")
    assert [name for name in (*NAMES, "ditto") if name in text] == []
    assert not (ERASED & {path.name for path in (private.path / "run").iterdir()})
    after = read_json((private.path / "run" / "run.json").read_text(encoding="utf-8"))
    for key in ("run_id", "counts", "serials", "at", "held_by_kind"):
        assert after[key] == before[key]
    assert after["erased"]["removed"] == [
        name for name in (file["file"] for file in before["files"])
        if name.startswith("beds/") or name == "picklist.pdf"
    ]  # fmt: skip
    stripped = (private.path / "run" / "slots.jsonl").read_text(encoding="utf-8").splitlines()
    for old, new in zip(slots.splitlines(), stripped, strict=True):
        was, now = read_json(old), read_json(new)
        assert [c["text"] for c in was["codes"]] == [c["text"] for c in now["codes"]]
        assert (was["bed"], was["slot"], was["record"]) == (now["bed"], now["slot"], now["record"])
    sheet = openpyxl.load_workbook(private.path / "run" / "picklist.xlsx").active
    assert sheet.max_row == 1 + before["counts"]["records"]


def test_columns_that_are_not_printed_leave_the_beds_in_place(shop: Shop) -> None:
    shop.swap("job.toml", "\n[sheet]", '\npersonal = ["Mail"]\n\n[sheet]')
    rows = (shop.path / "orders.csv").read_text().splitlines()
    mails = ["Mail", "ada@fernhollow.example", "grace@fernhollow.example", "mary@x.example"]
    table = [f"{row},{mail}" for row, mail in zip(rows, mails)]
    shop.write("orders.csv", "\n".join([*table, "7,44,n/a,photos/ada.png,1,eve@x.example"]) + "\n")
    assert shop.build().code == 3
    beds = [path.read_bytes() for path in (shop.path / "run" / "beds").iterdir()]
    assert "eve@x.example" in _all_text(shop.path / "run")
    assert shop.call("erase", "run").out == "run: 'Mail' erased, 0 files removed\n" + LEFT
    assert "eve@x.example" not in _all_text(shop.path / "run")
    assert [path.read_bytes() for path in (shop.path / "run" / "beds").iterdir()] == beds


def test_a_remake_does_not_show_what_has_changed_of_a_person(private: Shop) -> None:
    private.build()
    private.swap("orders.csv", "Ada Byron", "Ada Lovelace")
    call = ("remake", "job.toml", "run", "--slot", "1/A1", "--out", "again", "--workers", "1")
    answer = private.call(*call)
    assert answer == (
        2, "",
        "orders.csv: record orders!2#1 has changed since the run was built: field 'owner' is "
        "another; what it holds is personal and not shown; put it back as it was, or build the "
        "changed rows as a run of their own\n",
    )  # fmt: skip
    assert [name for name in NAMES if name in private.call(*call, "--json").out] == []
    private.swap("orders.csv", "Ada Lovelace", "Ada \N{SPORTS MEDAL} Byron")  # no font has it
    answer = private.call(*call)
    assert answer.code == 2
    assert answer.err == (
        "orders.csv, row 2, field 'owner': missing glyph; what the cell holds is personal and "
        "not shown; see the row in the order sheet\n"
    )


@pytest.mark.parametrize("call", [
    ("readback", "run"), ("difference", "run", "run", "--out", "what.png"),
    ("remake", "job.toml", "run", "--slot", "1/A1", "--out", "again"),
])  # fmt: skip
def test_what_needs_the_beds_of_an_erased_run_says_that_it_was_erased(
    private: Shop, call: tuple[str, ...]
) -> None:
    private.build()
    private.call("erase", "run")
    day = read_json((private.path / "run" / "run.json").read_text("utf-8"))["erased"]["at"][:10]
    assert private.call(*call) == (
        2, "",
        f"run: the run was erased on {day}, 2 of its files with it, so it cannot be read, compared "
        "or printed again; build its order sheet as a run of its own\n",
    )  # fmt: skip


def test_the_read_back_beside_a_run_is_erased_with_it(private: Shop) -> None:
    private.swap("tag.toml", 'text = "{{ number }}"', 'text = "{{ number }}/{{ owner }}"')
    private.build()
    private.call("readback", "run", "--workers", "1")
    private.call("readback", "run", "--workers", "1", "--out", "kept")
    assert "Ada" in _all_text(private.path / "run-readback")
    answer = private.call("erase", "run")
    assert answer == (
        0, "run: 'Owner' erased, 2 files removed, and its read-back run-readback\n" + LEFT, ""
    )  # fmt: skip
    assert not (private.path / "run-readback").exists()
    assert (private.path / "kept" / "readback.pdf").exists()


def test_a_read_back_that_fails_shows_nothing_personal(private: Shop) -> None:
    private.swap("tag.toml", 'text = "{{ number }}"', 'text = "{{ number }}/{{ owner }}"')
    private.build()
    slots = (private.path / "run/slots.jsonl").read_text("utf-8")
    private.write("run/slots.jsonl", slots.replace("/Ada Byron", "/Ada Byrom"))
    answer = private.call("readback", "run", "--workers", "1")
    assert answer.code == 7
    assert (
        "record orders!2#1, field 'number', bed 1, slot A1: the code does not say what it should; "
        "what it says is personal and not shown; build the run again and do not print this file"
    ) in answer.lines
    said = answer.out + answer.err
    said += private.call("readback", "run", "--workers", "1", "--replace", "--json").out
    assert [name for name in (*NAMES, "Byrom") if name in said] == []


def test_a_read_back_of_another_run_is_left_alone(private: Shop) -> None:
    private.build()
    private.call("readback", "run", "--workers", "1")
    private.swap("orders.csv", "Ada Byron", "Ada Lovelace")
    private.build("--replace")
    assert private.call("erase", "run").out == "run: 'Owner' erased, 2 files removed\n" + LEFT
    assert (private.path / "run-readback" / "readback.jsonl").exists()


REFUSED = {
    "no run": ("nowhere", "it is not the folder of a run; name a folder that build made"),
    "again": ("run", "it was stripped already, on "),
}


@pytest.mark.parametrize("why", REFUSED)
def test_a_run_that_cannot_be_stripped(private: Shop, why: str) -> None:
    private.build()
    private.call("erase", "run")
    name, line = REFUSED[why]
    answer = private.call("erase", name)
    assert answer.code == 2
    assert answer.err.startswith(f"{name}: {line}")


def test_a_run_without_personal_columns_is_left_alone(shop: Shop) -> None:
    shop.build()
    state = shop.state()
    assert shop.call("erase", "run") == (
        2, "",
        "run: its job named no personal columns, so nothing in it is known to be personal; write "
        "personal = [...] in the job before a run is built\n",
    )  # fmt: skip
    assert shop.state() == state


def test_a_personal_column_that_is_not_there_is_refused(shop: Shop) -> None:
    shop.swap("job.toml", "\n[sheet]", '\npersonal = ["Onwer"]\n\n[sheet]')
    assert shop.check() == (
        5, "",
        "job.toml, personal: the order sheet has no column 'Onwer'; did you mean 'Owner'? the "
        "columns are 'Order', 'Asset no', 'Owner', 'Photo', 'Pieces'\n",
    )  # fmt: skip


def test_remakes_that_still_show_what_was_erased_are_named(private: Shop) -> None:
    private.build()
    again = private.call("remake", "job.toml", "run", "--slot", "1/A1", "--out", "again",
                         "--workers", "1")  # fmt: skip
    assert again.code == 0, again
    assert private.call("erase", "run") == (
        0, "run: 'Owner' erased, 2 files removed\n" + LEFT,
        "remakes of this run still show its personal columns: again; erase them, too\n",
    )  # fmt: skip


def remade(private: Shop, run: str, out: str, slot: str = "1/A1") -> str:
    """A remake of a piece of a run; its id."""
    answer = private.call("remake", "job.toml", run, "--slot", slot, "--out", out,
                          "--workers", "1")  # fmt: skip
    assert answer.code == 0, answer
    return str(read_json((private.path / out / "run.json").read_text("utf-8"))["run_id"])


def test_remakes_that_lie_elsewhere_are_known_from_the_ledger(private: Shop) -> None:
    """One elsewhere, one of that one, one that was moved, one that is erased already."""
    private.row("2,44,Mary Jackson,photos/ada.png,2")
    private.build()
    (private.path / "archive").mkdir()
    remade(private, "run", "archive/first")
    remade(private, "archive/first", "archive/second")
    moved = remade(private, "run", "third", "1/A2")
    (private.path / "third").rename(private.path / "archive" / "moved")
    remade(private, "run", "fourth", "1/B1")
    assert private.call("erase", "fourth").code == 0
    first, second = (private.path / "archive" / name for name in ("first", "second"))
    assert private.call("erase", "run").err == (
        f"remakes of this run still show its personal columns: {first}, {second}; erase them, too\n"
        f"remake {moved} of this run is not in {private.path / 'third'}, where it was made; "
        "find it, and erase it, too\n"
    )


def test_where_no_ledger_is_found_that_is_told(private: Shop) -> None:
    private.build()
    again = remade(private, "run", "again")
    for folder in ("far", "office"):
        (private.path / folder).mkdir()
    for name in ("one", "two"):
        shutil.copytree(private.path / "run", private.path / "far" / name)
    (private.path / "ledger.sqlite").rename(private.path / "office" / "ledger.sqlite")
    (private.path / "job.toml").rename(private.path / "office" / "job.toml")
    assert private.call("erase", "far/one").err == (
        "no ledger lies here or beside the run, so remakes that lie elsewhere are not known; its "
        "job has one beside it, which --job names\n"
    )
    assert private.call("erase", "far/two", "--job", "office/job.toml").err == (
        "remakes of this run still show its personal columns: "
        f"{private.path / 'again'}; erase them, too\n"
    )
    shutil.rmtree(private.path / "again")
    shutil.copytree(private.path / "run", private.path / "far" / "three")
    answer = read_json(private.call("erase", "far/three", "--job", "office/job.toml", "--json").out)
    assert answer["remakes_not_found"] == [{"run_id": again, "folder": str(private.path / "again")}]
