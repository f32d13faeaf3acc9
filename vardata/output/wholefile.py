"""One file that appears whole or not at all; an earlier one of its name gives way."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Collection
from pathlib import Path

from vardata.output.folder import current_umask
from vardata.problems import CallError, OutputError, fail


def check_name(
    out: Path, suffix: str, kind: str, read: Collection[Path] = frozenset()
) -> None:
    """Refuses what a slip of the pen may name: a file of another kind, a folder that is not
    there, one of the resolved files ``read`` that a job is made from. Raises ``CallError`` or
    ``OutputError``."""
    if out.suffix.lower() != suffix:  # it must not stand in the place of a job file
        what = f"--out {str(out)!r} is no name for a {kind}"
        raise fail(CallError, "bad-name", what, f"end it in {suffix}")
    if out.resolve() in read:
        what = f"--out {str(out)!r} is a file that the job is made from"
        raise fail(CallError, "own-file", what, "choose another name")
    if not out.parent.is_dir():
        raise fail(
            OutputError, "no-folder", f"there is no folder {str(out.parent)!r}",
            "make it, or choose another with --out", file=str(out),
        )


def write_whole(out: Path, data: bytes) -> None:
    """Raises ``OutputError``."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{out.name}.partial-", dir=out.parent)
        fresh = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            fresh.chmod(0o666 & ~current_umask())
            fresh.replace(out)
        finally:
            fresh.unlink(missing_ok=True)
    except OSError as error:
        raise fail(
            OutputError, "cannot-write", f"the picture cannot be written ({error.strerror})",
            "choose a file in a folder that you may write to with --out", file=str(out),
        ) from None
