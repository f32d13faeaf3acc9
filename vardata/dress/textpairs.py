"""Text over text: fields whose letters may run into each other.

In: the places of a layout's fields, then the fits of a record. Out: the pairs of fields whose ink
meets there. Which fields can meet is decided once a layout, by their boxes. Gloss does not count:
it is often laid over letters.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from vardata.dress import choke as chokes
from vardata.dress.geometry import Bounds
from vardata.dress.places import Places, share
from vardata.dress.variable import TextVariable, Variable
from vardata.fit.result import FieldFit, TextFit

_SLIVER = 1e-4  # mm2: less than a dot of 1440 dpi


class TextPairs:
    """The pairs of text fields of one layout that can meet; false if none can."""

    def __init__(self, places: Places, fields: Sequence[Variable]) -> None:
        texts = [
            (n, field) for n, field in enumerate(fields)
            if isinstance(field, TextVariable)
            and any(ink.kind != "gloss" for ink in places.all_inks(n))
        ]  # fmt: skip
        self._pairs = tuple(
            (places.fields[n].name, one, places.fields[m].name, other)
            for (n, one), (m, other) in combinations(texts, 2)
            if share(places.box(n), places.box(m))
        )

    def __bool__(self) -> bool:
        return bool(self._pairs)

    def met(self, fits: Sequence[FieldFit]) -> Iterator[tuple[str, str]]:
        """The names of the fields whose letters meet in a record, the upper one first."""
        for name, one, other_name, other in self._pairs:
            if _meet(one, fits[one.index], other, fits[other.index]):
                yield other_name, name


def _meet(one: TextVariable, fit: FieldFit, other: TextVariable, its: FieldFit) -> bool:
    if not isinstance(fit, TextFit) or not isinstance(its, TextFit):
        return False
    if not fit.runs or not its.runs:
        return False
    first, second = one.lettering.bounds(fit.ink), other.lettering.bounds(its.ink)
    if not chokes.overlap(first, second):
        return False
    shared: Bounds = (
        max(first[0], second[0]), max(first[1], second[1]),
        min(first[2], second[2]), min(first[3], second[3]),
    )  # fmt: skip
    ink = one.lettering.area(fit, within=shared)
    met: float = ink.intersection(other.lettering.area(its, within=shared)).area
    return met > _SLIVER
