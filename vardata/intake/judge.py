"""What becomes of a finding: the row is held, or it is counted for one line, or let go.

In: the faults of a row's cells and the levels of the job's checks. Out: the problems that hold
the row; all else goes to the tally. A fault that is no check's holds the row if its column is
used at all.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from vardata.intake.cellfault import CellFault
from vardata.intake.columns import Plan
from vardata.intake.tally import Tally
from vardata.letters import letters
from vardata.problems import Problem, Severity, Where

if TYPE_CHECKING:
    from vardata.intake.checks.levels import CheckLevels
    from vardata.intake.findings import Findings

WHOLE_ROW = -1
_ANYWHERE = ("instruction", "unexpected-value")  # said of columns that nothing uses, too


class Judge:
    """Judges the rows of one sheet. ``listener`` hears of every finding that holds no row."""

    def __init__(self, sheet: str, plan: Plan, levels: CheckLevels) -> None:
        self.sheet, self.plan, self.levels = sheet, plan, levels
        self.tally = Tally()
        self.listener: Findings | None = None
        self.position = {index: place for place, index in enumerate(plan.indexes)}

    def judged(self, number: int, faults: tuple[CellFault, ...]) -> tuple[list[Problem], set[int]]:
        """The faults that hold the row, and the positions they make doubtful.

        A fault of the whole row makes every column doubtful: the set then holds -1.
        """
        held: list[Problem] = []
        doubtful: set[int] = set()
        for fault in faults:
            place = self.position.get(fault.column, WHOLE_ROW) if fault.place < 0 else fault.place
            severity = self._severity(fault, place)
            if severity is Severity.HOLD:
                doubtful.add(place)
                where = Where(sheet=self.sheet, row=number, column=self.label(fault.column))
                held.append(
                    Problem(fault.kind, severity, fault.what, fault.remedy, where, fault.value)
                )
            elif severity is not None:
                self._remark(number, place, fault, severity)
        return held, doubtful

    def _severity(self, fault: CellFault, place: int) -> Severity | None:
        if place >= 0 and self.levels.known(fault.kind):
            return self.levels.of(fault.kind, place)
        if fault.column < 0 or fault.kind == "stray-row" or place in self.plan.needed:
            return Severity.HOLD
        return Severity.WARNING if place >= 0 else None

    def _remark(self, number: int, place: int, fault: CellFault, severity: Severity) -> None:
        if place in self.plan.needed or fault.kind in _ANYWHERE:
            self.tally.found(number, fault, severity)
        else:
            self.tally.add("unused-cell", fault.column, number, fault.value, fault.what)
        if self.listener is not None:
            self.listener.hear(number, fault, severity)

    def label(self, index: int) -> str:
        """What a person calls a column of the sheet."""
        if index < 0:
            return ""
        place = self.position.get(index)
        return letters(index) if place is None else self.plan.headings[place]
