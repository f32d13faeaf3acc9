"""The command ``vardata readback``: what it says and how it ends."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from readback_runs import EXAMPLES, bed_file, copied, reseal
from sabotage import edit, emptied

from vardata.cli.main import main
from vardata.cli.readback import command


def call(*arguments: object) -> Result:
    return CliRunner().invoke(command, [str(argument) for argument in arguments])


def test_a_good_run(few: Path, tmp_path: Path) -> None:
    run = copied(few, tmp_path)
    done = call(run, "--workers", 1)
    assert (done.exit_code, done.stderr) == (0, "")
    out = tmp_path / "spoiled-readback"
    assert done.stdout.endswith(
        "read back: all read (1 bed, 8 codes, 8 texts; the files alone, not the print) "
        f"-> {out}\n"
    )
    assert sorted(path.name for path in out.iterdir()) == ["readback.jsonl", "readback.pdf"]
    again = call(run, "--workers", 1)
    assert again.exit_code == 6
    assert "the output folder exists already" in again.stderr
    assert call(run, "--replace", "--quiet", "--workers", 1).output == ""


def test_a_failure_is_a_line_and_exit_code_7(few: Path, tmp_path: Path) -> None:
    run = copied(few, tmp_path)
    edit(bed_file(run), lambda ops: emptied(ops, (81.0, 10.0, 60.0, 25.0)))
    reseal(run)
    done = call(run, "--workers", 1)
    assert done.exit_code == 7
    said = done.stderr.splitlines()
    assert len(said) == 4
    assert said[0] == (
        "record tags!3#1, field 'link', bed 1, slot A2: nothing is printed where the code should "
        "be; build the run again and do not print this file"
    )
    assert "failed, 4 failures" in done.stdout
    # The report stands all the same, so that it can be looked at.
    assert (tmp_path / "spoiled-readback" / "readback.pdf").is_file()


def test_many_failures_are_joined(tags: Path, tmp_path: Path) -> None:
    run = copied(tags, tmp_path)
    edit(bed_file(run), lambda ops: emptied(ops, (0.0, 0.0, 420.0, 297.0)))
    reseal(run)
    done = call(run, "--workers", 2)
    assert done.exit_code == 7
    said = done.stderr.splitlines()
    # Two codes and two texts in each of 60 slots; 200 are kept: 50 of each field.
    assert (len(said), said[-1]) == (5, "... and 40 failures that are not kept")
    for line in said[:-1]:
        assert line.startswith("record tags!2#1, field '")
        assert line.endswith("; likewise bed 1 slot A2, bed 1 slot A3, bed 1 slot A4 and 46 more")


def test_a_missing_file_is_one_line(tags: Path, tmp_path: Path) -> None:
    run = copied(tags, tmp_path)
    for path in (run / "beds").iterdir():
        path.unlink()
    done = call(run, "--workers", 2)
    assert done.exit_code == 7
    assert len(done.stderr.splitlines()) == 3
    assert "failed, 3 failures" in done.stdout


def test_nothing_to_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(EXAMPLES / "tags", tmp_path / "job", ignore=shutil.ignore_patterns("ledger.*"))
    monkeypatch.chdir(tmp_path / "job")
    Path("tags.csv").write_text("Delivery,Asset number,Description,Branch\n1,ö,Shelf,North\n")
    done = CliRunner().invoke(
        main, ["build", "job.toml", "--out", "run", "--readback", "--workers", "1"]
    )
    assert done.exit_code == 3
    last = done.stdout.splitlines()[-1]
    assert last.partition(" read back: ")[2] == (
        "there was nothing to read, for no record was printed -> run"
    )


def test_json(few: Path, tmp_path: Path) -> None:
    done = call(few, "--json", "--out", tmp_path / "found", "--workers", 1, "--all")
    answer = json.loads(done.stdout)
    assert answer["done"] is True
    assert (answer["codes"], answer["codes_good"], answer["degraded"]) == (8, 8, 8)
    run = copied(few, tmp_path)
    bed_file(run).write_bytes(b"rubbish")
    done = call(run, "--json", "--out", tmp_path / "bad", "--workers", 1)
    answer = json.loads(done.stdout)
    assert (done.exit_code, answer["done"], answer["exit_code"]) == (7, False, 7)
    assert answer["problems"][0]["kind"] == "file-changed"
    assert answer["failures"] == len(answer["problems"]) == 1


def test_a_wrong_folder(tmp_path: Path) -> None:
    done = call(tmp_path, "--json")
    answer = json.loads(done.stdout)
    assert (done.exit_code, answer["problems"][0]["kind"]) == (2, "not-a-run")
    done = call(tmp_path / "nowhere")
    assert done.exit_code == 2
    assert done.stderr.count("\n") == 1
    assert "name a folder made by vardata build" in done.stderr
