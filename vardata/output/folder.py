"""A run's folder appears whole or not at all.

In: the wanted folder. Out: a hidden folder beside it to write into, which takes the wanted
name in one step at the end, or is removed if anything goes wrong.
"""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext, suppress
from pathlib import Path

from vardata.problems import OutputError, VardataError, fail

_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_NOT_A_FOLDER = {errno.EEXIST, errno.ENOTDIR}


def as_output_error(error: OSError, folder: Path) -> VardataError:
    """The one line for a failure to write."""
    if error.errno in _FULL:
        return fail(
            OutputError,
            "no-space",
            "there is no space left to write the run",
            "free some space or choose another disk with --out; nothing was left behind",
            file=str(folder),
        )
    what = error.strerror or str(error)
    if error.errno in _NOT_A_FOLDER:
        what = "a file stands where a folder is wanted"
    name = f" ({error.filename})" if error.filename else ""
    return fail(
        OutputError,
        "cannot-write",
        f"the run cannot be written: {what}{name}",
        "choose a folder that you may write to with --out; nothing was left behind",
        file=str(folder),
    )


def refuse_existing(out: Path, replace: bool, mark: str = "run.json") -> None:
    """Raises ``OutputError`` where the folder is there and may not be replaced.

    A folder is one of ours if it is empty or holds the file ``mark``.
    """
    try:
        free = not out.exists() and not out.is_symlink()
    except OSError as error:  # a name that no file can have
        raise as_output_error(error, out) from None
    if free:
        return
    if not replace:
        raise fail(
            OutputError,
            "out-exists",
            "the output folder exists already",
            "choose another with --out, or swap it with --replace",
            file=str(out),
        )
    of = "a run" if mark == "run.json" else "a read-back"
    if (
        not out.is_dir()
        or out.is_symlink()
        or not ((out / mark).is_file() or not any(out.iterdir()))
    ):
        raise fail(
            OutputError,
            "not-a-run",
            f"what stands at --out is not the folder of {of}",
            f"--replace only swaps an earlier {of.split()[-1]}; choose another folder",
            file=str(out),
        )


def _swap(fresh: Path, out: Path) -> None:
    """Puts ``fresh`` in the place of ``out``; what stood there goes only once it stands."""
    if not out.exists():
        fresh.rename(out)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{out.name}.old-", dir=out.parent))
    out.rename(old / "run")
    try:
        fresh.rename(out)
    except OSError:
        (old / "run").rename(out)
        raise
    finally:
        if out.exists():
            shutil.rmtree(old, ignore_errors=True)


@contextmanager
def run_folder(
    out: Path, replace: bool, mark: str = "run.json",
    around: AbstractContextManager[object] | None = None,
) -> Iterator[Path]:
    """A folder to write into; becomes ``out`` if the block ends well. ``mark`` is the file
    that tells an earlier folder of its kind, which may be replaced. The step itself is done
    inside ``around``, which may undo its own part if the step fails."""
    refuse_existing(out, replace, mark)
    with _parents(out):
        try:
            fresh = Path(tempfile.mkdtemp(prefix=f".{out.name}.partial-", dir=out.parent))
        except OSError as error:
            raise as_output_error(error, out) from None
        try:
            yield fresh
            with around or nullcontext():
                refuse_existing(out, replace, mark)  # someone may have made it meanwhile
                fresh.chmod(0o777 & ~current_umask())
                _swap(fresh, out)
        except OSError as error:
            raise as_output_error(error, out) from None
        finally:
            shutil.rmtree(fresh, ignore_errors=True)


@contextmanager
def _parents(out: Path) -> Iterator[None]:
    """The folders that ``out`` lies in are made, and gone again if the block fails."""
    made = [folder for folder in out.parents if not folder.exists()]
    try:
        try:
            out.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise as_output_error(error, out) from None
        yield
    except BaseException:
        for folder in made:  # the innermost first; what holds anything by now stays
            with suppress(OSError):
                folder.rmdir()
        raise


def current_umask() -> int:
    """The rights that new files of this process do not get."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
