"""ICC profiles that a job names: are they what a bed file needs?

In: a file. Out: nothing, or a ``PathFault``. The header's fields are those of ISO 15076-1, 7.2.
"""

from __future__ import annotations

from pathlib import Path

from vardata.job.found import clipped
from vardata.job.paths import PathFault

_HEADER = 128  # bytes


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
