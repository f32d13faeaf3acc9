"""Runs named by their folder or by their id, in every command that takes one."""

from __future__ import annotations

import json
import shutil

from badjob import Shop


def made(shop: Shop, out: str = "run") -> str:
    """Builds the job; gives the run's id, as its record says it."""
    done = shop.call("build", "job.toml", "--out", out)
    assert done.code == 0, done.err
    return str(json.loads((shop.path / out / "run.json").read_text("utf-8"))["run_id"])


def test_a_run_is_known_by_its_id(shop: Shop) -> None:
    run = made(shop)
    done = shop.call("readback", run)
    assert done.code == 0, done.err
    assert f"run {run} read back: all read" in done.out
    assert (shop.path / "run-readback").is_dir()  # beside the run, as ever
    done = shop.call("difference", run, "run", "--out", "other.png")
    assert done.code == 0 and "every plate is the same" in done.out
    done = shop.call("remake", "job.toml", run, "--slot", "1/A1")
    assert done.code == 0, done.err
    assert (shop.path / "run-remake").is_dir()
    done = shop.call("erase", run)
    assert done.code == 2 and "no run" not in done.err  # it found the run; nothing is personal


def test_an_id_that_stands_nowhere_or_twice_is_told(shop: Shop) -> None:
    run = made(shop)
    done = shop.call("readback", "0123456789ab")
    assert done.code == 2
    assert done.err.strip() == f"no run 0123456789ab lies in {shop.path}; name its folder"
    shutil.copytree(shop.path / "run", shop.path / "copy")
    done = shop.call("readback", run)
    assert done.code == 2
    assert done.err.strip() == (
        f"run {run} lies in several folders: copy, run; name the folder"
    )
    # The ledger of the job knows which of them was built.
    assert shop.call("remake", "job.toml", run, "--slot", "1/A1").code == 0


def test_a_folder_that_is_no_run_is_told_as_before(shop: Shop) -> None:
    done = shop.call("readback", "nothing-here")
    assert done.code == 2
    assert done.err.strip() == (
        "nothing-here: this is not the folder of a run; name a folder made by vardata build, with "
        "its run.json and slots.jsonl"
    )
