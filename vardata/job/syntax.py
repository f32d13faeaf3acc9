"""What is wrong with a text that is not TOML, in plain words.

In: the text and the complaint of ``tomllib``. Out: the line, what was found, how to mend it.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from vardata.job.found import clipped
from vardata.job.lines import lost_line


class Fault(NamedTuple):
    line: int
    what: str
    remedy: str


_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)\s*$")
_NUMBER_AND_UNIT = re.compile(r"[+-]?[\d.]+\s*[a-zA-Zµ%]+")
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+")
_QUOTES = "“”„‘’«»`"
_KEY_NEEDS_QUOTES = 'write key = value; around other characters than A-Z a-z 0-9 _ - put "quotes"'

# The start of what tomllib says, and what we say: what is wrong, how to mend it.
_WORDS = (
    ("Cannot declare", "the table is written twice", "put its keys under one heading"),
    ("Cannot redefine namespace", "the table is written twice", "put its keys under one heading"),
    ("Cannot mutate", "the table or list was complete before", "write all of it in one place"),
    ("Duplicate inline table key", "a key is written twice in one { }", "keep one of them"),
    ("Expected '=' after a key", "there is no = after the key", _KEY_NEEDS_QUOTES),
    ("Invalid initial character", "this is not a key", _KEY_NEEDS_QUOTES),
    ("Invalid statement", "this is not a key", _KEY_NEEDS_QUOTES),
    ("Expected ']' at", "the ] of the [table] is missing", "close it"),
    ("Expected ']]' at", "the ]] of the [[table]] is missing", "close it with two ]"),
    ("Unclosed array", "the list is not closed", "part its items with commas and end it with ]"),
    ("Unclosed inline table", "the { table is not closed",
     "part its keys with commas and end it with } on the same line"),
    ("Unterminated string", "the text is not closed", "end it with the quotes it began with"),
    ("Expected \"'", "the text is not closed", "end it with the quotes it began with"),
    ("Illegal character '\\n'", "the text is not closed", 'end it with a " on the same line'),
    ("Found invalid character '\\n'", "the text is not closed", "end it with a ' on the same line"),
    ("Unescaped '\\' in a string", "a text in \"quotes\" holds a single \\",
     "write / instead, or put the text in 'single quotes'"),
    ("Illegal character", "a character is forbidden in TOML", "take it away"),
    ("Found invalid character", "a character is forbidden in TOML", "take it away"),
    ("Invalid date or datetime", "there is no such date", 'put it in "quotes" if it is a text'),
    ("Exceeds the limit", "a number has thousands of digits", "shorten it"),
)  # fmt: skip


def explain(message: str, text: str) -> Fault:
    """The fault behind ``message``, which ``tomllib`` raised for ``text``."""
    place = _PLACE.search(message)
    rows = text.split("\n")
    if place is None or place.group(1) is None:
        line, column = lost_line(text), 1
    else:
        line, column = int(place.group(1)), int(place.group(2))
    row = rows[line - 1] if 0 < line <= len(rows) else ""
    rest = row[column - 1 :].strip()
    what, remedy = _words(message, row, rest)
    if message.startswith("Unclosed"):
        shown = f" before {clipped(rest)}" if rest else ""
    else:
        shown = f" in {clipped(row.strip())}" if row.strip() else ""
    return Fault(line, what + shown, remedy)


def _words(message: str, row: str, rest: str) -> tuple[str, str]:
    if message.startswith("Invalid value"):
        return _bad_value(rest)
    if message.startswith("Expected newline"):
        return _more_than_a_value(row)
    if message.startswith("Cannot overwrite a value"):
        if row.lstrip().startswith("["):
            return "the table is written twice, or was a value before", "keep one of them"
        return "the key is written twice", "keep one of them"
    for start, what, remedy in _WORDS:
        if message.startswith(start):
            return what, remedy
    return "this is not TOML", "compare the line with a file that works"


def _bad_value(rest: str) -> tuple[str, str]:
    if not rest or rest.startswith("#"):
        return "there is no value after the =", "write one, or take the key away"
    if rest[0] in _QUOTES:
        return "the text has typographic quotes", 'use the straight "'
    if rest.split("#")[0].strip().casefold() in ("true", "false", "yes", "no", "on", "off"):
        return "a switch is not written so", "write true or false"
    return "the value is neither a text nor a number", 'put a text in "quotes"'


def _more_than_a_value(row: str) -> tuple[str, str]:
    value = row.partition("=")[2].split("#")[0].strip()
    if _NUMBER_AND_UNIT.fullmatch(value):
        return "a number with a unit is a text", f'write "{value}"'
    if _DECIMAL_COMMA.fullmatch(value):
        return "a number has a decimal comma", f"write {value.replace(',', '.')}"
    if value.startswith('"'):
        return "something follows the text", "put 'single quotes' around a text that holds a \""
    if row.lstrip().startswith("["):
        return "something follows the [table]", "put it on a line of its own"
    return "something follows the value", 'put a text in "quotes", and each key on its own line'
