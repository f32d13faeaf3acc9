"""A full disk, at whatever moment: one clear line, exit code 6, nothing left behind."""

from __future__ import annotations

import os
import re
import resource
import subprocess
from functools import partial
from pathlib import Path

import pytest
from run_kit import AT, COMMAND, OUTPUT, ROOT, copied, environment, shortened

# Mounts a small disk that only this process and its children see, builds there, looks around.
SCRIPT = """
mount -t tmpfs -o size=$1 none "$2" || exit 99
disk=$2; shift 2
"$@"; code=$?
ls -A "$disk"
exit $code
"""

def the_line(out: Path) -> str:
    return (
        f"{out}: there is no space left to write the run; free some space or choose another disk "
        "with --out; nothing was left behind\n"
    )


# 300 tags need more than 1 MB while they are made. The disk runs full while records are fitted,
# while beds are written, and while the papers are.
@pytest.mark.parametrize("size", ["4k", "300k", "400k", "700k", "1000k"])
def test_a_disk_that_runs_full(tmp_path: Path, size: str) -> None:
    """A tmpfs in a mount namespace of its own."""
    disk = tmp_path / "disk"
    disk.mkdir()
    home, out = shortened(copied("tags", tmp_path / "job"), 300), disk / "run"
    root = os.geteuid() == 0
    done = subprocess.run(
        ["unshare", *(() if root else ("--map-root-user",)), "--mount", "sh", "-c", SCRIPT, "sh",
         size, disk, *COMMAND, "build", home / "job.toml", "--out", out, "--at", AT],
        cwd=ROOT, env=environment(), capture_output=True, check=False, timeout=600,
    )  # fmt: skip
    said = done.stderr.decode()
    if not root and re.match("(unshare|mount): ", said):  # a user without the right to mount
        return look_at_limited(tmp_path / "limited", 64 * 1024, "2")
    assert done.returncode != 99, f"root may not mount a tmpfs here: {said}"
    assert done.returncode == OUTPUT, said
    assert done.stdout == b"", "something was left behind"
    assert said == the_line(out)
    return None


@pytest.mark.parametrize("workers", ["1", "2"])
@pytest.mark.parametrize("size", [0, 20_000])
def test_a_file_that_cannot_grow(tmp_path: Path, size: int, workers: str) -> None:
    look_at_limited(tmp_path / "limited", size, workers)


def look_at_limited(folder: Path, size: int, workers: str) -> None:
    """RLIMIT_FSIZE, which needs no rights: writing past it fails with EFBIG."""
    out = folder / "out" / "run"
    out.parent.mkdir(parents=True)
    home = shortened(copied("tags", folder / "job"), 300)
    done = subprocess.run(
        [*COMMAND, "build", home / "job.toml", "--out", out, "--at", AT, "--workers", workers],
        cwd=ROOT, env=environment(), capture_output=True, check=False, timeout=600,
        preexec_fn=partial(resource.setrlimit, resource.RLIMIT_FSIZE, (size, size)),
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (OUTPUT, b""), done.stderr.decode()
    assert done.stderr.decode() == the_line(out)
    assert not any(out.parent.iterdir()), "something was left behind"
