"""Dates in texts: those that no calendar has, and what looks like a date at all.

In: a displayed text. Out: a finding, or None. Days, months and years may stand in any order:
a date is only called impossible when no order makes it one.
"""

from __future__ import annotations

import datetime as dt
import re

from vardata.intake.checks.finding import Found
from vardata.intake.locales import Locale
from vardata.intake.shipby import date_order, is_foreign_mark, shown
from vardata.intake.tally import quoted

# Three numbers with the same mark between them, one of them a year of four digits.
_DATE = re.compile(
    r"(?<![\w./-])(?:(?P<y>\d{4})(?P<m>[./-])(?P<a>\d{1,2})(?P=m)(?P<b>\d{1,2})"
    r"|(?P<c>\d{1,2})(?P<n>[./-])(?P<d>\d{1,2})(?P=n)(?P<z>\d{4}))(?![\w/-]|\.\d)"
)
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
            return Found(
                "regional-date",
                f"the date {quoted(match[0])} is not as the job's locale writes dates "
                f"({shown(locale)}): day and month may be swapped",
                "write the date as the others are, or mend the job's locale",
            )
    return None


def _day(year: int, month: int, day: int) -> bool:
    try:
        dt.date(year, month, day)
    except ValueError:
        return False
    return True


def is_short_date(text: str) -> bool:
    """Whether the whole text is a day and a month's name, or a month's name and two digits."""
    return _SHORT.fullmatch(text) is not None


def is_date_like(text: str) -> bool:
    """Whether the whole text looks like a date."""
    return _LIKE.fullmatch(text) is not None
