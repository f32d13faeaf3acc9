"""What can go wrong, as values and as exceptions that end a command.

A ``Problem`` is one line for a person: what, where, how to mend it. A ``VardataError``
carries problems and the exit code of its kind. Nothing here prints.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum, StrEnum
from typing import NamedTuple


class Exit(IntEnum):
    """The exit codes of the command, as the README lists them."""

    DONE = 0
    HELD = 3
    CALL = 2
    JOB = 4
    SHEET = 5
    OUTPUT = 6
    READBACK = 7


class Severity(StrEnum):
    NOTE = "note"  # for the record; nothing to do
    WARNING = "warning"  # printed all the same; a person should look
    HOLD = "hold"  # this record is not printed
    ERROR = "error"  # nothing is printed


class Where(NamedTuple):
    """The trail to the place of a problem; empty parts are not shown.

    ``line`` is a line of a TOML file, ``row`` a row of a sheet, both counted from 1.
    """

    file: str = ""
    line: int = 0
    key: str = ""
    sheet: str = ""
    row: int = 0
    column: str = ""
    record: str = ""
    field: str = ""
    bed: int = 0
    slot: str = ""

    def __str__(self) -> str:
        head = self.file + (f":{self.line}" if self.line else "")
        words = [
            head,
            self.key,
            f"sheet {self.sheet!r}" if self.sheet else "",
            f"row {self.row}" if self.row else "",
            f"column {self.column!r}" if self.column else "",
            f"record {self.record}" if self.record and not self.row else "",
            f"field {self.field!r}" if self.field else "",
            f"bed {self.bed}" if self.bed else "",
            f"slot {self.slot}" if self.slot else "",
        ]
        return ", ".join(word for word in words if word)


class Problem(NamedTuple):
    """One fault. ``kind`` is a stable slug (``missing-glyph``); ``value`` is what was found."""

    kind: str
    severity: Severity
    what: str
    remedy: str = ""
    where: Where = Where()
    value: str = ""

    def __str__(self) -> str:
        place = str(self.where)
        text = f"{place}: {self.what}" if place else self.what
        return f"{text}; {self.remedy}" if self.remedy else text


class VardataError(Exception):
    """Ends a command. Always holds at least one ``Problem``."""

    exit_code: Exit = Exit.CALL

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = (
            (problems,) if isinstance(problems, Problem) else tuple(problems)
        )
        super().__init__("\n".join(map(str, self.problems)))


class CallError(VardataError):
    """The command was called wrongly."""

    exit_code = Exit.CALL


class JobError(VardataError):
    """A job, layout, jig or bed file, or a file that one of them names, is wrong."""

    exit_code = Exit.JOB


class SheetError(VardataError):
    """The order sheet cannot be read as the job describes it."""

    exit_code = Exit.SHEET


class OutputError(VardataError):
    """The run's folder could not be written."""

    exit_code = Exit.OUTPUT


def fail(
    error: type[VardataError], kind: str, what: str, remedy: str = "", **where: str | int
) -> VardataError:
    """An exception of one problem, to be raised: ``raise fail(JobError, "no-font", ...)``."""
    return error(Problem(kind, Severity.ERROR, what, remedy, Where(**where)))  # type: ignore[arg-type]
