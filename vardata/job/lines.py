"""Which line of a TOML text each key stands on.

In: a text that ``tomllib`` has accepted. Out: key paths to line numbers, counted from 1. A path
is a tuple of keys and of indexes (from 0) into arrays. ``tomllib`` itself keeps no lines.
The scanner knows just enough of TOML 1.0 to walk over it; on a text it does not understand it
stops and keeps what it has.
"""

from __future__ import annotations

import contextlib
import re
import tomllib
from typing import TypeAlias

KeyPath: TypeAlias = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRINGS = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}(?!")'  # a multi-line string may end in up to two more quotes
    r"|'''.*?'{3,5}(?!')"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_PLAIN = re.compile(r"[^,\]}#\n]+")  # a number, a date, true or false


_LONGEST_KEY = 60  # characters of a key that a message repeats


class _Lost(Exception):
    """The text is not the TOML this scanner knows."""


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[KeyPath, int] = {}
        self._line = 1
        self._counted = 0  # how far newlines were counted
        self._arrays: dict[KeyPath, int] = {}  # arrays of tables: how many so far

    def _skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            raise _Lost
        self.at = match.end()
        return match.group()

    def _next(self, mark: str) -> bool:
        if self.text.startswith(mark, self.at):
            self.at += len(mark)
            return True
        return False

    def _expect(self, mark: str) -> None:
        if not self._next(mark):
            raise _Lost

    def _note(self, path: KeyPath) -> None:
        self._line += self.text.count("\n", self._counted, self.at)
        self._counted = self.at
        self.lines.setdefault(path, self._line)

    def scan(self) -> None:
        table: KeyPath = ()
        while self._skip(_BLANK) is not None and self.at < len(self.text):
            if self._next("[["):
                table = self._header("]]")
            elif self._next("["):
                table = self._header("]")
            else:
                self._pair(table)

    def _header(self, end: str) -> KeyPath:
        keys = self._keys()
        self._expect(end)
        path: KeyPath = ()
        for depth, key in enumerate(keys):
            path += (key,)
            self._note(path)
            last = depth == len(keys) - 1
            if last and end == "]]":
                self._arrays[path] = self._arrays.get(path, 0) + 1
            if path in self._arrays:  # a header goes into the array's latest table
                path += (self._arrays[path] - 1,)
                self._note(path)
        return path

    def _keys(self) -> list[str]:
        """A dotted key, bare and quoted parts mixed."""
        keys = []
        while True:
            self._skip(_SPACE)
            if self.text[self.at : self.at + 1] in ('"', "'"):
                quoted = self._skip(_STRINGS)
                keys.append(tomllib.loads(f"key = {quoted}")["key"])
            else:
                keys.append(self._skip(_BARE_KEY))
            self._skip(_SPACE)
            if not self._next("."):
                return keys

    def _pair(self, table: KeyPath) -> None:
        path = table
        for key in self._keys():
            path += (key,)
            self._note(path)
        self._expect("=")
        self._value(path)

    def _value(self, path: KeyPath) -> None:
        self._skip(_SPACE)
        if self._next("["):
            self._array(path)
        elif self._next("{"):
            self._inline_table(path)
        elif self.text[self.at : self.at + 1] in ('"', "'"):
            self._skip(_STRINGS)
        else:
            self._skip(_PLAIN)

    def _array(self, path: KeyPath) -> None:
        index = 0
        while self._skip(_BLANK) is not None and not self._next("]"):
            self._note((*path, index))
            self._value((*path, index))
            index += 1
            self._skip(_BLANK)
            self._next(",")

    def _inline_table(self, path: KeyPath) -> None:
        while self._skip(_BLANK) is not None and not self._next("}"):
            self._pair(path)
            self._skip(_BLANK)
            self._next(",")


def key_lines(text: str) -> dict[KeyPath, int]:
    """The line of each key, table and array element of ``text``."""
    scanner = _Scanner(text)
    # A line less in a message is better than no message.
    with contextlib.suppress(_Lost, RecursionError, tomllib.TOMLDecodeError):
        scanner.scan()
    return scanner.lines


def lost_line(text: str) -> int:
    """The line of the statement at which a text stops being TOML."""
    scanner = _Scanner(text)
    try:
        scanner.scan()
    except (_Lost, RecursionError, tomllib.TOMLDecodeError):
        return text.count("\n", 0, scanner.at) + 1
    return text.rstrip().count("\n") + 1


def spelled(path: KeyPath) -> str:
    """A path as people write it: ``fields[2].symbology``, ``columns."Item no".kind``."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            part = part if len(part) <= _LONGEST_KEY else part[: _LONGEST_KEY - 3] + "..."
            key = part if _BARE_KEY.fullmatch(part) else '"' + repr(part)[1:-1] + '"'
            text += f".{key}" if text else key
    return text
