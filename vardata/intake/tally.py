"""Remarks that would come a thousand times, counted: one line for each kind and column.

In: each small thing that intake met or mended. Out: one ``Problem`` for each kind and column,
with the count and the first example, in the order of first sight.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from vardata.intake.cellfault import CellFault
from vardata.problems import Problem, Severity, Where

_NAMED = 3  # rows after the first that a line names


class Wording(NamedTuple):
    """The texts may use {n}, the count, and {value}, {now}, {plain} of the first example."""

    severity: Severity
    one: str
    many: str
    remedy: str = ""


WORDINGS = {
    "tidied": Wording(
        Severity.NOTE,
        "one text had its white space or Unicode form tidied: {value} became {now}",
        "{n} texts had their white space or Unicode form tidied, first {value} became {now}",
    ),
    "unused-cell": Wording(
        Severity.WARNING,
        "one cell cannot be taken as it stands ({plain}), but nothing uses this column: {value}",
        "{n} cells cannot be taken as they stand (the first: {plain}), but nothing uses this "
        "column; first {value}",
    ),
    "stray-cell": Wording(
        Severity.WARNING,
        "one cell has a value but its column has no heading: {value} is not read",
        "{n} cells have a value but their column has no heading; first {value}; they are not read",
        "give the column a heading, or empty it",
    ),
    "short-row": Wording(
        Severity.NOTE,
        "one row has fewer cells than the headings; the missing ones are taken as empty",
        "{n} rows have fewer cells than the headings; the missing ones are taken as empty",
    ),
    "empty-row": Wording(
        Severity.NOTE, "one empty row is passed over", "{n} empty rows are passed over"
    ),
    "hidden-row": Wording(
        Severity.WARNING,
        "one hidden row is read like any other",
        "{n} hidden rows are read like any other",
        'write hidden_rows = "skip" or "use" under [sheet]',
    ),
    "settings": Wording(
        Severity.NOTE,
        "one cell is shown as the computer's own settings say: {value} is taken as {now}",
        "{n} cells are shown as the computer's own settings say; first {value} is taken as {now}",
        "set the job's locale to that of the sheet, or choose a fixed format for the column",
    ),
    "stale-formula": Wording(
        Severity.WARNING,
        "one cell is a formula, and the workbook asks to be calculated when it is opened: "
        "its result ({now}) may be out of date",
        "{n} cells are formulas, and the workbook asks to be calculated when it is opened: "
        "their results (first {now}) may be out of date",
        "open the workbook in a spreadsheet program, save it, and use that file",
    ),
}


class _Entry:
    __slots__ = ("count", "now", "row", "value")

    def __init__(self, row: int, value: str, now: str) -> None:
        self.count, self.row, self.value, self.now = 1, row, value, now


class _Found:
    __slots__ = ("count", "fault", "others", "row")

    def __init__(self, row: int, fault: CellFault) -> None:
        self.count, self.row, self.fault = 1, row, fault
        self.others: list[int] = []  # the next few rows


class Tally:
    """Counts by kind and column. Rows as a whole are column -1."""

    def __init__(self) -> None:
        self._entries: dict[tuple[str, int], _Entry] = {}
        self._found: dict[tuple[str, int, Severity], _Found] = {}

    def found(self, row: int, fault: CellFault, severity: Severity) -> None:
        """Count a finding of a check; the first of its kind and column stands for all."""
        key = (fault.kind, fault.column, severity)
        entry = self._found.get(key)
        if entry is None:
            self._found[key] = _Found(row, fault)
        else:
            entry.count += 1
            if len(entry.others) < _NAMED:
                entry.others.append(row)

    def add(self, kind: str, column: int, row: int, value: str = "", now: str = "") -> None:
        entry = self._entries.get((kind, column))
        if entry is None:
            self._entries[kind, column] = _Entry(row, value, now)
        else:
            entry.count += 1

    def count(self, kind: str, column: int = -1) -> int:
        entry = self._entries.get((kind, column))
        return entry.count if entry else 0

    def bump(self, kind: str, row: int, times: int) -> None:
        """Count a remark on ``times`` rows at once, the first of them being ``row``."""
        entry = self._entries.get((kind, -1))
        if entry is None:
            entry = self._entries[kind, -1] = _Entry(row, "", "")
            entry.count = 0
        entry.count += times

    def keep(self, other: Tally, kind: str) -> None:
        """Take over what another tally counted of a kind for whole rows."""
        if (kind, -1) in other._entries:
            self._entries[kind, -1] = other._entries[kind, -1]

    def problems(self, sheet: str, label: Callable[[int], str]) -> list[Problem]:
        """One line for each kind and column; ``label`` names a column by its index."""
        lines: list[Problem] = []
        for (kind, column), entry in self._entries.items():
            severity, one, many, remedy = WORDINGS[kind]
            text = (one if entry.count == 1 else many).format(
                n=f"{entry.count:,}",
                value=quoted(entry.value),
                now=quoted(entry.now),
                plain=entry.now,
            )
            where = Where(sheet=sheet, row=entry.row, column=label(column) if column >= 0 else "")
            lines.append(Problem(kind, severity, text, remedy, where, entry.value))
        for (kind, column, severity), found in self._found.items():
            what = found.fault.what
            if found.count > 1:
                what += f", and {found.count - 1:,} more ({_rows(found)})"
            where = Where(sheet=sheet, row=found.row, column=label(column))
            lines.append(
                Problem(kind, severity, what, found.fault.remedy, where, found.fault.value)
            )
        return lines


def _rows(found: _Found) -> str:
    """``row 7``, or ``rows 7, 11, 15 ...`` where there are more."""
    dots = " ..." if found.count - 1 > len(found.others) else ""
    return f"row{'s' if found.count > 2 else ''} {', '.join(map(str, found.others))}{dots}"


def quoted(text: str, longest: int = 60) -> str:
    """A value in quotes for one line: what cannot be seen is written as its code."""
    if len(text) > longest:
        text = text[: longest - 1] + "…"
    out = "".join(
        char
        if char.isprintable()
        else f"\\u{ord(char):04x}"
        if ord(char) > 255
        else {"\n": "\\n", "\t": "\\t", "\r": "\\r"}.get(char, f"\\x{ord(char):02x}")
        for char in text
    )
    return f"'{out}'"
