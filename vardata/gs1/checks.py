"""Checks of a stretch of GS1 data: check digits, dates, times and the like.

Each takes the characters of one part and gives "" or what is wrong with it. Rules are those of
the GS1 General Specifications as the GS1 barcode syntax dictionary names them (secondary).
Not checked: lists of countries, currencies, package types, and the inside of coupon codes.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Callable

# Characters of the GS1 General Specifications, 7.11: sets 82 and 39, and file-safe base 64.
SET_82 = "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"
SET_39 = "#-/0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
SET_64 = "-0123456789=ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"
DIGITS = "0123456789"
SETS = {"N": DIGITS, "X": SET_82, "Y": SET_39, "Z": SET_64}
SET_NAMES = {
    "N": "the digits 0 to 9",
    "X": "the letters A-Z and a-z, digits and ! \" % & ' ( ) * + , - . / : ; < = > ? _",
    "Y": "the letters A-Z, digits and # - /",
    "Z": "the letters A-Z and a-z, digits and - _ =",
}

_PRIMES = (
    2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83,
)  # fmt: skip
_SET_32 = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"


def check_digit(digits: str) -> str:
    """The modulo 10 check digit of all GS1 numbers: from the right, digits weigh 3 and 1 in
    turn (GS1 General Specifications, 7.9; clause from memory)."""
    total = 3 * sum(map(int, digits[::-2])) + sum(map(int, digits[-2::-2]))
    return DIGITS[-total % 10]


def check_pair(text: str) -> str:
    """The two check characters of a global model number: values in set 82 times primes, from
    the right, modulo 1021 (GS1 General Specifications, 7.9.5; clause from memory)."""
    total = sum(
        SET_82.index(character) * prime for character, prime in zip(reversed(text), _PRIMES)
    )
    high, low = divmod(total % 1021, 32)
    return _SET_32[high] + _SET_32[low]


def _check(data: str) -> str:
    right = check_digit(data[:-1])
    if data[-1] == right:
        return ""
    return f"the check digit of {data} is {data[-1]}, but {data[:-1]} asks for {right}"


def _pair(data: str) -> str:
    if len(data) < 3:
        return f"{data} has no room for its two check characters"
    right = check_pair(data[:-2])
    if data[-2:] == right:
        return ""
    return f"the check characters of {data} are {data[-2:]}, but {data[:-2]} asks for {right}"


def _prefix(data: str, start: int = 0) -> str:
    # A company prefix has four digits or more.
    head = data[start : start + 4]
    if len(head) == 4 and all(c in DIGITS for c in head):
        return ""
    return f"{data} does not begin with a GS1 company prefix, which is digits"


def _day(data: str, zero: bool, year: int, month: str, day: str) -> str:
    if not "01" <= month <= "12":
        return f"{data} is no date: there is no month {month}"
    # Two digits of a year always mean one near today, so that 00 is 2000, a leap year.
    last = monthrange(year, int(month))[1]
    if day == "00" and zero:
        return ""
    if not 1 <= int(day) <= last:
        return f"{data} is no date: month {month} has no day {day}"
    return ""


def _date(data: str) -> str:
    return _day(data, False, 2000 + int(data[:2]), data[2:4], data[4:])


def _date_or_month(data: str) -> str:
    return _day(data, True, 2000 + int(data[:2]), data[2:4], data[4:])


def _full_date(data: str) -> str:
    if data[:4] == "0000":
        return f"{data} is no date: there is no year 0000"
    return _day(data, False, int(data[:4]), data[4:6], data[6:])


def _time(data: str) -> str:
    return "" if data[:2] < "24" and data[2:] < "60" else f"{data} is no time of day (hhmm)"


def _iban(data: str) -> str:
    # ISO 13616: the first four characters go to the end, letters count from A = 10, and the
    # number leaves 1 when divided by 97.
    if re.fullmatch(r"[A-Z]{2}[0-9]{2}[0-9A-Z]+", data):
        number = "".join(str(int(c, 36)) for c in data[4:] + data[:4])
        if int(number) % 97 == 1:
            return ""
    return f"{data} is no IBAN, or a character of it is wrong"


def _pieces(data: str) -> str:
    if "00" < data[:2] <= data[2:]:
        return ""
    return f"{data} is no piece of a total: {data[:2]} of {data[2:]}"


def _percent(data: str) -> str:
    rest = re.sub(r"%[0-9A-Fa-f]{2}", "", data)
    return f"{data} has a % that is not followed by two hexadecimal digits" if "%" in rest else ""


def _sequence(data: str) -> str:
    match = re.fullmatch(r"([1-9])/([1-9])", data)
    return (
        "" if match and match[1] <= match[2] else f"{data} is no place in a sequence, such as 1/2"
    )


def _plain(test: Callable[[str], bool], wrong: str) -> Callable[[str], str]:
    """A check that needs one sentence, in which {} stands for the data."""
    return lambda data: "" if test(data) else wrong.format(data)


CHECKS: dict[str, Callable[[str], str]] = {
    "check": _check,
    "pair": _pair,
    "prefix": _prefix,
    "prefix1": lambda data: _prefix(data, 1),
    "date": _date,
    "day0": _date_or_month,
    "fulldate": _full_date,
    "time": _time,
    "hour": _plain(lambda data: data < "24", "{} is no hour"),
    "sixty": _plain(lambda data: data < "60", "{} is no minute or second"),
    "iban": _iban,
    "pieces": _pieces,
    "percent": _percent,
    "sequence": _sequence,
    "yesno": _plain(lambda data: data in "01", "{} is neither 0 (no) nor 1 (yes)"),
    "zero": _plain(lambda data: data == "0", "its data begins with {}, but must begin with 0"),
    "nonzero": _plain(lambda data: data.strip("0") != "", "{} must not be zero"),
    "nolead0": _plain(lambda data: data == "0" or data[0] != "0", "{} must not begin with a zero"),
    "winding": _plain(lambda data: data in "019", "{} is no winding direction (0, 1 or 9)"),
    "sex": _plain(lambda data: data in "0129", "{} is none of 0, 1, 2 and 9 (ISO/IEC 5218)"),
    "letters": _plain(
        lambda data: re.fullmatch("[A-Z]{2}", data) is not None, "{} is no country of two capitals"
    ),
    "hyphen": _plain(lambda data: data == "-", "{} must be a minus"),
    "latitude": _plain(lambda data: int(data) <= 1_800_000_000, "{} is no latitude"),
    "longitude": _plain(lambda data: int(data) <= 3_600_000_000, "{} is no longitude"),
}
