"""Pictures of a run, found by path for dressing and by key for writing.

In: paths that records and art name. Out: ``Picture`` values, kept while there is room and read
again when they are needed later, so that memory does not grow with the number of pictures.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from vardata.dress.drawing import Picture
from vardata.dress.framing import COARSE, Framing
from vardata.dress.inklimit import LIGHTER, SLACK, too_much
from vardata.dress.page_inks import ink_twice, plate_inks
from vardata.dress.pictures import PAGES, canonical, judged, load_picture
from vardata.job.model import Setup
from vardata.problems import Problem, Severity

_ROOM = 64 * 1024 * 1024  # bytes of picture data kept in one process

Source = tuple[str, Framing]


class CoarsePicture(NamedTuple):
    """A picture that a record names, with few pixels per inch in its field."""

    field: str
    name: str
    ppi: float


class PictureStore:
    """All pictures of one process. ``fixed`` (of static art) are never given up."""

    def __init__(
        self, fixed: Iterable[Picture], profile: str = "", limit: float | None = None,
        judged_by: str = "", own_inks: frozenset[str] = frozenset(),
    ) -> None:  # fmt: skip
        self._own_inks = own_inks  # that no page may bring, because a standard forbids it
        self._profile = profile  # that RGB is converted by
        self._limit, self._judged_by = limit, judged_by  # of ink; the profile that tells it
        self._coarse: list[CoarsePicture] = []
        self._fixed = {picture.key: picture for picture in fixed}
        self._kept: OrderedDict[Source, Picture] = OrderedDict()
        self._sources: dict[str, Source] = {}
        self._bytes = 0
        self._faults: dict[Source, Problem | None] = {}

    @classmethod
    def of(cls, setup: Setup, fixed: Iterable[Picture] = ()) -> PictureStore:
        """That of a job, whose plates, machine and profiles say what can be printed."""
        plain = setup.job.output.standard == "plain"
        return cls(
            fixed, setup.converts_by, setup.mode.ink_limit, setup.judges_by,
            frozenset() if plain else plate_inks(setup),
        )  # fmt: skip

    def fault(self, path: str, framing: Framing, field: str, name: str) -> Problem | None:
        """Why the picture that a record names cannot be printed, or None; asked once a file."""
        source = (path, framing)
        if source not in self._faults:
            self._faults[source] = self._look(path, framing, field, name)
        found = self._faults[source]
        if found is None:
            return None
        what = f"the picture {name!r} cannot be printed: {found.what}"
        return found._replace(severity=Severity.HOLD, what=what, value=name)

    def _look(self, path: str, framing: Framing, field: str, name: str) -> Problem | None:
        limit = self._limit
        if limit is not None:
            framing = framing._replace(
                profile=self._profile, limited=True, judged_by=self._judged_by
            )
        found = judged(Path(path), framing)
        if found.fault is not None:
            return found.fault
        if limit is not None and found.heaviest > limit + SLACK:
            what = f"it {too_much(found.heaviest, limit)}"
            return Problem("ink-limit", Severity.ERROR, what, LIGHTER)
        if self._own_inks and Path(path).suffix.lower() in PAGES:
            twice = ink_twice(load_picture(Path(path), framing), self._own_inks)
            if twice is not None:
                return twice
        if 0 < found.ppi < COARSE:
            self._coarse.append(CoarsePicture(field, name, found.ppi))
        return None

    def take_coarse(self) -> tuple[CoarsePicture, ...]:
        """Pictures whose pixels show, each once; forgets them."""
        found, self._coarse = tuple(self._coarse), []
        return found

    def find(self, path: str, framing: Framing, /) -> Picture:
        """The picture of a file, taken as the framing says."""
        source = (path, canonical(path, framing)._replace(profile=self._profile))
        picture = self._kept.get(source)
        if picture is not None:
            self._kept.move_to_end(source)
            return picture
        picture = load_picture(Path(path), source[1])
        self._sources[picture.key] = source
        self._kept[source] = picture
        self._bytes += len(picture.data)
        while self._bytes > _ROOM and len(self._kept) > 1:
            _, dropped = self._kept.popitem(last=False)
            self._bytes -= len(dropped.data)
        return picture

    def small_by_key(self, key: str) -> Picture:
        """The same for papers, which need few pixels."""
        picture = self.by_key(key)
        return picture.small or picture

    def by_key(self, key: str) -> Picture:
        """The picture that a mark names."""
        fixed = self._fixed.get(key)
        return fixed if fixed is not None else self.find(*self._sources[key])
