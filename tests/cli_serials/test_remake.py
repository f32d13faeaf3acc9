"""Spoiled pieces made again: which numbers they get, what the papers and the ledger say."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pandas
import pytest
from serialjob import Answer, SerialShop, shop

from vardata.ledger.serials import Serials
from vardata.readback.run import read_back

__all__ = ["shop"]

# By hand (Luhn): the numbers 1 to 6 of the year 2026.
TAG = {1: "FHL-2026-00018", 2: "FHL-2026-00026", 3: "FHL-2026-00034", 4: "FHL-2026-00042",
       5: "FHL-2026-00059", 6: "FHL-2026-00067"}  # fmt: skip
SAME = '\nremake = "same-when-destroyed"\n'


def remake(shop: SerialShop, run: str, out: str, *slots: str, more: tuple[str, ...] = ()) -> Answer:
    asked = [word for slot in slots for word in ("--slot", slot)]
    return shop.call("remake", "job.toml", run, *asked, "--out", out, "--workers", "1",
                     "--at", "2026-10-31", *more)  # fmt: skip


def facts(shop: SerialShop, run: str) -> dict[str, object]:
    found = json.loads((shop.path / run / "run.json").read_text("utf-8"))
    assert isinstance(found, dict)
    return found


def allow_same(shop: SerialShop) -> None:
    shop.write("job.toml", (shop.path / "job.toml").read_text("utf-8") + SAME)


def test_a_spoiled_piece_gets_the_next_number_and_keeps_its_record(shop: SerialShop) -> None:
    shop.swap("job.toml", 'surface = "light"', 'surface = "light"\nsubstrate = "#ffffff"')
    first = shop.build("run1")  # A1: record 2, A2: record 4, B1 and B2: record 3
    answer = remake(shop, "run1", "run2", "1/B2", "1/A1")
    second = facts(shop, "run2")["run_id"]
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.splitlines() == [
        f"bed 1, slot A1, record orders!2#1: tag {TAG[1]} is void, now {TAG[5]}",
        f"bed 1, slot B2, record orders!3#2: tag {TAG[3]} is void, now {TAG[6]}",
        f"run {second}: 2 records on 1 bed -> run2",
    ]
    assert shop.codes("run2") == {"orders!2#1": TAG[5], "orders!3#2": TAG[6]}
    assert facts(shop, "run2")["remake"] == {
        "of": first, "pieces": {"orders!2#1": [1, "A1"], "orders!3#2": [1, "B2"]},
    }  # fmt: skip
    assert read_back(shop.path / "run2", out=shop.path / "found").failures == 0
    # The ledger tells it from either end.
    serials = Serials(shop.path / "ledger.sqlite")
    (forth,) = serials.made_of(first, "orders!2#1")
    (back, _) = serials.made_in(str(second))
    assert forth == back
    assert (back.of_run, back.slot, back.old, back.new) == (first, "A1", 1, 5)
    states = [(s.first, s.last, s.state) for s in serials.stretches("tag")]
    assert states == [(1, 1, "void"), (2, 2, "printed"), (3, 3, "void"), (4, 4, "printed"),
                      (5, 5, "printed"), (6, 6, "printed")]  # fmt: skip
    shop.serials("register", "--out", "reg")
    register = pandas.read_csv(shop.path / "reg/register.csv", dtype=str, keep_default_na=False)
    told = dict(zip(register["serial"], register["remade as"]))
    assert told == {**dict.fromkeys(TAG.values(), ""), TAG[1]: TAG[5], TAG[3]: TAG[6]}


def test_numbers_are_found_behind_held_records(shop: SerialShop) -> None:
    shop.swap("orders.csv", "1002,Ada", "1009,\u6f22,ada.png,1\n1002,Ada")  # no font has it: held
    shop.build("run1")
    assert shop.codes("run1")["orders!3#1"] == TAG[2]
    assert f"record orders!3#1: tag {TAG[2]} is void" in remake(shop, "run1", "run2", "1/A1").out


def test_a_run_of_new_rows_only(shop: SerialShop) -> None:
    shop.swap("job.toml", 'order = "Order"', 'order = "Order"\nline = "Owner"')
    shop.build("run1")
    sheet = (shop.path / "orders.csv").read_text("utf-8")
    shop.write("orders.csv", f"{sheet}1003,Joan,ada.png,1\n")
    shop.build("run2")
    assert shop.codes("run2") == {"orders!5#1": TAG[5]}
    assert f"record orders!5#1: tag {TAG[5]} is void, now {TAG[6]}" in (
        remake(shop, "run2", "run3", "1/A1").out
    )
    assert f"record orders!2#1: tag {TAG[1]} is void" in remake(shop, "run1", "run4", "1/A1").out


def test_the_papers_say_that_it_is_a_remake(shop: SerialShop) -> None:
    first = shop.build("run1")
    remake(shop, "run1", "run2", "1/A1")
    for run, told in (("run1", 0), ("run2", 1)):
        # Poppler reads what a person will read.
        text = subprocess.run(
            ["pdftotext", "-layout", shop.path / run / "picklist.pdf", "-"],
            check=True, capture_output=True, text=True,
        ).stdout  # fmt: skip
        front, bed, *_ = text.split("\f")
        assert ("PICK LIST: REMAKE" in front) == bool(told)
        assert (f"remake of run {first}" in front) == bool(told)
        assert (f"remake of run {first}" in bed) == bool(told)


def test_a_destroyed_piece_keeps_its_number_where_the_job_allows_it(shop: SerialShop) -> None:
    allow_same(shop)
    shop.build("run1")
    answer = remake(shop, "run1", "run2", "1/A1", more=("--destroyed",))
    assert answer.out.startswith(f"bed 1, slot A1, record orders!2#1: tag {TAG[1]} stays\n")
    assert shop.codes("run2") == {"orders!2#1": TAG[1]}
    # The confirmation is used up, and a remake that is spoiled too goes on from the remake.
    second = str(facts(shop, "run2")["run_id"])
    assert not Serials(shop.path / "ledger.sqlite").is_destroyed("tag", 1)
    assert remake(shop, "run2", "run3", "1/A1").out.startswith(
        f"bed 1, slot A1, record orders!2#1: tag {TAG[1]} is void, now {TAG[5]}\n"
    )
    assert shop.serials("deliver", second).out == "0 numbers delivered\n"  # void by now
    third = str(facts(shop, "run3")["run_id"])
    assert shop.serials("deliver", third).out == "1 number delivered\n"


def test_a_kept_number_is_delivered_with_its_remake(shop: SerialShop) -> None:
    allow_same(shop)
    first = shop.build("run1")
    shop.serials("deliver", first)
    shop.serials("confirm-destroyed", TAG[4])  # said before: it counts as well
    remake(shop, "run1", "run2", "1/A2")
    assert shop.codes("run2") == {"orders!4#1": TAG[4]}
    assert shop.serials("deliver", str(facts(shop, "run2")["run_id"])).out == "1 number delivered\n"
    shop.serials("register", "--out", "reg")
    register = pandas.read_csv(shop.path / "reg/register.csv", dtype=str)
    runs = dict(zip(register["serial"], register["run"]))
    assert runs == dict.fromkeys(list(TAG.values())[:3], first) | {
        TAG[4]: f"{first} {facts(shop, 'run2')['run_id']}"
    }


def test_a_delivered_number_that_is_void_now_is_told(shop: SerialShop) -> None:
    first = shop.build("run1")
    shop.serials("deliver", first)
    answer = remake(shop, "run1", "run2", "1/A1")
    assert (answer.code, answer.err) == (0, (
        f"bed 1, slot A1: tag {TAG[1]} was delivered, and is void now; tell its customer that "
        f"{TAG[5]} takes its place\n"
    ))  # fmt: skip
    told = json.loads(remake(shop, "run1", "run3", "1/A2", more=("--json",)).out)["remarks"]
    assert [remark["kind"] for remark in told] == ["delivered-void"]


@pytest.mark.parametrize("allowed", [False, True])
def test_without_rule_or_confirmation_the_number_is_void(shop: SerialShop, allowed: bool) -> None:
    if allowed:
        allow_same(shop)
    shop.build("run1")
    more = () if allowed else ("--destroyed",)
    assert f"tag {TAG[1]} is void" in remake(shop, "run1", "run2", "1/A1", more=more).out


def test_a_piece_is_made_again_once(shop: SerialShop) -> None:
    first = shop.build("run1")
    remake(shop, "run1", "run2", "1/A1")
    second = facts(shop, "run2")["run_id"]
    before = shop.files()
    answer = remake(shop, "run1", "run3", "1/A1", more=("--destroyed",))
    assert answer == (2, "", (
        f"bed 1, slot A1 of run {first} was made again as a piece of run {second}; if that one is "
        "spoiled too, remake it from that run\n"
    ))  # fmt: skip
    assert shop.files() == before


def test_a_changed_sheet_is_refused_before_anything_changes(shop: SerialShop) -> None:
    shop.build("run1")
    shop.swap("orders.csv", "Ada,ada.png", "Adele,ada.png")
    before = shop.files()
    answer = remake(shop, "run1", "run2", "1/A1")
    assert answer == (2, "", (
        "orders.csv: record orders!2#1 has changed since the run was built: field 'owner' was "
        f"'Ada: {TAG[1]}' and is 'Adele: {TAG[1]}'; put it back as it was, or build the changed "
        "rows as a run of their own\n"
    ))  # fmt: skip
    shop.write("orders.csv", "Order,Owner,Photo,Pieces\n1002,Ada,ada.png,0\n1,X,ada.png,1\n")
    answer = remake(shop, "run1", "run2", "1/A1")
    assert answer.err == (
        "orders.csv: the order sheet holds no record orders!2#1 any more; put it back as it was, "
        "or build the changed rows as a run of their own\n"
    )
    shop.write("orders.csv", before["orders.csv"].decode())
    assert shop.files() == before


def test_slots_that_are_none(shop: SerialShop) -> None:
    shop.build("run1")
    assert remake(shop, "run1", "run2", "A1", "1/A9", "4/A1") == (2, "", (
        "--slot 'A1' names no slot; write the number of the bed and the name of the slot, such as "
        "2/B4\n"
        "--slot '1/A9': no piece lies there; did you mean 'A1'? allowed: A1, A2, B1, B2\n"
        "--slot '4/A1': the run has no bed 4; it has bed 1 only\n"
    ))  # fmt: skip


def test_a_ledger_that_does_not_know_the_run(shop: SerialShop) -> None:
    run = shop.build("run1")
    (shop.path / "ledger.sqlite").unlink()
    assert remake(shop, "run1", "run2", "1/A1").err == (
        f"{shop.path / 'ledger.sqlite'}: the ledger knows no serials of a finished run {run}; use "
        "the job and the ledger that the run was built with\n"
    )
    assert not (shop.path / "ledger.sqlite").exists()


def test_a_layout_that_changed_is_told(shop: SerialShop) -> None:
    run = shop.build("run1")
    shop.swap("tag.toml", 'size = "6pt"\nmin', 'size = "7pt"\nmin')
    answer = remake(shop, "run1", "run2", "1/A1")
    assert answer.code == 0
    assert (
        f"tag.toml: the layout is not as it was in run {run}, so the pieces may look different; "
        "look at a preview\n"
    ) in answer.err


def test_a_job_without_serials_prints_the_same_again(shop: SerialShop) -> None:
    text = (shop.path / "job.toml").read_text("utf-8")
    shop.write("job.toml", text[: text.index("[serials")])
    for name in ("text = \"{{ owner }}: {{ tag }}\"", 'text = "{{ tag }}"'):
        shop.swap("tag.toml", name, name.replace("tag", "owner"))
    first = shop.build("run1")
    for out in ("run2", "run3"):
        answer = remake(shop, "run1", out, "1/B1")
        assert answer.out.startswith("bed 1, slot B1, record orders!3#1: made again\n")
        again = Serials(shop.path / "ledger.sqlite").made_of(first, "orders!3#1")[0].made[:10]
        assert answer.err == ("" if out == "run2" else (
            f"bed 1, slot B1: this piece of run {first} was made again before, on {again}; see "
            "that it is not printed once too often\n"
        ))  # fmt: skip
    assert shop.codes("run2") == {"orders!3#1": "Grace"}
    ours, theirs = shop.path / "run2", shop.path / "run3"
    names = [p.relative_to(ours) for p in ours.rglob("*") if p.is_file()]
    assert [n for n in names if (ours / n).read_bytes() != (theirs / n).read_bytes()] == []
    (row,) = Serials(shop.path / "ledger.sqlite").made_of(first, "orders!3#1")
    assert (row.rule, row.slot) == ("", "B1")


def test_given_values_go_on_down_the_list(shop: SerialShop) -> None:
    text = (shop.path / "job.toml").read_text("utf-8")
    shop.write("job.toml", text[: text.index("[serials")] + '[serials.tag]\nlist = "given.csv"\n')
    shop.write("given.csv", "Tag\nK7\nM3\nP9\nR4\nT6\n")
    shop.build("run1")
    assert "tag K7 is void, now T6\n" in remake(shop, "run1", "run2", "1/A1").out
    answer = remake(shop, "run1", "run3", "1/A2")
    assert answer == (4, "", (
        "job.toml, serials.tag.list: the list 'given.csv' is used up: 0 are left, and the "
        "remake asks for 1; add fresh values at its end\n"
    ))  # fmt: skip
    assert not Path("run3").exists()


def test_a_remake_that_is_held_keeps_its_number_waiting(shop: SerialShop) -> None:
    first = shop.build("run1")
    old = 'text = "{{ owner }}: {{ tag }}"'
    new = f"text = \"{{{{ owner }}}}: {{{{ tag if tag != '{TAG[5]}' else 'W' * 99 }}}}\""
    shop.swap("tag.toml", old, new)  # too long with the next number
    answer = remake(shop, "run1", "run2", "1/A1")
    assert answer.code == 3 and "1 row held" in answer.out
    serials = Serials(shop.path / "ledger.sqlite")
    assert [s.state for s in serials.stretches("tag")] == ["void", "printed", "reserved"]
    assert serials.made_of(first, "orders!2#1") == []
    shop.swap("tag.toml", new, old)
    assert f"is void, now {TAG[5]}\n" in remake(shop, "run1", "run3", "1/A1").out
    assert [s.state for s in serials.stretches("tag")][-1] == "printed"


def test_a_remake_that_broke_off_goes_on_with_the_same_number(
    shop: SerialShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop.build("run1")

    def broken(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("vardata.merge.write_run", broken)
        answer = remake(shop, "run1", "run2", "1/A1")
    assert answer.code == 6 and not (shop.path / "run2").exists()
    serials = Serials(shop.path / "ledger.sqlite")
    assert [s.state for s in serials.stretches("tag")] == ["void", "printed", "reserved"]
    assert f"tag {TAG[1]} is void, now {TAG[5]}" in remake(shop, "run1", "run2", "1/A1").out
    assert [s.state for s in serials.stretches("tag")][-1] == "printed"


def test_json_tells_what_became_of_each(shop: SerialShop) -> None:
    shop.build("run1")
    answer = json.loads(remake(shop, "run1", "run2", "1/A1", more=("--json",)).out)
    assert answer["remade"] == [
        {"record": "orders!2#1", "bed": 1, "slot": "A1", "serial": "tag", "before": TAG[1],
         "after": TAG[5]}
    ]  # fmt: skip
