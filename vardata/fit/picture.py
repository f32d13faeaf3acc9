"""Finds and opens the picture that a record names, before the record may take a slot.

In: a file name from the order sheet. Out: ``PictureFit`` or the reason to hold the record.
Reading the pixels for output is dress's work; here the file is decoded once to know it is whole.
"""

from __future__ import annotations

from pathlib import Path

from vardata.fit.result import PictureFit
from vardata.problems import Problem, Severity

SUFFIXES = (".png", ".jpg", ".jpeg")


def _held(kind: str, what: str, remedy: str, value: str) -> Problem:
    return Problem(kind, Severity.HOLD, what, remedy, value=value)


class PictureFinder:
    """Looks a name up below ``folder``; remembers what it found."""

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
        if "\0" in name:
            return _held("picture-missing", "the picture's name holds a NUL", "mend the cell", name)
        path = (self._folder / name).resolve()
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
                f"{name!r} is not a PNG or JPEG by its name",
                f"use one of {', '.join(SUFFIXES)}",
                name,
            )
        if not path.is_file():
            return _held(
                "picture-missing",
                f"the picture {name!r} is not there",
                f"put it into {self._folder.name}/ or mend the name in the cell",
                name,
            )
        return self._open(path, name)

    def _open(self, path: Path, name: str) -> PictureFit | Problem:
        from PIL import Image, UnidentifiedImageError

        try:
            with Image.open(path) as picture:
                picture.load()
        except (OSError, UnidentifiedImageError, ValueError, SyntaxError) as error:
            reason = str(error).split("\n")[0] or type(error).__name__
            return _held(
                "picture-unreadable",
                f"the picture {name!r} cannot be read ({reason})",
                "save it again as PNG or JPEG",
                name,
            )
        except Image.DecompressionBombError:
            return _held(
                "picture-too-large",
                f"the picture {name!r} has too many pixels",
                "scale it down to 300 ppi at its printed size",
                name,
            )
        return PictureFit(str(path))
