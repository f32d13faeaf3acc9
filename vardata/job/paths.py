"""Files that a user's file names: found, and kept inside the job's folder.

In: a name as written, the folder it is relative to, the folder it must stay in. Out: the
file's real path, or a ``PathFault`` that says what is wrong. Links and ``..`` are followed
before the question whether a file lies inside is asked.
"""

from __future__ import annotations

import os
from pathlib import Path

from vardata.job.found import clipped
from vardata.job.near import nearest

FROM_HERE = "put it there, or mend the name, which starts from the folder of this file"
_LISTED = 2000  # files of a folder that are compared with a name that is not there


class PathFault(Exception):
    """A name that leads to no file that may be read. Carries a problem's kind and words."""

    def __init__(self, kind: str, what: str, remedy: str) -> None:
        super().__init__(f"{what}; {remedy}")
        self.kind, self.what, self.remedy = kind, what, remedy


def find_file(written: str, base: Path, inside: Path | None) -> Path:
    """The real path of an existing file, named relative to ``base``.

    ``inside`` is the folder it must lie in, or None if it may lie anywhere.
    """
    path = place(written, base, inside)
    if path.is_dir():
        raise PathFault(
            "no-file", f"{clipped(written)} is a folder, not a file", "name the file in it"
        )
    if not path.exists():
        raise PathFault("no-file", f"there is no file {clipped(written)}", _advice(written, base))
    if not path.is_file():
        raise PathFault("no-file", f"{clipped(written)} is not a plain file", "name a plain file")
    if not os.access(path, os.R_OK):
        raise PathFault(
            "no-file", f"the file {clipped(written)} may not be read", "change its rights"
        )
    return path


def place(written: str, base: Path, inside: Path | None) -> Path:
    """The real path of ``written``, whether or not a file is there."""
    if not written.strip():
        raise PathFault("no-file", "the file's name is empty", "name a file")
    if "\0" in written:
        raise PathFault("no-file", f"{clipped(written)} cannot be a file's name", "name a file")
    try:
        path = (base / written).resolve()
        path.exists()  # a name that is too long is found out here
    except (OSError, RuntimeError):  # RuntimeError: links that lead in a circle
        raise PathFault(
            "no-file", f"{clipped(written)} leads to no file", "check its length and its links"
        ) from None
    if inside is not None and not path.is_relative_to(inside.resolve()):
        raise PathFault(
            "outside", f"{clipped(written)} lies outside the folder {clipped(str(inside), 200)}",
            "move it into the folder, or set outside = true in the job file",
        )  # fmt: skip
    return path


def is_there(path: Path) -> bool:
    """Whether a plain file is there; a name that no file can have has none."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _advice(written: str, base: Path) -> str:
    """How to mend a name that is not there."""
    if "\\" in written and is_there(base / written.replace("\\", "/")):
        return "write / instead of \\"
    folder = (base / written).parent
    try:
        names = sorted(entry.name for _, entry in zip(range(_LISTED), folder.iterdir()))
    except OSError:
        return f"there is no folder {clipped(str(Path(written).parent))} either"
    suffix = Path(written).suffix.lower()
    stems: dict[str, str] = {}  # a suffix in common would make any two names alike
    for name in names:
        if name.lower().endswith(suffix):
            stems.setdefault(Path(name).stem, name)
    near = stems.get(nearest(Path(written).stem, stems) or "")
    if near is None:
        return FROM_HERE
    return f"did you mean {(Path(written).parent / near).as_posix()!r}?"
