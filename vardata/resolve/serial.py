"""Serial numbers as text: from the number that the ledger gave to what is printed, and back.

In: a job's rule, the date of the reservation, numbers. Out: texts, each number its own. Pure:
which number is next is the ledger's business. Check characters come from python-stdnum.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from functools import cached_property

from vardata.job.serialparts import (
    CHECK,
    CHECK_WIDTHS,
    CHECK_WRITES,
    DATE_PARTS,
    NUMBER,
    Part,
    parts_of,
    symbols,
)
from vardata.job.serials import SerialRule

_TAIL = 2  # symbols at a number's end whose effect on the check is looked up


def check_function(scheme: str) -> Callable[[str], str]:
    """What computes a scheme's check character or characters for a text that it can read."""
    from stdnum import damm, ean, luhn, verhoeff
    from stdnum.iso7064 import mod_11_2, mod_11_10, mod_37_2, mod_37_36, mod_97_10

    functions: dict[str, Callable[[str], str]] = {
        "luhn": luhn.calc_check_digit,
        "gs1": ean.calc_check_digit,
        "damm": damm.calc_check_digit,
        "verhoeff": verhoeff.calc_check_digit,
        "iso7064-mod11-2": mod_11_2.calc_check_digit,
        "iso7064-mod11-10": mod_11_10.calc_check_digit,
        "iso7064-mod37-2": mod_37_2.calc_check_digit,
        "iso7064-mod37-36": mod_37_36.calc_check_digit,
        "iso7064-mod97-10": mod_97_10.calc_check_digits,
    }
    return functions[scheme]


class SerialMaker:
    """Writes and reads the serials of one rule on one date."""

    def __init__(self, rule: SerialRule, day: date) -> None:
        week_year, week, _ = day.isocalendar()
        self._date = {
            "year": f"{day.year:04}", "short_year": f"{day.year % 100:02}",
            "month": f"{day.month:02}", "day": f"{day.day:02}", "week": f"{week:02}",
            "week_year": f"{week_year:04}",
        }  # fmt: skip
        self._rule = rule
        self._symbols = symbols(rule.alphabet)
        self._base = len(self._symbols)
        self._digits = rule.digits or 1
        self._block = self._base**_TAIL
        self._form = _form(parts_of(rule.text), self._date)
        self._number = self._number_writer()
        self._checks: dict[tuple[str, int], str] = {}
        self._head, self._head_class = -1, ""
        self._check: Callable[[str], str] | None = None
        if rule.check != "none":
            self._check = check_function(rule.check)
            before, _, after = _form(parts_of(rule.check_over), self._date).partition("{0}")
            # check_over may name the number more than once: then nothing is looked up.
            self._over = before, after
            self._plain = "{0}" not in after

    @property
    def last(self) -> int | None:
        """The largest number that the rule's digits can hold; None where there is no end."""
        return self._base**self._rule.digits - 1 if self._rule.digits else None

    def text(self, number: int) -> str:
        """The serial of a number, 0 or more, that is no larger than ``last``."""
        written = self._number(number)
        if self._check is None:
            return self._form.format(written)
        return self._form.format(written, self._check_of(number, written))

    def number(self, text: str) -> int | None:
        """The number of a serial made by this rule on any date, or None if it is none."""
        match = self._pattern.fullmatch(text)
        value = self._value(match) if match is not None else None
        if match is None or value is None or self._right_check(match) is not None:
            return None
        return value

    def wrong_check(self, text: str) -> tuple[str, str] | None:
        """The check of a text in which nothing else is wrong, and the one that it should have;
        None of any other text."""
        match = self._pattern.fullmatch(text)
        right = None
        if match is not None and self._value(match) is not None:
            right = self._right_check(match)
        return (match[CHECK], right) if match is not None and right is not None else None

    def _value(self, match: re.Match[str]) -> int | None:
        """None of a number that is padded otherwise than the rule pads."""
        written = match["number"]
        value = 0
        for symbol in written:
            value = value * self._base + self._symbols.index(symbol)
        if self._number(value) != written or (self.last is not None and value > self.last):
            return None
        return value

    def _right_check(self, match: re.Match[str]) -> str | None:
        """The check that a text should have; None if it has it or it cannot be told."""
        if self._check is None:
            return None
        found = match.groupdict()
        day = {name: found.get(name) or self._date[name] for name in DATE_PARTS}
        over = _form(parts_of(self._rule.check_over), day).format(match["number"])
        dated = {p.text for p in parts_of(self._rule.check_over) if p.place} - {NUMBER}
        if not dated <= found.keys():
            return None
        right = self._check(over)
        return None if right == match[CHECK] else right

    # ------------------------------------------------------------ numbers

    def _number_writer(self) -> Callable[[int], str]:
        names = {"0123456789": "d", "0123456789ABCDEF": "X"}
        if self._symbols in names:
            return f"{{:0{self._digits}{names[self._symbols]}}}".format
        return self._in_base

    def _in_base(self, number: int) -> str:
        letters, base = self._symbols, self._base
        out = ""
        while number:
            number, place = divmod(number, base)
            out = letters[place] + out
        return out.rjust(self._digits, letters[0])

    # ------------------------------------------------------------ checks

    def _check_of(self, number: int, written: str) -> str:
        """The check of a number, mostly looked up.

        In every scheme here what stands before the last symbols counts only through the one of
        a few states it leads to, and each state gives another check when noughts follow (they
        are groups: ISO/IEC 7064:2003, 6 to 9; Damm 2004, a quasigroup; Verhoeff 1969, the
        dihedral group D5). So that check and the last symbols decide.
        """
        head, tail = divmod(number, self._block)
        if not self._plain or len(written) <= _TAIL:
            return self._checked(written)
        if head != self._head or len(written) != self._width:
            self._head, self._width = head, len(written)
            noughts = self._symbols[0] * _TAIL
            self._head_class = self._checked(written[:-_TAIL] + noughts)
        key = (self._head_class, tail)
        found = self._checks.get(key)
        if found is None:
            found = self._checks[key] = self._checked(written)
        return found

    _width = 0

    def _checked(self, written: str) -> str:
        before, after = self._over
        assert self._check is not None
        return self._check(before + written + after.replace("{0}", written))

    # ------------------------------------------------------------ reading

    @cached_property
    def _pattern(self) -> re.Pattern[str]:
        """What a serial of this rule looks like, whatever its date."""
        groups = {name: rf"(?P<{name}>[0-9]{{{width}}})" for name, width in DATE_PARTS.items()}
        groups[NUMBER] = f"(?P<number>[{re.escape(self._symbols)}]+)"
        if self._check is not None:
            signs = re.escape(CHECK_WRITES[self._rule.check])
            groups[CHECK] = f"(?P<check>[{signs}]{{{CHECK_WIDTHS[self._rule.check]}}})"
        out = ""
        seen: set[str] = set()
        for part in parts_of(self._rule.text):
            if not part.place:
                out += re.escape(part.text)
            elif part.text in seen:
                out += f"(?P={part.text})"
            else:
                out += groups[part.text]
                seen.add(part.text)
        return re.compile(out)


def _form(parts: tuple[Part, ...], day: dict[str, str]) -> str:
    """A format string with {0} for the number and {1} for the check."""
    out = ""
    for part in parts:
        if not part.place:
            out += part.text.replace("{", "{{").replace("}", "}}")
        elif part.text in day:
            out += day[part.text]
        else:
            out += "{0}" if part.text == NUMBER else "{1}"
    return out
