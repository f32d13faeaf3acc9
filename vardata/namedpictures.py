"""Pictures that records name, known by what is in their files.

In: a record. Out: the sha256 of each picture that it names, empty where there is none. A name
that is made of a serial is not known before the serial is, and is left out.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from vardata.fit.picture import PictureFinder
from vardata.fit.result import PictureFit
from vardata.job.model import PictureField, Setup
from vardata.problems import Problem
from vardata.resolve.templates import Resolver, field_columns
from vardata.runid import sha256_of

if TYPE_CHECKING:
    from vardata.intake.record import Record


class NamedPictures:
    """Falsy where no layout of the job has pictures by the record. Each file is read once."""

    def __init__(self, setup: Setup, names: tuple[str, ...]) -> None:
        self._finder = PictureFinder(setup.job_file.parent, setup.job.outside)
        self._resolvers = [
            tuple(filter(None, (_resolver(side, names) for side in part.sides())))
            for part in setup.parts()
        ]
        self._digests: dict[str, str] = {}

    def __bool__(self) -> bool:
        return any(self._resolvers)

    def __call__(self, record: Record) -> list[str]:
        digests: list[str] = []
        for resolver in self._resolvers[record.product]:
            named = resolver.resolve(record)
            if not isinstance(named, Problem):
                digests += [self._digest(name or "") for name in named]
        return digests

    def _digest(self, name: str) -> str:
        found = self._digests.get(name)
        if found is None:
            fit = self._finder.find(name) if name else None
            path = fit.path if isinstance(fit, PictureFit) else ""
            found = self._digests[name] = _sha256(path) if path else ""
        return found


def _sha256(path: str) -> str:
    try:
        return sha256_of(Path(path))
    except OSError:
        return ""  # the record is held: nothing of it is printed


def _resolver(part: Setup, names: tuple[str, ...]) -> Resolver | None:
    """Makes the names of a layout's pictures, and nothing else."""
    serials = part.job.serials.keys()
    columns = field_columns(part)
    fields = tuple(
        field
        for field in part.layout.fields
        if isinstance(field, PictureField) and serials.isdisjoint(columns[field.name])
    )
    if not fields:
        return None
    layout = part.layout.model_copy(update={"fields": fields})
    return Resolver(part.model_copy(update={"layout": layout}), names)
