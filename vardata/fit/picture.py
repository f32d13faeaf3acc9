"""Finds the picture that a record names, before the record may take a slot.

In: a file name from the order sheet. Out: ``PictureFit`` or the reason to hold the record.
Whether the file can be printed is dress's question (``dress.pictures.fault``).
"""

from __future__ import annotations

from pathlib import Path

from vardata.fit.result import PictureFit
from vardata.problems import Problem, Severity

SUFFIXES = (
    ".png", ".jpg", ".jpeg", ".tif", ".tiff", ".webp", ".heic", ".heif", ".pdf", ".eps",
)  # fmt: skip
_SHOWN = 60  # characters of a name that are shown in a message


def _held(kind: str, what: str, remedy: str, value: str) -> Problem:
    return Problem(kind, Severity.HOLD, what, remedy, value=value)


class PictureFinder:
    """Looks a name up from ``folder``; remembers what it found."""

    def __init__(self, folder: Path, outside: bool) -> None:
        self._folder = folder.resolve()
        self._outside = outside
        self._seen: dict[str, PictureFit | Problem] = {}

    def find(self, name: str) -> PictureFit | Problem:
        found = self._seen.get(name)
        if found is None:
            found = self._seen[name] = self._look(name)
        return found

    def _look(self, name: str) -> PictureFit | Problem:
        try:
            path = (self._folder / name).resolve()
            there = path.is_file()
        except (OSError, ValueError, RuntimeError):  # too long, a NUL, links that lead in a circle
            shown = name if len(name) <= _SHOWN else name[: _SHOWN - 3] + "..."
            return _held(
                "picture-missing",
                f"{shown!r} cannot be the name of a picture",
                "mend the name in the cell",
                name,
            )
        if not self._outside and not path.is_relative_to(self._folder):
            return _held(
                "picture-outside",
                f"the picture {name!r} lies outside the job's folder",
                'move it inside, or set "outside = true" in the job',
                name,
            )
        if path.suffix.lower() not in SUFFIXES:
            return _held(
                "picture-kind",
                f"{name!r} is no picture by its name",
                f"use one of {', '.join(SUFFIXES)}",
                name,
            )
        if not there:
            return _held(
                "picture-missing",
                f"the picture {name!r} is not there",
                "put it there, below the job's folder, or mend the name in the cell",
                name,
            )
        return PictureFit(str(path))
