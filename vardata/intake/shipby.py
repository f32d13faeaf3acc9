"""Dates by which orders are to leave, as the sheet shows them.

In: a cell's displayed text and the job's locale. Out: a date, or None for what is no date.
Taken are year-month-day with a year of four digits, three numbers in the locale's order, and a
day and a year around the name of a month; a time of day after it does not count. Not taken is what
the locale does not write and another reads otherwise: 3/4/2026 where dates are 24.12.2026.
"""

from __future__ import annotations

import re
from datetime import date

from vardata.intake.locales import NAMES, Locale

_TIME = re.compile(r"[ T]\d{1,2}[:.]\d{2}([:.]\d{2})?( ?[AP]M)?Z?$", re.IGNORECASE)
_NUMBERS = re.compile(r"(\d{1,4})\s*([-./\s])\s*(\d{1,2})\s*[-./\s]\s*(\d{1,4})\.?")
_WORDS = re.compile(r"\d+|[^\W\d_]+")
_CENTURY = 2000  # a year of two digits is of this century: orders are not from the last


def parse_day(text: str, locale: Locale) -> date | None:
    """The date that a text shows."""
    text = _TIME.sub("", text.strip())
    match = _NUMBERS.fullmatch(text)
    if match is not None:
        parts = match.group(1, 3, 4)
        order = "ymd" if len(parts[0]) == 4 else date_order(locale)
        day = _day(dict(zip(order, parts)))
        return None if day is not None and two_ways(text, locale) else day
    return _named(text, locale)


def two_ways(text: str, locale: Locale) -> bool:
    """Whether a text is a date with a mark that the locale does not write, and another country
    reads its numbers in another order."""
    match = _NUMBERS.fullmatch(_TIME.sub("", text.strip()))
    if match is None or len(match[1]) == 4 or not is_foreign_mark(match[2], locale):
        return False
    first, second = int(match[1]), int(match[3])
    return first != second and max(first, second) <= 12


def is_foreign_mark(mark: str, locale: Locale) -> bool:
    """Whether a mark between the numbers of a date speaks of another order than the locale's:
    with / month or day may be first, with . the day is (Unicode CLDR, short dates)."""
    if mark not in "/." or mark == locale.date_separator:
        return False
    return mark == "/" or not date_order(locale).startswith("d")


def date_order(locale: Locale) -> str:
    """The order of day, month and year in the locale's short date: "dmy", "mdy", "ymd"."""
    return "".join(dict.fromkeys(char for char in locale.short if char in "dmy"))


def _day(parts: dict[str, str]) -> date | None:
    year = parts["y"]
    if len(year) not in (2, 4) or len(parts["d"]) > 2 or len(parts["m"]) > 2:
        return None
    number = int(year) + (_CENTURY if len(year) == 2 else 0)
    try:
        return date(number, int(parts["m"]), int(parts["d"]))
    except ValueError:
        return None


def _named(text: str, locale: Locale) -> date | None:
    """A date with the name of a month in the locale's language."""
    names = NAMES.get(locale.language)
    words = _WORDS.findall(text.casefold())
    numbers = [word for word in words if word.isdecimal()]
    if names is None or len(numbers) != 2:
        return None
    month = next(
        (
            at
            for of in (names.months, names.months_of, names.months_short)
            for at, name in enumerate(of, 1)
            if name.casefold().strip(".") in words
        ),
        None,
    )
    if month is None:
        return None
    day, year = numbers if len(numbers[0]) < 4 else numbers[::-1]
    return _day({"d": day, "m": str(month), "y": year})


def shown(locale: Locale) -> str:
    """An example of a date in the locale's order."""
    sign = locale.date_separator
    return sign.join({"d": "24", "m": "12", "y": "2026"}[part] for part in date_order(locale))
