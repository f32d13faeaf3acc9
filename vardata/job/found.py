"""A value of a user's file as messages show it: short, on one line, with its kind."""

from __future__ import annotations

import datetime

_LONGEST = 60  # characters of a value that a message repeats


def clipped(text: str, longest: int = _LONGEST) -> str:
    """``text`` in quotes, with control characters escaped, cut in the middle of nowhere."""
    return repr(text if len(text) <= longest else text[: longest - 3] + "...")


def kind_of(value: object) -> str:
    """``the text 'abc'``, ``the number 3``, ``a list of 4``: what TOML gave."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f"the text {clipped(value)}"
    if isinstance(value, int | float):
        return f"the number {value}"[:_LONGEST]
    if isinstance(value, list):
        return f"a list of {len(value)}"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, datetime.date | datetime.time):
        return f"the date or time {value}"
    return "nothing"


def plain(value: object) -> str:
    """A value alone: ``'abc'``, ``3``, ``true``, ``a list of 4``."""
    if isinstance(value, str):
        return clipped(value)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return str(value)[:_LONGEST]
    return kind_of(value)
