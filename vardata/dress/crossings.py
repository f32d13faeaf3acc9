"""Print that comes where a code is: letters over its modules, in its quiet zone, under its ground.

In: the places of a layout's fields, then the fits of a record. Out: a ``Problem`` that holds the
record. Which fields can meet is decided once a layout, by their boxes; a record is looked at only
where two boxes share ground, and judged by its true ink. Gloss does not count: it keeps off codes.
Static print over codes is ``coverings``' to tell.
"""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry
from vardata.dress.codefield import CodeVariable
from vardata.dress.geometry import Bounds
from vardata.dress.glyphs import grown
from vardata.dress.picturefield import PictureVariable
from vardata.dress.places import Places, share
from vardata.dress.variable import Pictures, Surroundings, TextVariable, Variable
from vardata.fit.result import CodeFit, FieldFit, PictureFit, TextFit
from vardata.job import model
from vardata.problems import Problem, Severity, Where

_REMEDY = "move one of their two boxes or make it smaller, so that they lie apart"


class Crossings:
    """The codes of one layout and what may come across them; false if nothing may.

    ``dot`` (mm): codes are moved by less, so less is no crossing.
    """

    def __init__(self, places: Places, fields: Sequence[Variable], dot: float) -> None:
        self._places, self._fields, self._dot = places, fields, dot
        found = [
            (n, field, others)
            for n, field in enumerate(fields)
            if isinstance(field, CodeVariable) and (others := self._near(n))
        ]
        self._codes: tuple[tuple[int, CodeVariable, tuple[int, ...]], ...] = tuple(found)

    def __bool__(self) -> bool:
        return bool(self._codes)

    def _near(self, code: int) -> tuple[int, ...]:
        """The fields whose boxes share ground with a code's, and that matter to it."""
        places, box = self._places, self._places.box(code)
        return tuple(
            m for m in range(len(self._fields))
            if m != code and self._matters(m, code) and share(box, places.box(m))
        )  # fmt: skip

    def _matters(self, m: int, code: int) -> bool:
        """Gloss keeps off codes, and a picture below one is a ground for it that is wanted."""
        below = m < code and isinstance(self._places.fields[m], model.PictureField)
        return not below and any(ink.kind != "gloss" for ink in self._places.all_inks(m))

    def problem(
        self, fits: Sequence[FieldFit], near: Sequence[Surroundings], pictures: Pictures | None
    ) -> Problem | None:
        """Why a record must be held: the kind is ``code-crossed``."""
        for n, code, others in self._codes:
            fit = fits[code.index]
            if not isinstance(fit, CodeFit):
                continue
            zone = code.snapper.zone(fit, near[n].ground)
            for m in others:
                deep = self._deep(m, fits[self._fields[m].index], zone, pictures)
                if deep and not self._in_window(n, code, fit, m, fits, pictures):
                    return self._crossed(m, n, near[n].ground, deep)
        return None

    def _deep(
        self, m: int, fit: FieldFit, zone: Bounds, pictures: Pictures | None
    ) -> float:
        """How many mm field m reaches into a zone; 0 if it does not."""
        field = self._fields[m]
        inner = grown(zone, -self._dot)
        if isinstance(field, TextVariable) and isinstance(fit, TextFit) and fit.runs:
            bounds = field.lettering.bounds(fit.ink)
            if not chokes.overlap(bounds, inner):
                return 0.0
            met = not field.lettering.area(fit, within=inner).is_empty
        else:
            area = self._area(field, fit, pictures)
            if area is None or not chokes.overlap(area.bounds, inner):
                return 0.0
            bounds = area.bounds
            met = bool(shapely.intersects(area, geometry.rectangle(inner)))
        return _depth(bounds, zone) if met else 0.0

    def _area(
        self, field: Variable, fit: FieldFit, pictures: Pictures | None
    ) -> BaseGeometry | None:
        """What a code or a picture prints, a code without its ground."""
        if isinstance(field, CodeVariable) and isinstance(fit, CodeFit):
            return geometry.rectangle(field.snapper.bounds(fit, False))
        if isinstance(field, PictureVariable) and isinstance(fit, PictureFit) and pictures:
            return field.area(field.find(fit, pictures))
        return None

    def _in_window(
        self, n: int, code: CodeVariable, fit: CodeFit, m: int, fits: Sequence[FieldFit],
        pictures: Pictures | None,
    ) -> bool:
        """Whether field m is the logo in the window of a code."""
        of_code, field = self._places.fields[n], self._fields[m]
        if not isinstance(of_code, model.CodeField) or not of_code.window or m < n:
            return False
        hole = grown(code.snapper.window(fit, of_code.window), self._dot)
        its = fits[field.index]
        if isinstance(field, TextVariable) and isinstance(its, TextFit):
            return _within(field.lettering.bounds(its.ink), hole)
        area = self._area(field, its, pictures)
        return area is not None and _within(area.bounds, hole)

    def _crossed(self, m: int, code: int, ground: bool, deep: float) -> Problem:
        name, by = self._places.fields[code].name, f"{max(deep, 0.1):.1f} mm"
        if m < code and ground:
            what = f"the ground of the code {name!r} covers {by} of it"
        else:
            over = "over" if m > code else "under"
            what = f"it runs {by} {over} the code {name!r} or its quiet zone"
        where = Where(field=self._places.fields[m].name)
        return Problem("code-crossed", Severity.HOLD, what, _REMEDY, where)


def _depth(bounds: Bounds, zone: Bounds) -> float:
    """How far a box must be moved, one way, to leave another."""
    return min(
        bounds[2] - zone[0], zone[2] - bounds[0], bounds[3] - zone[1], zone[3] - bounds[1]
    )


def _within(bounds: Bounds, hole: Bounds) -> bool:
    return (
        bounds[0] >= hole[0] and bounds[1] >= hole[1]
        and bounds[2] <= hole[2] and bounds[3] <= hole[3]
    )  # fmt: skip
