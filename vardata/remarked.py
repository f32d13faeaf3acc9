"""Remarks on the texts of a whole run: counts of chunks in, one line a field out.

In: the remarks of each chunk, in the order of the sheet. Out: notes and warnings; that texts came
out in uneven sizes is for ``check`` alone, before anything is printed.
"""

from __future__ import annotations

from collections.abc import Iterable

from vardata.problems import Problem, Severity, Where
from vardata.work.remarks import Remark

_UNEVEN = 1.3  # largest over smallest: a step that everybody sees (common practice, no source)
_Key = tuple[str, str, str, str]


class Remarked:
    """All remarks of a run."""

    def __init__(self) -> None:
        self._found: dict[_Key, Remark] = {}

    def add(self, remarks: Iterable[Remark]) -> None:
        """Those of the next chunk."""
        for new in remarks:
            key = (new.kind, new.file, new.field, new.other)
            old = self._found.get(key)
            if old is None:
                self._found[key] = new
            elif new.kind == "smallest":
                self._found[key] = min(old, new, key=lambda one: one.value)
            elif new.kind == "largest":
                self._found[key] = max(old, new, key=lambda one: one.value)
            else:
                self._found[key] = old._replace(records=old.records + new.records)

    def notes(self) -> list[Problem]:
        """For ``check`` and ``build``: letters that meet, fonts that stand in for others."""
        known = sorted(self._found.items())
        met = [_met(one) for key, one in known if key[0] == "met"]
        return met + [self._fonts(one) for key, one in known if key[0] == "set"]

    def uneven(self) -> list[Problem]:
        """For ``check``: fields whose texts came out in clearly different sizes."""
        found = []
        for key, large in sorted(self._found.items()):
            small = self._found.get(("smallest", *key[1:]))
            if key[0] == "largest" and small and large.value / small.value > _UNEVEN:
                found.append(_uneven(small, large))
        return found

    def _fonts(self, one: Remark) -> Problem:
        fonts = [
            (-other.records, other.other)
            for key, other in self._found.items()
            if key[:3] == ("font", one.file, one.field)
        ]
        named = ", ".join(f"{font} ({-records})" for records, font in sorted(fonts))
        texts = "1 text is" if one.records == 1 else f"{one.records} texts are"
        what = (
            f"{texts} set, all or in part, in another font, because {one.other} lacks letters: "
            f"{named}, {_first(one)}"
        )
        remedy = "look at a proof; a first font that has all letters sets all texts alike"
        return Problem("other-font", Severity.NOTE, what, remedy, _where(one))


def _first(one: Remark) -> str:
    return f"in row {one.row}" if one.records == 1 else f"first in row {one.row}"


def _met(one: Remark) -> Problem:
    records = "1 record" if one.records == 1 else f"{one.records} records"
    what = f"its letters run into those of field {one.other!r} in {records}, {_first(one)}"
    remedy = "move one of their two boxes or make it smaller, so that they lie apart"
    return Problem("text-over-text", Severity.WARNING, what, remedy, _where(one))


def _uneven(small: Remark, large: Remark) -> Problem:
    what = (
        f"its texts came out in sizes from {small.value:.3g} pt (row {small.row}) to "
        f"{large.value:.3g} pt (row {large.row})"
    )
    remedy = 'one_size = "batch" or "order" sets all alike, if they are to be seen together'
    return Problem("uneven-sizes", Severity.NOTE, what, remedy, _where(small))


def _where(one: Remark) -> Where:
    return Where(file=one.file, field=one.field)
