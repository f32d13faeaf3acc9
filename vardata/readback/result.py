"""What was found in a slot: values for the report, nothing else.

Failures are ``Problem`` values with their bed, slot and field.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from vardata.problems import Problem, Severity, Where
from vardata.readback.hard import Hardest


class Fault(NamedTuple):
    """One thing that is wrong with a field."""

    kind: str
    what: str
    remedy: str
    value: str = ""

    def at(self, slot: dict[str, Any], field: str) -> Problem:
        where = Where(
            bed=slot["bed"], slot=slot["slot"], field=field, record=str(slot.get("record", ""))
        )
        return Problem(self.kind, Severity.ERROR, self.what, self.remedy, where, self.value)


class CodeResult(NamedTuple):
    """A code: ``read`` is what it says, None if it does not read. ``module_dots``, ``contrast``
    and ``unused`` are None where they could not be measured, ``hard`` where it was not asked."""

    field: str
    symbology: str
    text: str
    read: str | None
    module_dots: tuple[float, ...] | None
    contrast: float | None
    unused: float | None
    hard: Hardest | None
    faults: tuple[Fault, ...]


class TextResult(NamedTuple):
    """A text: whether there is ink in its box, and whether there is some just outside."""

    field: str
    text: str
    ink: bool
    outside: bool
    faults: tuple[Fault, ...]
