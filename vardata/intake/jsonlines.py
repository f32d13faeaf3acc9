"""JSON lines: an object a line, its keys the headings.

In: a path. Out: a ``Source`` whose row 0 is the headings, so that row 1 is line 1 of the file, or
the first result of a query. Numbers keep every digit that is written. Rules: RFC 8259.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from vardata.intake.source import CellFault, SheetRow
from vardata.intake.tally import Tally
from vardata.problems import Problem, SheetError, fail

_MOST_KEYS = 1000
_LONGEST = 1 << 22  # characters of a line


class LinesSource:
    """A file of JSON lines as a ``Source``."""

    own_heading_row = 0
    delimited = True  # every cell is a text of the file; copies are made as texts

    def __init__(self, path: Path) -> None:
        self.path, self.sheet = path, path.stem
        self.remarks: list[Problem] = []
        self.tally = Tally()
        self.keys = self._all_keys()

    def rows(self) -> Iterator[SheetRow]:
        self.tally = Tally()
        yield SheetRow(self.own_heading_row, list(self.keys))
        for number, record in self._records():
            faults = [
                CellFault(
                    column, "nested-value", f"the value of {key!r} is a list or an object",
                    "give each value a key of its own", json.dumps(record[key])[:60],
                )
                for column, key in enumerate(self.keys)
                if isinstance(record.get(key), list | dict)
            ]  # fmt: skip
            yield SheetRow(number, [_shown(record.get(key)) for key in self.keys], tuple(faults))

    def sheet_remarks(self, columns: set[int], last_row: int) -> list[Problem]:
        """A text file has no features beyond its cells."""
        return []

    def _all_keys(self) -> tuple[str, ...]:
        """Every key, in the order of first sight: a later line may have more."""
        keys: dict[str, None] = {}
        for number, record in self._records():
            if record.keys() - keys.keys():
                keys.update(dict.fromkeys(record))
                if len(keys) > _MOST_KEYS:
                    what = f"there are more than {_MOST_KEYS:,} different keys"
                    raise self._bad(number, what, "check that each line is one record")
        return tuple(keys)

    def _records(self) -> Iterator[tuple[int, dict[str, Any]]]:
        """The row number and the object of each line."""
        number = 0
        try:
            with self.path.open(encoding="utf-8-sig") as file:
                while line := file.readline(_LONGEST):
                    number += 1
                    if line.strip():
                        yield number, self._object(number, line)
        except UnicodeDecodeError:
            raise self._bad(number + 1, "the line is not UTF-8", "save the file as UTF-8") from None

    def _object(self, number: int, line: str) -> dict[str, Any]:
        try:
            found = json.loads(line, parse_int=str, parse_float=str)
        except (ValueError, RecursionError) as error:
            what = f"the line is no JSON ({getattr(error, 'msg', 'it is nested too deeply')})"
            raise self._bad(number, what, "write one object a line") from None
        if not isinstance(found, dict):
            raise self._bad(number, "the line holds no object", 'write {"heading": "value", ...}')
        return found

    def _bad(self, row: int, what: str, remedy: str) -> Exception:
        return fail(SheetError, "bad-line", what, remedy, file=self.path.name, line=row)


def _shown(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"  # as spreadsheet programs show it
    return value if isinstance(value, str) else ""
