"""Cells as displayed: a stored value and its number format give the text that a person saw.

In: a number, truth value or text, its format code and a ``Locale``. Out: the displayed text.
Raises ``FormatFault`` where that text is not certain. Choosing the section follows ECMA-376
part 1, 18.8.31; the built-in codes are those of 18.8.30. Colour, fill and alignment are not
text and do not appear; a blank of a character's width (``_x``) appears as one space.
"""

from __future__ import annotations

import math

from vardata.intake import fmtdate, fmtnumber
from vardata.intake.fmtcode import Condition, FormatFault, Section, parse
from vardata.intake.locales import Locale

__all__ = ["BUILTIN", "FormatFault", "builtin", "display", "follows_settings"]

BUILTIN = {
    0: "General", 1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00",
    9: "0%", 10: "0.00%", 11: "0.00E+00", 12: "# ?/?", 13: "# ??/??",
    15: "d-mmm-yy", 16: "d-mmm", 17: "mmm-yy", 18: "h:mm AM/PM", 19: "h:mm:ss AM/PM",
    37: "#,##0 ;(#,##0)", 38: "#,##0 ;[Red](#,##0)",
    39: "#,##0.00;(#,##0.00)", 40: "#,##0.00;[Red](#,##0.00)", 45: "mm:ss", 46: "[h]:mm:ss",
    47: "mm:ss.0", 48: "##0.0E+0", 49: "@",
}  # fmt: skip
# These ids have no code of their own: they are shown as the locale has it.
SHORT_DATE = "\x0eshort date"
SHORT_TIME = "\x14time"
SHORT_SECONDS = "\x15time with seconds"
SHORT_DATE_TIME = "\x16short date and time"
_OF_LOCALE = {14: SHORT_DATE, 20: SHORT_TIME, 21: SHORT_SECONDS, 22: SHORT_DATE_TIME}
# From memory of the English workbook; a workbook of another country stores its own codes.
_DOLLARS = {
    5: '"$"#,##0_);("$"#,##0)', 6: '"$"#,##0_);[Red]("$"#,##0)',
    7: '"$"#,##0.00_);("$"#,##0.00)', 8: '"$"#,##0.00_);[Red]("$"#,##0.00)',
    41: '_(* #,##0_);_(* (#,##0);_(* "-"_);_(@_)',
    42: '_("$"* #,##0_);_("$"* (#,##0);_("$"* "-"_);_(@_)',
    43: '_(* #,##0.00_);_(* (#,##0.00);_(* "-"??_);_(@_)',
    44: '_("$"* #,##0.00_);_("$"* (#,##0.00);_("$"* "-"??_);_(@_)',
}  # fmt: skip


def builtin(number: int, locale: Locale) -> str:
    """The code of a built-in format id; ``FormatFault`` if it is the computer's own affair."""
    if number in _OF_LOCALE:
        return _OF_LOCALE[number]
    code = BUILTIN.get(number)
    if code is None and locale.id == "en_US":
        code = _DOLLARS.get(number)
    if code is None:
        raise FormatFault(f"built-in number format {number} depends on the country of the computer")
    return code


def follows_settings(code: str, locale: Locale) -> bool:
    """Whether what is shown depends on settings or a program, not on the workbook alone."""
    if code in _OF_LOCALE.values():
        return True
    try:
        sections = parse(code)
    except FormatFault:
        return False
    return any(
        section.system
        or ((section.language or locale.language) != "en" and _has_short_names(section))
        for section in sections
    )


def _has_short_names(section: Section) -> bool:
    return any(t.kind in ("month", "day") and len(t.text) == 3 for t in section.tokens)


def display(
    value: float | int | bool | str, number_format: str, locale: Locale, date1904: bool = False
) -> str:
    """The text shown for a stored value.

    ``value`` is a number (dates are serial numbers of days), True or False, or a text.
    Raises ``FormatFault`` when the text a person saw is not certain.
    """
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, str):
        return _text(value, number_format)
    if not math.isfinite(value):
        raise FormatFault("a number that is not finite")
    if number_format in _OF_LOCALE.values():
        number_format = _of_locale(number_format, locale)
    if number_format in ("General", ""):
        return fmtnumber.general(value, locale)
    section, signed = _choose(value, parse(number_format))
    if section.system:
        code = locale.long if section.system == "date" else locale.time
        section = parse(code)[0]
    if section.kind == "date":
        return fmtdate.show(abs(value) if not signed else value, section, locale, date1904)
    if section.kind == "text":
        shown = fmtnumber.general(value if signed else abs(value), locale)
        return "".join(shown if t.kind == "at" else t.text for t in section.tokens)
    return fmtnumber.show(value, section, locale, signed)


def _of_locale(code: str, locale: Locale) -> str:
    """The code of a format that the locale decides."""
    return {
        SHORT_DATE: locale.short,
        SHORT_TIME: f"{locale.hour}:mm",
        SHORT_SECONDS: f"{locale.hour}:mm:ss",
        SHORT_DATE_TIME: f"{locale.short} {locale.hour}:mm",
    }[code]


def _text(value: str, code: str) -> str:
    """A text in its cell: the fourth section, or the only one with an @, may dress it."""
    if code in ("General", "@", "") or code in _OF_LOCALE.values():
        return value
    try:
        sections = parse(code)
    except FormatFault:
        if "@" not in code:
            return value  # the format speaks of numbers only
        raise
    last = sections[-1]
    if len(sections) == 4 or last.kind == "text":
        return "".join(value if t.kind == "at" else t.text for t in last.tokens)
    return value


def _choose(value: float, sections: tuple[Section, ...]) -> tuple[Section, bool]:
    """The section for a number, and whether a minus sign is still to be written.

    A section that takes negative numbers only shows them without their sign.
    """
    numeric = sections[:3] if len(sections) == 4 else sections
    if len(numeric) > 1 and numeric[-1].kind == "text":
        numeric = numeric[:-1]  # ECMA-376-1, 18.8.31: the last section with @ is for texts
    if len(numeric) == 1 and numeric[0].condition is None:
        return numeric[0], True
    tests = _conditions(numeric)
    for index, (section, test) in enumerate(zip(numeric, tests)):
        if test is None or test.holds(value):
            return section, not _negative_only(index, tests)
    raise FormatFault("no section of the number format is for this number, shown as ####")


def _conditions(sections: tuple[Section, ...]) -> list[Condition | None]:
    """What each section is for: as written, or positive, negative and the rest."""
    written = [section.condition for section in sections]
    if not any(written):
        if len(sections) == 2:
            return [Condition(">=", 0), None]
        return [Condition(">", 0), Condition("<", 0), None][: len(sections)]
    if len(sections) == 1:
        return written
    first = written[0] or Condition(">", 0)
    if len(sections) == 2:
        return [first, written[1]]
    return [first, written[1] or Condition("<", 0), None]


def _negative_only(index: int, tests: list[Condition | None]) -> bool:
    """Whether every number but zero that comes to this section is below zero."""
    test = tests[index]
    if test is not None:
        if test.operator in ("<", "<="):
            return test.limit <= 0
        return test.operator == "=" and test.limit < 0
    first = tests[0]
    return index == 1 and first is not None and first.operator[0] == ">" and first.limit <= 0
