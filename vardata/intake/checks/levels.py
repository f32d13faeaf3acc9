"""How much is made of each finding: the job's levels, resolved for the columns of a sheet.

In: the job's ``[checks]``, the kept columns. Out: a ``Severity``, or None where a check is off.
A finding in a column that nothing uses never holds a row: it is a warning at most.
"""

from __future__ import annotations

import difflib
from collections.abc import Sequence

from vardata.intake.columns import Plan
from vardata.intake.safenames import fold
from vardata.intake.tally import quoted
from vardata.job.near import listed
from vardata.job.sheetchecks import DEFAULTS, Checks, Levels
from vardata.problems import Problem, Severity, Where

_SEVERITIES = {
    "off": None, "note": Severity.NOTE, "warning": Severity.WARNING, "hold": Severity.HOLD,
}  # fmt: skip
# Not looked for in codes that nobody reads, which have their own spelling, unless the job sets a
# level for the column.
SPARED = frozenset((
    "all-capitals", "edge-marks", "doubled-word", "garbled", "unseen-characters",
    "control-character", "miscount", "near-duplicate", "lost-letter", "written-out",
))  # fmt: skip
_NOTHING: frozenset[str] = frozenset()
# What codes are looked through for in a measure of their own: NUL, "3x ABC" and U+FFFD.
_IN_PART = frozenset(("control-character", "miscount", "lost-letter"))


class CheckLevels:
    """Levels by kind and by position of a kept column; position -1 is the row as a whole."""

    def __init__(self, checks: Checks, plan: Plan, columns: dict[int, Levels]) -> None:
        self._by_kind: dict[str, list[Severity | None]] = {}
        self._spared = {
            place: SPARED - {
                kind for kind in SPARED
                if place in columns and getattr(columns[place], kind.replace("-", "_"))
            }
            for place in plan.unread
        }  # fmt: skip
        count = len(plan.names)
        for key, default in DEFAULTS.items():
            kind = key.replace("_", "-")
            general = getattr(checks, key) or default
            row = [_SEVERITIES[general]] * (count + 1)  # the last is found by position -1
            for place in range(count):
                own = getattr(columns[place], key) if place in columns else None
                level = _SEVERITIES[own or general]
                if kind in self.spared(place) and kind not in _IN_PART:
                    level = None
                if level is Severity.HOLD and place not in plan.needed:
                    level = Severity.WARNING
                row[place] = level
            self._by_kind[kind] = row

    def known(self, kind: str) -> bool:
        """Whether a kind is that of a check at all."""
        return kind in self._by_kind

    def of(self, kind: str, place: int) -> Severity | None:
        return self._by_kind[kind][place]

    def spared(self, place: int) -> frozenset[str]:
        """The kinds that a column is not looked through for, as it is a code that nobody reads."""
        return self._spared.get(place, _NOTHING)

    def any_at(self, place: int) -> bool:
        """Whether any check is on in a column."""
        return any(row[place] is not None for row in self._by_kind.values())

    def holds(self, kind: str) -> bool:
        return Severity.HOLD in self._by_kind[kind]


def column_place(wanted: str, plan: Plan) -> int | None:
    """The position of a column by its safe name or its heading, or None."""
    if wanted in plan.names:
        return plan.names.index(wanted)
    folded = fold(wanted)
    return next((i for i, h in enumerate(plan.headings) if fold(h) == folded), None)


def named_places(
    names: Sequence[str], table: str, plan: Plan, file: str
) -> tuple[dict[str, int], list[Problem]]:
    """Positions of the columns that a table of the job names, and a fault for each unknown."""
    places: dict[str, int] = {}
    faults: list[Problem] = []
    for name in names:
        place = column_place(name, plan)
        if place is not None:
            places[name] = place
            continue
        key = table if table == "personal" else f"{table}.columns.{name}"
        near = difflib.get_close_matches(name, [*plan.names, *plan.headings], 1)
        guess = f"did you mean {quoted(near[0])}? " if near else ""
        faults.append(
            Problem(
                "no-column", Severity.ERROR, f"the order sheet has no column {quoted(name)}",
                f"{guess}the columns are {listed(map(quoted, plan.headings))}",
                Where(file=file, key=key), name,
            )
        )  # fmt: skip
    return places, faults
