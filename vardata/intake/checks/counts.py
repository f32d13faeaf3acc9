"""A quantity against the text beside it: three names in one cell, "3x Anna".

In: a text that is printed and the quantity of its row. Out: a finding, or None. Two names and
two pieces are left alone: "Tom & Anna" twice is an order like any other.
"""

from __future__ import annotations

import re

from vardata.intake.checks.finding import Found
from vardata.intake.tally import quoted

_BETWEEN = re.compile(r"\s*(?:[\n;/,+&]|\s(?:and|und|et|y|e|en|og|och|i)\s)\s*", re.IGNORECASE)
_TIMES = re.compile(
    r"(?P<a>\d{1,4})\s?(?:[x×*]\s|(?:pcs|stk|pieces of|times|mal)\b\.?\s)\s*[^\W\d].*"
    r"|.*[^\W\d]\s+[x×]\s?(?P<b>\d{1,4})"
    r"|.*[^\W\d]\s*\(?\b(?P<c>\d{1,4})\s?(?:[x×]|pcs\.?|stk\.?)\)?",
    re.IGNORECASE | re.DOTALL,
)
_HINT = re.compile(r"\d ?(?:[x×*]|pcs|stk|pieces|times|mal)|[x×] ?\d")  # of a folded text
_WORDS = ("pcs", "stk", "pieces", "times", "mal")
_MARK = re.compile(r"[x×*](?:(?<=\d.)|(?<=\d .)|(?= ?\d))")  # begins with what is rare
_LEAST = 3


def miscount(text: str, quantity: int) -> Found | None:
    """As many texts in one cell as the row asks for pieces."""
    if quantity < _LEAST:
        return None
    parts = [part for part in _BETWEEN.split(text) if part]
    if len(parts) != quantity or len({part.casefold() for part in parts}) != quantity:
        return None
    return Found(
        "miscount",
        f"the quantity is {quantity} and the cell holds {quantity} texts, {quoted(text)}: "
        f"each would be printed {quantity} times",
        "write a row for each text",
    )


def may_ask(folded: str) -> bool:
    """A quick look at a case-folded text, or at many as lines of one, for ``asks_itself``."""
    # The words alone are found much faster than what stands before them.
    if not any(word in folded for word in _WORDS) and not _MARK.search(folded):
        return False
    return _HINT.search(folded) is not None


def asks_itself(text: str) -> Found | None:
    """A text that holds a number of pieces: "3x Anna", "Anna (2x)"."""
    match = _TIMES.fullmatch(text)
    if match is None:
        return None
    return Found(
        "miscount",
        f"the text {quoted(text)} itself asks for {match['a'] or match['b'] or match['c']} pieces",
        "write the number of pieces as the quantity alone",
    )
