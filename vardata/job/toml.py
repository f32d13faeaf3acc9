"""A TOML file as it was written: its data, and the place of each key for messages.

In: a path. Out: a ``Source``, or the ``Problem`` that kept it from being read. Knows nothing
of jobs and layouts.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from vardata.job.lines import KeyPath, key_lines, spelled
from vardata.job.syntax import explain
from vardata.problems import Problem, Severity, Where

_LONGEST_NAME = 80  # as job.values has it
_HEAD = 4096  # bytes in which a file that is no text shows it
_UTF16 = (b"\xff\xfe", b"\xfe\xff")  # Unicode 15.0, 23.8: byte order marks
_LARGEST = 16_000_000  # bytes; a jig of 100,000 slots written one by one is half of this


@dataclass(slots=True)
class Source:
    """One TOML file. ``data`` is what is judged: ``job.keys`` mends misspelt keys in it.

    ``shown`` is the file's name in messages; ``written`` the untouched data. ``moved`` leads
    from a place in ``data`` to where it was written, and ``doubted`` are places whose value was
    wrong and is gone.
    """

    path: Path
    shown: str
    data: dict[str, Any] = field(default_factory=dict)
    lines: dict[KeyPath, int] = field(default_factory=dict)
    moved: dict[KeyPath, KeyPath] = field(default_factory=dict)
    doubted: set[KeyPath] = field(default_factory=set)

    def doubts(self, *keys: str) -> bool:
        """Whether a value under one of the file's top keys was wrong."""
        return any(path[0] in keys for path in self.doubted)

    def origin(self, path: KeyPath) -> KeyPath:
        """Where the user wrote what now stands at ``path``."""
        for cut in range(len(path), 0, -1):
            if path[:cut] in self.moved:
                return self.origin(self.moved[path[:cut]]) + path[cut:]
        return path

    def where(self, path: KeyPath) -> Where:
        """The file, line and key of ``path``; a key that is not there has its table's line."""
        origin = self.origin(path)
        line = 0
        for cut in range(len(origin), 0, -1):
            line = self.lines.get(origin[:cut], 0)
            if line:
                break
        return Where(file=self.shown, line=line, key=spelled(origin), field=self._field(path))

    def _field(self, path: KeyPath) -> str:
        """The name of the field a path lies in: an index alone is hard to find."""
        if len(path) < 2 or path[0] != "fields":
            return ""
        name = look_up(self.data, (*path[:2], "name"))
        fit = isinstance(name, str) and name.isprintable() and len(name) <= _LONGEST_NAME
        return str(name) if fit else ""

    def problem(
        self, path: KeyPath, kind: str, what: str, remedy: str = "", value: str = ""
    ) -> Problem:
        return Problem(kind, Severity.ERROR, what, remedy, self.where(path), value)


def quoted(text: str) -> str:
    """A text as a basic string (TOML 1.0): as in JSON, but U+007F is escaped too."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def look_up(data: object, path: Sequence[str | int]) -> object:
    """What stands at ``path``, or None."""
    for part in path:
        if isinstance(data, dict):
            data = data.get(part)
        elif isinstance(data, list) and isinstance(part, int) and part < len(data):
            data = data[part]
        else:
            return None
    return data


def read_toml(path: Path, shown: str) -> Source | Problem:
    """Read a file. Files that begin with a byte order mark, as some editors write, are taken."""
    where = Where(file=shown)
    try:
        if path.stat().st_size > _LARGEST:
            what = f"the file is larger than {_LARGEST // 1_000_000} MB"
            return Problem("not-toml", Severity.ERROR, what, "is it a TOML file?", where)
        raw = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        what = f"the file cannot be read ({reason})"
        return Problem("no-file", Severity.ERROR, what, "check its name and its rights", where)
    if b"\0" in raw[:_HEAD] and not raw.startswith(_UTF16):
        what, remedy = "the file is no text", "name a TOML file here"
        return Problem("not-toml", Severity.ERROR, what, remedy, where)
    try:
        text = raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        return Problem("not-utf8", Severity.ERROR, "the file is not in UTF-8",
                       "save it as UTF-8 in the editor", where._replace(line=line))  # fmt: skip
    try:
        data = tomllib.loads(text)
    except RecursionError:
        what = "lists or tables are nested too deeply"
        return Problem("not-toml", Severity.ERROR, what, "is it a TOML file?", where)
    except ValueError as error:  # TOMLDecodeError, or a number of thousands of digits
        fault = explain(str(error), text)
        where = where._replace(line=fault.line)
        return Problem("not-toml", Severity.ERROR, fault.what, fault.remedy, where)
    return Source(path, shown, data, key_lines(text))
