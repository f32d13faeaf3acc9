"""Numbers and codes that a spreadsheet program has spoilt.

In: a displayed text. Out: a finding, or None. A program that keeps 15 digits (Microsoft
KB 269370) writes zeros for the others; one that takes a code for a number shows 1.2E+12.
"""

from __future__ import annotations

import re

from vardata.intake.checks.dates import is_short_date
from vardata.intake.checks.finding import Found
from vardata.intake.tally import quoted

_KEPT = 15
_SCIENTIFIC = re.compile(r"[+-]?\d(?:[.,]\d+)?E\+\d{2,3}", re.IGNORECASE)
_AS_TEXT = "format the column as text and write the codes again"


def turned_code(text: str, code: bool) -> Found | None:
    """A code that was taken for a number or, in a column of codes, for a date."""
    if _SCIENTIFIC.fullmatch(text):
        what = f"{quoted(text)} is a long number as a spreadsheet shortens it: its digits are lost"
        return Found("turned-code", what, _AS_TEXT)
    if code and is_short_date(text):
        return Found(
            "turned-code", f"{quoted(text)} looks like a code that a spreadsheet took for a date",
            _AS_TEXT,
        )  # fmt: skip
    return None


def is_scientific(text: str) -> bool:
    return _SCIENTIFIC.fullmatch(text) is not None


def lost_digits(text: str) -> Found | None:
    """Sixteen digits or more, all zeros from the sixteenth on."""
    if len(text) <= _KEPT or not text.isdecimal() or text[_KEPT:].strip("0"):
        return None
    return Found(
        "lost-digits",
        f"{quoted(text)} has {len(text)} digits and only zeros after the 15th, as where a "
        "spreadsheet lost the last ones",
        "compare it with where it came from",
    )
