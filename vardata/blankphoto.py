"""Photos of blanks, for previews: what items lie on instead of a plain colour.

In: a setup, or a file for every blank. Out: for each blank its photo as a ``Picture``. A photo
shows one blank: it fills the item's box (width x height of the layout), what passes the box on
two sides being cut off evenly, lies in the item's own sense and is cut to its outline.
"""

from __future__ import annotations

from pathlib import Path

from vardata.dress.drawing import Picture
from vardata.dress.framing import Framing
from vardata.dress.pictures import read_picture
from vardata.job.model import Setup
from vardata.problems import CallError, JobError, Where

_EVERY = ""


class BlankPhotos:
    """Photos by the key of their blank. Raises ``JobError`` for what is no picture, ``CallError``
    where the file was named in the call."""

    def __init__(self, setup: Setup, instead: Path | None = None) -> None:
        layout = setup.layout
        framing = Framing(layout.width / layout.height, size=(layout.width, layout.height))
        self._pictures: dict[str, Picture] = {}
        if instead is None:
            for blank, path in setup.photos.items():
                where = Where(file=setup.job_file.name, key=f"blanks.{blank}.photo")
                self._pictures[blank] = read_picture(path, framing, where).picture
            return
        try:
            where = Where(file=str(instead))
            self._pictures[_EVERY] = read_picture(instead, framing, where).picture
        except JobError as error:
            raise CallError(error.problems) from None

    def key(self, blank: str) -> str:
        """The key of a blank's photo; empty if it has none."""
        found = self._pictures.get(blank, self._pictures.get(_EVERY))
        return found.key if found is not None else ""

    def by_key(self, key: str) -> Picture | None:
        return next((found for found in self._pictures.values() if found.key == key), None)
