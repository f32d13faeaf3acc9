"""ICC profiles that a job names: are they what a bed file needs?

In: a name as written. Out: the profile's file, or a ``PathFault``. The header's fields are those
of ISO 15076-1, 7.2.
"""

from __future__ import annotations

from pathlib import Path

from vardata.job import shipped
from vardata.job.found import clipped
from vardata.job.near import choose
from vardata.job.paths import PathFault, find_file

_HEADER = 128  # bytes


def find_profile(written: str, base: Path, inside: Path | None) -> Path:
    """A shipped profile by its name, else a file: see ``paths.find_file``."""
    profiles = shipped.profiles()
    if written in profiles:
        return profiles[written]
    try:
        path = find_file(written, base, inside)
    except PathFault as fault:
        if fault.kind == "no-file" and "." not in written:
            names = choose(written, profiles, "none is shipped").replace("allowed:", "shipped:")
            fault.remedy = f"{names}, or name an .icc file"
        raise
    check_profile(path, written)
    return path


def check_profile(path: Path, written: str) -> None:
    """Whether a file is the profile of a printer with the four process inks."""
    with path.open("rb") as file:
        head = file.read(_HEADER)
    if len(head) < _HEADER or head[36:40] != b"acsp":
        what = f"{clipped(written)} is no ICC profile"
        raise PathFault("bad-profile", what, "name an .icc file")
    if head[12:16] != b"prtr" or head[16:20] != b"CMYK":
        what = f"{clipped(written)} is not the profile of a printer with the inks C, M, Y and K"
        raise PathFault("bad-profile", what, "name the output profile of your machine or ink set")


def description(data: bytes) -> str:
    """What a profile calls itself."""
    import io

    from PIL import ImageCms

    try:
        return ImageCms.getProfileDescription(io.BytesIO(data)).strip()
    except ImageCms.PyCMSError:
        return ""
