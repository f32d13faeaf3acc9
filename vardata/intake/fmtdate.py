"""Dates, times and elapsed times laid out by a section of a number format.

In: a serial number of days and a ``Section`` of kind "date". Out: the text shown. Raises
``FormatFault`` where a spreadsheet would show ####, where programs differ, or where names are
not known. Serials follow ECMA-376 part 1, 18.17.4: day 61 of the 1900 system is 1900-03-01, the
1904 system counts from 1904-01-01. Before day 61 Excel counts a 29 February 1900 that never
was, and other programs do not.
"""

from __future__ import annotations

import datetime as dt
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

from vardata.intake.fmtcode import FormatFault, Section, Token
from vardata.intake.fmtnumber import as_decimal
from vardata.intake.locales import NAMES, Locale, of_language

_FIRST_DAY = 61  # 1900-03-01 in the 1900 system
_LAST_DAY = 2_958_465  # 9999-12-31 in the 1900 system
_DAY = 86_400
_ORIGIN_1900 = dt.date(1899, 12, 30).toordinal()  # day 0, seen from 1900-03-01 on
_SHIFT_1904 = 1462  # 1904-01-01 is day 1462 of the 1900 system


class _Moment(NamedTuple):
    year: int
    month: int
    day: int
    weekday: int  # 0 is Sunday
    seconds: int  # of the day
    ticks: int  # parts of a second, as many as the section shows
    total: int  # seconds since the serial 0


def show(value: float, section: Section, locale: Locale, date1904: bool = False) -> str:
    """The date or time as the section shows it."""
    if value < 0:
        raise FormatFault("a negative date or time, which a spreadsheet shows as ####")
    tokens = section.tokens
    places = max((len(t.text) - 1 for t in tokens if t.kind == "fraction"), default=0)
    timed = any(t.kind in ("hour", "minute", "second", "ampm", "elapsed") for t in tokens)
    dated = any(t.kind in ("year", "month", "day") for t in tokens)
    moment = _moment(as_decimal(value), places, timed, dated, date1904)
    half = any(t.kind == "ampm" for t in tokens)
    names = NAMES.get(section.language or locale.language)
    beside_day = any(t.kind == "day" and len(t.text) <= 2 for t in tokens)
    # A bare "/" is the date separator of the format's language, or else of the computer.
    own = of_language(section.language) if section.language else None
    separator = (own or locale).date_separator
    out: list[str] = []
    for token in tokens:
        kind, length = token.kind, len(token.text)
        if kind == "text":
            out.append(token.text)
        elif kind == "slash":
            out.append(separator)
        elif (kind == "month" and length > 2) or (kind == "day" and length > 2):
            if names is None:
                language = (section.language or locale.language).lstrip("?")
                raise FormatFault(
                    f"names of months and days of language {language} are not known here"
                )
            out.append(_name(token, moment, section.language or locale.language, beside_day))
        else:
            out.append(_part(token, moment, half, places, locale))
    return "".join(out)


def _moment(serial: Decimal, places: int, timed: bool, dated: bool, date1904: bool) -> _Moment:
    """Split a serial; times are rounded to what is shown, dates alone are cut."""
    unit = Decimal(1).scaleb(-places)
    if timed:
        seconds = (serial * _DAY).quantize(unit, ROUND_HALF_UP)
        total = int(seconds)
        ticks = int((seconds - total).scaleb(places))
    else:
        total, ticks = int(serial) * _DAY, 0
    days, of_day = divmod(total, _DAY)
    if date1904:
        days += _SHIFT_1904
    if days > _LAST_DAY:
        raise FormatFault("a date after 9999-12-31, which a spreadsheet shows as ####")
    if dated and days < _FIRST_DAY:
        raise FormatFault("a date before 1900-03-01, which spreadsheet programs show differently")
    date = dt.date.fromordinal(_ORIGIN_1900 + days)
    weekday = (days - 1) % 7
    return _Moment(date.year, date.month, date.day, weekday, of_day, ticks, total)


def _name(token: Token, moment: _Moment, language: str, beside_day: bool) -> str:
    names, length = NAMES[language], len(token.text)
    if token.kind == "day":
        return (names.days_short if length == 3 else names.days)[moment.weekday]
    if length == 3:
        return names.months_short[moment.month - 1]
    if length == 5:
        return names.months[moment.month - 1][0]
    return (names.months_of if beside_day else names.months)[moment.month - 1]


def _part(token: Token, moment: _Moment, half: bool, places: int, locale: Locale) -> str:
    kind, text, length = token.kind, token.text, len(token.text)
    hours, minutes, seconds = (
        moment.seconds // 3600,
        moment.seconds // 60 % 60,
        moment.seconds % 60,
    )
    match kind:
        case "year":
            return f"{moment.year % 100:02d}" if length <= 2 else f"{moment.year:04d}"
        case "month":
            return str(moment.month).zfill(length)
        case "day":
            return str(moment.day).zfill(length)
        case "hour":
            hour = ((hours - 1) % 12 + 1) if half else hours
            return str(hour).zfill(min(length, 2))
        case "minute":
            return str(minutes).zfill(length)
        case "second":
            return str(seconds).zfill(min(length, 2))
        case "fraction":
            return locale.decimal + str(moment.ticks).zfill(places)[: length - 1]
        case "ampm":
            return _half(text, hours < 12)
        case "elapsed":
            divisor = {"h": 3600, "m": 60, "s": 1}[text[0]]
            return str(moment.total // divisor).zfill(length)
    return text


def _half(text: str, morning: bool) -> str:
    """AM or PM; A/P keeps the letters of the code, AM/PM is always in capitals."""
    first, _, second = text.partition("/")
    chosen = first if morning else second
    return chosen.upper() if len(first) == 2 else chosen
