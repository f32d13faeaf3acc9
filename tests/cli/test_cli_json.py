"""Answers for machines, quiet calls, and the answers to what no stage has seen coming.

JSON is read by Python's own parser (RFC 8259). The counts are those of the sheet in ``badjob``:
3 rows ask for 4 pieces, which fill the 4 slots of one bed.
"""

from __future__ import annotations

import pytest
from badjob import Answer, Shop, read_json, swap

CALLS = ["check", "build", "preview"]


def call(shop: Shop, name: str, *more: str) -> Answer:
    answer = getattr(shop, name)(*more)
    assert isinstance(answer, Answer)
    return answer


COUNTS = {
    "rows": 3, "records": 4, "beds": 1, "held_rows": 0, "held_records": 0, "skipped_rows": 0,
}  # fmt: skip


def test_a_good_check(shop: Shop) -> None:
    answer = shop.check("--json")
    found = read_json(answer.out)
    assert (answer.code, answer.err) == (0, "")
    assert found.items() >= {"done": True, "problems": [], **COUNTS}.items()


def test_a_good_build(shop: Shop) -> None:
    answer = shop.build("--json")
    found = read_json(answer.out)
    assert (answer.code, answer.err) == (0, "")
    assert found.items() >= {"done": True, "folder": "run", "problems": [], **COUNTS}.items()
    assert found["held_by_kind"] == {}
    facts = read_json((shop.path / "run/run.json").read_text(encoding="utf-8"))
    assert facts["run_id"] == found["run_id"]


def test_a_good_preview(shop: Shop) -> None:
    answer = shop.preview("--json", "--dpi", "100")
    assert (answer.code, answer.err) == (0, "")
    # 150 x 100 mm at 100 dpi: 590.6 x 393.7 dots
    assert read_json(answer.out) == {
        "done": True, "file": "look.png", "what": "bed 1, 4 items", "width": 591, "height": 394,
    }  # fmt: skip


@pytest.mark.parametrize("name", CALLS)
def test_a_fault_of_the_job_has_its_place(shop: Shop, name: str) -> None:
    swap("tag.toml", 'symbology = "qr"\n', "")(shop)
    answer = call(shop, name, "--json")
    assert (answer.code, answer.err) == (4, "")
    what, remedy = "the key 'symbology' is missing", "add it: the kind of code"
    assert read_json(answer.out) == {
        "done": False,
        "exit_code": 4,
        "problems": [{
            "kind": "missing-key", "severity": "error", "what": what, "remedy": remedy,
            "value": "",
            "where": {
                "file": "tag.toml", "line": 28, "key": "fields[1].symbology", "field": "number",
            },
            "line": "tag.toml:28, fields[1].symbology, field 'number': "
                    f"{what}; {remedy}",
        }],
    }  # fmt: skip


@pytest.mark.parametrize("name", CALLS)
def test_a_fault_of_the_sheet_has_its_place(shop: Shop, name: str) -> None:
    swap("orders.csv", "Pieces", "Qty")(shop)
    answer = call(shop, name, "--json")
    assert (answer.code, answer.err) == (5, "")
    found = read_json(answer.out)
    assert (found["done"], found["exit_code"]) == (False, 5)
    (problem,) = found["problems"]
    assert (problem["kind"], problem["value"]) == ("no-column", "Pieces")
    assert problem["where"] == {"sheet": "orders", "row": 1}


def test_held_records_are_problems_of_a_check(shop: Shop) -> None:
    shop.row("1001,00043,Ada 漢,photos/ada.png,two")
    answer = shop.check("--json")
    found = read_json(answer.out)
    assert (answer.code, found["done"], found["held_rows"]) == (3, True, 1)
    (problem,) = found["problems"]
    assert (problem["kind"], problem["severity"]) == ("bad-quantity", "hold")
    assert problem["where"] == {"sheet": "orders", "row": 3, "column": "Pieces"}
    assert problem["value"] == "two"


def test_a_build_counts_what_it_holds(shop: Shop) -> None:
    shop.row("1001,00043,Ada 漢,photos/ada.png,1")
    answer = shop.build("--json")
    found = read_json(answer.out)
    assert (answer.code, found["records"], found["held_rows"]) == (3, 2, 1)
    assert found["held_by_kind"] == {"missing-glyph": 1}


def test_letters_of_all_scripts_stay_as_they_are(shop: Shop) -> None:
    shop.row("1001,00043,Ada 漢,photos/ada.png,1")
    assert "no font has '漢' (U+6F22 " in shop.check("--json").out


def test_faults_of_the_call_and_of_the_output(shop: Shop) -> None:
    bad = shop.preview("--json", "--bed", "7")
    assert bad.code == 2 and read_json(bad.out)["exit_code"] == 2
    shop.write("run/x", "")
    bad = shop.build("--json")
    assert bad.code == 6 and read_json(bad.out)["problems"][0]["where"] == {"file": "run"}


# ---------------------------------------------------------------- quiet


@pytest.mark.parametrize("name", CALLS)
def test_quiet_says_nothing_when_all_is_well(shop: Shop, name: str) -> None:
    assert call(shop, name, "--quiet") == (0, "", "")


def test_a_quiet_build_with_held_records_says_so_by_its_exit_code(shop: Shop) -> None:
    shop.row("1001,00043,Ada 漢,photos/ada.png,1")
    assert shop.build("--quiet") == (3, "", "")


@pytest.mark.parametrize("name", CALLS)
def test_quiet_does_not_hide_faults(shop: Shop, name: str) -> None:
    swap("job.toml", '"fine"', '"fien"')(shop)
    answer = call(shop, name, "--quiet")
    assert (answer.code, answer.out, len(answer.lines)) == (4, "", 1)


# ---------------------------------------------------------------- the unforeseen


def failing(monkeypatch: pytest.MonkeyPatch, error: Exception) -> None:
    """Make the reading of any job fail in a way that no stage foresees."""

    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr("vardata.job.load.load_setup", fail)


@pytest.mark.parametrize("name", CALLS)
def test_a_mistake_of_ours_is_one_line(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    failing(monkeypatch, ZeroDivisionError("first line\nlast line"))
    line = (
        "internal error (ZeroDivisionError: last line); nothing was left behind; run again with "
        "--debug and report what it prints"
    )
    assert call(shop, name) == (1, "", line + "\n")
    answer = call(shop, name, "--json")
    assert (answer.code, answer.err) == (1, "")
    assert read_json(answer.out)["problems"][0]["line"] == line


def test_debug_shows_where_a_mistake_is(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    failing(monkeypatch, ZeroDivisionError("x"))
    with pytest.raises(ZeroDivisionError):
        shop.check("--debug")


def test_a_refusal_of_the_system_is_no_mistake_of_ours(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    failing(monkeypatch, PermissionError(13, "Permission denied", "fonts/brush.ttf"))
    line = (
        "fonts/brush.ttf: the system refuses: Permission denied; see that the file or folder is "
        "there, and that you may use it"
    )
    assert shop.check() == (6, "", line + "\n")


def test_no_folder_for_scratch_files(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    import tempfile

    monkeypatch.setattr(tempfile, "tempdir", str(shop.path / "orders.csv"))
    answer = shop.check()
    assert answer.code == 6 and len(answer.lines) == 1
    assert "the system refuses: Not a directory" in answer.err
