"""A full disk, at whatever moment: one clear line, exit code 6, nothing left behind."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
from functools import partial
from pathlib import Path

import pytest
from run_kit import AT, COMMAND, OUTPUT, ROOT, copied, environment

# Mounts a small disk that only this process and its children see, builds there, looks around.
SCRIPT = """
mount -t tmpfs -o size=$1 none "$2" || exit 99
disk=$2; shift 2
"$@"; code=$?
ls -A "$disk" >&3
exit $code
"""


def line(out: Path) -> str:
    return (
        f"{out}: there is no space left to write the run; free some space or choose another disk "
        "with --out; nothing was left behind\n"
    )


@pytest.mark.parametrize("size", ["4k", "64k", "300k", "700k", "1m"])
def test_a_disk_that_runs_full(tmp_path: Path, size: str) -> None:
    """A tmpfs in a mount namespace of its own. Where the user may not mount, see below."""
    disk = tmp_path / "disk"
    disk.mkdir()
    home, out, seen = copied("medals", tmp_path / "job"), disk / "run", tmp_path / "seen"
    with seen.open("wb") as file:
        done = subprocess.run(
            ["unshare", *(() if os.geteuid() == 0 else ("--map-root-user",)), "--mount",
             "sh", "-c", f"exec 3>&{file.fileno()}; {SCRIPT}", "sh", size, disk,
             *COMMAND, "build", home / "job.toml", "--out", out, "--at", AT],
            cwd=ROOT, env=environment(), capture_output=True, check=False, timeout=600,
            pass_fds=[file.fileno()],
        )  # fmt: skip
    if os.geteuid() != 0 and done.returncode in (1, 99) and "unshare" in done.stderr.decode():
        return limited(home, out, 64 * 1024)
    assert done.returncode != 99, f"root may not mount a tmpfs here: {done.stderr.decode()}"
    assert (done.returncode, done.stdout, done.stderr.decode()) == (OUTPUT, b"", line(out))
    assert seen.read_text() == "", "something was left behind"
    return None


@pytest.mark.parametrize("workers", ["1", "2"])
@pytest.mark.parametrize("part", ["spool", "bed", "picklist.pdf"])
def test_a_file_that_cannot_grow(tmp_path: Path, medals: object, part: str, workers: str) -> None:
    """RLIMIT_FSIZE: writing past it fails with EFBIG, as on a file system of small files."""
    ...


def limited(home: Path, out: Path, size: int, *options: str) -> None:
    done = subprocess.run(
        [*COMMAND, "build", home / "job.toml", "--out", out, "--at", AT, *options],
        cwd=ROOT, env=environment(), capture_output=True, check=False, timeout=600,
        preexec_fn=partial(resource.setrlimit, resource.RLIMIT_FSIZE, (size, size)),
    )  # fmt: skip
    assert (done.returncode, done.stdout, done.stderr.decode()) == (OUTPUT, b"", line(out))
    assert not any(out.parent.iterdir()), "something was left behind"


assert shutil
