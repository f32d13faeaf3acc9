"""Dates in texts: those that no calendar has, and what looks like a date at all.

In: a displayed text. Out: a finding, or None. Days, months and years may stand in any order:
a date is only called impossible when no order makes it one.
"""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter

from vardata.intake.checks.finding import Found
from vardata.intake.locales import Locale
from vardata.intake.shipby import date_order, is_foreign_mark, shown
from vardata.intake.tally import quoted

# Three numbers with the same mark between them, one of them a year of four digits.
_DATE = re.compile(
    r"(?<![\w./-])(?:(?P<y>\d{4})(?P<m>[./-])(?P<a>\d{1,2})(?P=m)(?P<b>\d{1,2})"
    r"|(?P<c>\d{1,2})(?P<n>[./-])(?P<d>\d{1,2})(?P=n)(?P<z>\d{4}))(?![\w/-]|\.\d)"
)
# The same with a year of two digits, where only the mark can tell.
_TWO_DIGITS = re.compile(r"(?<![\w./-])(\d{1,2})([./])(\d{1,2})\2\d{2}(?![\w./-])")
# How a whole text writes a date: its marks, and where its year stands.
_WAY = re.compile(r"(?:(\d{4})([./-])\d{1,2}\2\d{1,2}|\d{1,2}([./-])\d{1,2}\3(\d{4}|\d{2}))")
_YEARS = range(1000, 2200)  # other numbers of four digits are no years that people print
_MONTHS = (
    "jan", "feb", "mar", "mär", "mrz", "apr", "may", "mai", "maj", "jun", "jul", "aug", "sep",
    "oct", "okt", "nov", "dec", "dez",
)  # fmt: skip
_NAMED = "|".join(_MONTHS)
# What spreadsheet programs show for 3-5, MAR5, 5/3 and the like: no year, or two digits of it.
_SHORT = re.compile(
    rf"(?:\d{{1,2}}[-. ]{{1,2}}(?:{_NAMED})[a-z]?\.?|(?:{_NAMED})[a-z]?\.?[- ]\d{{2}})",
    re.IGNORECASE,
)
_LONGEST_SHORT = max(map(len, _MONTHS)) + 6  # characters: two digits, two marks, a letter, a dot
_LIKE = re.compile(
    r"\d{1,4}[./-]\d{1,2}[./-]\d{1,4}(?:[ T]\d{1,2}:\d{2}(?::\d{2})?)?"
    rf"|\d{{1,2}}[-. ]{{1,2}}(?:{_NAMED})\w*\.?(?:[-. ]{{1,2}}\d{{2,4}})?",
    re.IGNORECASE,
)


def impossible_date(text: str) -> Found | None:
    """A date that is in no calendar, such as 31.02.2026."""
    for match in _DATE.finditer(text):
        year, first, second = (
            (match["y"], match["a"], match["b"]) if match["y"]
            else (match["z"], match["c"], match["d"])
        )  # fmt: skip
        numbers = int(year), int(first), int(second)
        if numbers[0] in _YEARS and not (
            _day(*numbers) or _day(numbers[0], numbers[2], numbers[1])
        ):
            return Found(
                "impossible-date",
                f"{quoted(match[0])} is no date that any calendar has",
                "write the date that is meant",
            )
    return None


def foreign_date(text: str, locale: Locale) -> Found | None:
    """A date that is not as the job's locale writes it: 3/4/2026 for 24.12.2026, 12/13/2026 where
    the day is first."""
    order = date_order(locale)
    for match in _DATE.finditer(text):
        mark = match["n"]
        if mark is None or int(match["z"]) not in _YEARS:
            continue
        month = int(match["d"] if order == "dmy" else match["c"])
        same = match["c"] == match["d"]
        if (is_foreign_mark(mark, locale) and not same) or (mark != "-" and month > 12):
            return _swapped(match[0], locale)
    for match in _TWO_DIGITS.finditer(text):
        if is_foreign_mark(match[2], locale) and match[1] != match[3]:
            return _swapped(match[0], locale)
    return None


def _swapped(date: str, locale: Locale) -> Found:
    return Found(
        "regional-date",
        f"the date {quoted(date)} is not as the job's locale writes dates "
        f"({shown(locale)}): day and month may be swapped",
        "write the date as the others are, or mend the job's locale",
    )


def date_way(text: str) -> str:
    """How a whole text writes a date, such as "d/d/yy"; "" for what is no date."""
    match = _WAY.fullmatch(text)
    if match is None:
        return ""
    year, first, mark, last = match.groups()
    return f"yyyy{first}d{first}d" if year else f"d{mark}d{mark}{'y' * len(last)}"


class DateWays:
    """The ways in which a column writes its dates. ``add`` every text, then ask."""

    def __init__(self) -> None:
        self._counts: Counter[str] = Counter()
        self._first: dict[str, str] = {}

    def add(self, text: str) -> None:
        if 5 < len(text) < 11 and text[0].isdecimal() and (way := date_way(text)):
            self._counts[way] += 1
            self._first.setdefault(way, text)

    def odd(self, text: str) -> Found | None:
        """Whether a text is a date that is not written as most, or the first, of its column."""
        if len(self._counts) < 2 or not (way := date_way(text)):
            return None
        usual = self._counts.most_common(1)[0][0]
        if way == usual:
            return None
        return Found(
            "mixed-dates",
            f"the date {quoted(text)} is not written as others of its column are, such as "
            f"{quoted(self._first[usual])}",
            "write all dates of the column in one way",
        )


def _day(year: int, month: int, day: int) -> bool:
    try:
        dt.date(year, month, day)
    except ValueError:
        return False
    return True


def is_short_date(text: str) -> bool:
    """Whether the whole text is a day and a month's name, or a month's name and two digits."""
    if len(text) > _LONGEST_SHORT:
        return False
    return _SHORT.fullmatch(text) is not None


def is_date_like(text: str) -> bool:
    """Whether the whole text looks like a date."""
    return _LIKE.fullmatch(text) is not None
