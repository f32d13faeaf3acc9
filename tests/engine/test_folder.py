"""The run's folder appears whole or not at all."""

from __future__ import annotations

import errno
from pathlib import Path

import pytest

from vardata.output.folder import run_folder
from vardata.problems import OutputError


def run(out: Path, text: str, replace: bool = False) -> None:
    with run_folder(out, replace) as folder:
        (folder / "run.json").write_text(text)


def entries(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_the_folder_appears_with_what_was_written(tmp_path: Path) -> None:
    run(tmp_path / "new" / "out", "1")
    assert (tmp_path / "new" / "out" / "run.json").read_text() == "1"
    assert entries(tmp_path / "new") == ["out"]


def test_a_failure_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(KeyboardInterrupt), run_folder(tmp_path / "out", False) as folder:
        (folder / "half").write_text("x")
        raise KeyboardInterrupt
    assert entries(tmp_path) == []


def test_an_existing_folder_is_refused_or_swapped(tmp_path: Path) -> None:
    out = tmp_path / "out"
    run(out, "1")
    with pytest.raises(OutputError) as error:
        run(out, "2")
    assert str(error.value) == (
        f"{out}: the output folder exists already; choose another with --out, or swap it with "
        "--replace"
    )
    assert (out / "run.json").read_text() == "1"
    run(out, "2", replace=True)
    assert (out / "run.json").read_text() == "2"
    assert entries(tmp_path) == ["out"]


def test_a_failed_swap_keeps_the_old_run(tmp_path: Path) -> None:
    out = tmp_path / "out"
    run(out, "1")
    with pytest.raises(OutputError), run_folder(out, True):
        raise OSError(errno.EIO, "Input/output error")
    assert (out / "run.json").read_text() == "1"
    assert entries(tmp_path) == ["out"]


def test_only_a_run_is_replaced(tmp_path: Path) -> None:
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "a.jpg").write_text("x")
    with pytest.raises(OutputError, match="not the folder of a run"):
        run(tmp_path / "photos", "1", replace=True)
    assert entries(tmp_path / "photos") == ["a.jpg"]


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EDQUOT])
def test_no_space_is_one_clear_line(tmp_path: Path, code: int) -> None:
    out = tmp_path / "out"
    with pytest.raises(OutputError) as error, run_folder(out, False):
        raise OSError(code, "full")
    assert str(error.value) == (
        f"{out}: there is no space left to write the run; free some space or choose another "
        "disk with --out; nothing was left behind"
    )
    assert entries(tmp_path) == []
