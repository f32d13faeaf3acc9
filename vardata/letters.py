"""Numbers as letters, as spreadsheets name columns and jigs name rows."""

from __future__ import annotations

from functools import lru_cache


@lru_cache(maxsize=1024)
def letters(index: int) -> str:
    """A, B, ... Z, AA, AB ... for 0, 1, ..."""
    out = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        out = chr(65 + rest) + out
    return out
