"""Displayed texts against LibreOffice, which is not the program that the codes come from.

Every deliberate difference stands in DIFFERENCES with its reason. "Excel" there means: what
Microsoft Excel shows, from memory.
"""

from __future__ import annotations

from typing import Any

import pytest
from intake_office import shown
from openpyxl.styles.numbers import BUILTIN_FORMATS

from vardata.intake import locales, numfmt

ENGLISH = locales.LOCALES["en_US"]
NUMBERS = (0, 1, -1, 0.5, 1234.567, -1234.567, 1234567.891, 100, 1 / 3, -0.4, 2.675, 0.1 + 0.2)
NUMBER_FORMATS = (
    "General", "0", "0.00", "#", "#,##0", "#,##0.00", "#,###", "0.0,", "0.0,,", "#,##0,", "0%",
    "0.00%", "0.00E+00", "##0.0E+0", "0E+0", "0.0E-0", "00000", "00000000", "000-00-0000",
    "(###) ###-####", "?.??", "???.???", "# ?/?", "# ??/??", "# ?/8", "# ??/16", "??/??", "0/0",
    "0;(0)", "0.00;[Red]-0.00", "#,##0.00_);(#,##0.00)", "#,##0 ;[Red](#,##0)", '"$"#,##0.00',
    "[$€-407] #,##0.00", "#,##0.00 [$€-407]", "[$USD] 0.00", "[$£-809]#,##0", '0" pcs"',
    '[>=1000]#,##0,"k";0', '[<0]"neg";[=0]"zero";0', ";;;", "0;;", '0;-0;"nil"',
    'General" x"', "\\N0", "0*-0", "@", "_-* #,##0.00_-", "# ###", "# ##0", "0.###", "0.0??",
    '00"-"00', '0.00 "€"', "$0", "£0", "+0;-0", "#,##0.00;;", "[Red][>100]0.0;[Blue]0.00",
    "[<100]0.0;0.00", "[>=100]0.0;[<0]0.00;0.000", "0_)", '[=1]"one";[=2]"two";0', "0.00;0.00",
    "[Color12]0.0", '"No. "00000', "#.##", ".00", "0000\\ 0000",
    "_($* #,##0.00_);_($* (#,##0.00);_($* \"-\"??_);_(@_)",
)  # fmt: skip
DATES = (61, 45000, 45000.75, 44197.0416666667, 36526.5006944444, 2958465, 45291.5)
DATE_FORMATS = (
    "m/d/yyyy", "dd.mm.yyyy", "yyyy-mm-dd", "d-mmm-yy", "d-mmm", "mmm-yy", "dddd, mmmm dd, yyyy",
    "ddd mmmmm yy", "mmmmm", "yy", "yyyy", "m", "mm", "d", "dd", "yyyy m", "yyyymmdd",
    "dd/mm/yyyy;@", 'd"th of "mmmm', "yyyy\\-mm\\-dd\\ hh:mm", "mmddyyyyhhmmss", "h", "hh",
    "h:mm AM/PM", "h:mm:ss AM/PM", "am/pm h", "hh:mm a/p", "h:mm", "h:mm:ss", "h:m", 'h"h"mm',
    "s", "m:s", "mm:ss", "mm:ss.0", "hh:mm:ss.000", "ss.00", "[$-409]mmm dd", "[$-407]d. mmmm yyyy",
    "[$-40C]dddd d mmmm yyyy", "[$-419]d mmmm yyyy", "[$-419]mmmm yyyy", "[$-415]d mmmm yyyy",
    "[$-405]d. mmmm yyyy", "[$-40B]d. mmmm yyyy", "[$-408]d mmmm yyyy", "[$-1010409]d mmm yyyy",
    "[$-F800]dddd, mmmm dd, yyyy",
)  # fmt: skip
SPANS = (0, 0.25, 1.5, 61.0423611111, 1 / 86400)
SPAN_FORMATS = ("[h]:mm:ss", "[h]:mm", "[mm]:ss", "[ss]", "[m]", "[hh]:mm", "[h]")
TEXTS = ("Ann", "  Zoë ", "12", "TRUE")
TEXT_FORMATS = (
    "General", "@", '"Nr. "@', '0;-0;0;"<"@">"', "0.00", "0;-0;0;", "yyyy-mm-dd", "@*.", '@" "@',
)  # fmt: skip
# openpyxl stores these as a number without a code, so LibreOffice shows its own idea of them.
BUILTINS = (0, 1, 2, 3, 4, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 37, 38, 39, 40,
            45, 46, 47, 48, 49)  # fmt: skip

NO_POINT = "Excel shows the point of the code even where no decimal follows"
SIGN = "a section that also takes positive numbers keeps the minus: without it the number lies"
BLANKS = "where the fraction is nothing, Excel leaves blanks as wide as all of it"
DIFFERENCES: dict[tuple[str, Any], tuple[str, str]] = {
    **{("0.###", v): (t, NO_POINT) for v, t in ((0, "0."), (1, "1."), (-1, "-1."), (100, "100."))},
    **{("#.##", v): (t, NO_POINT) for v, t in ((0, "."), (1, "1."), (-1, "-1."), (100, "100."))},
    **{("# ?/8", v): (f"{v}    ", BLANKS) for v in (0, 1, -1, 100)},
    **{("# ??/16", v): (f"{v}      ", BLANKS) for v in (0, 1, -1, 100)},
    ('[>=1000]#,##0,"k";0', -1): ("-1", SIGN),
    ('[>=1000]#,##0,"k";0', -1234.567): ("-1235", SIGN),
    ("[Red][>100]0.0;[Blue]0.00", -1): ("-1.00", SIGN),
    ("[Red][>100]0.0;[Blue]0.00", -1234.567): ("-1234.57", SIGN),
    ("[Red][>100]0.0;[Blue]0.00", -0.4): ("-0.40", SIGN),
    ('[=1]"one";[=2]"two";0', -1): ("-1", SIGN),
    ('[=1]"one";[=2]"two";0', -1234.567): ("-1235", SIGN),
}
CASES = (
    [(v, f) for f in NUMBER_FORMATS for v in NUMBERS]
    + [(v, f) for f in DATE_FORMATS for v in DATES]
    + [(v, f) for f in SPAN_FORMATS for v in SPANS]
    + [(v, f) for f in TEXT_FORMATS for v in TEXTS]
)


BUILTIN_CASES = [
    (value, BUILTIN_FORMATS[number], number)
    for number in BUILTINS
    for value in (DATES if 14 <= number <= 22 or 45 <= number <= 47 else NUMBERS)
    if number != 46 or value < 100_000  # LibreOffice shows no more hours than that
]


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[Any, str], str]:
    """What LibreOffice shows for every case, in one conversion."""
    cells = CASES + [(value, code) for value, code, _ in BUILTIN_CASES]
    texts = shown(cells, tmp_path_factory.mktemp("office"))
    return {(f, repr(v)): text for (v, f), text in zip(cells, texts)}


def ours(value: Any, code: str) -> str:
    return numfmt.display(value, code, ENGLISH)


@pytest.mark.parametrize("code", dict.fromkeys(code for _, code in CASES))
def test_the_shown_text_is_what_libreoffice_shows(
    code: str, office: dict[tuple[Any, str], str]
) -> None:
    values = [value for value, its in CASES if its == code]
    expected = {
        repr(v): DIFFERENCES[code, v][0] if (code, v) in DIFFERENCES else office[code, repr(v)]
        for v in values
    }
    assert {repr(v): ours(v, code) for v in values} == expected


@pytest.mark.parametrize("number", BUILTINS)
def test_built_in_formats_are_shown_as_libreoffice_shows_them(
    number: int, office: dict[tuple[Any, str], str]
) -> None:
    cases = [(v, f) for v, f, its in BUILTIN_CASES if its == number]
    code = numfmt.builtin(number, ENGLISH)
    assert {v: ours(v, code).strip() for v, _ in cases} == {
        v: office[f, repr(v)].strip() for v, f in cases
    }


def test_the_listed_differences_are_differences(office: dict[tuple[Any, str], str]) -> None:
    same = [key for key in DIFFERENCES if office[key[0], repr(key[1])] == DIFFERENCES[key][0]]
    assert same == []


def test_enough_formats_are_compared() -> None:
    assert len({code for _, code in CASES}) >= 60


# What no foreign program was asked: values at the edges, with the source of each.
@pytest.mark.parametrize(
    ("value", "code", "text"),
    [
        # ECMA-376-1, 18.17.4.1: the first day on which all programs agree.
        (61, "yyyy-mm-dd", "1900-03-01"),
        # Excel, from memory: times are rounded to the second before they are cut.
        (45291.123456789, "h:mm:ss", "2:57:47"),
        (0.999999, "h:mm", "0:00"),
        # Excel, from memory: names of eras aside, longer runs of a letter mean the longest known.
        (45000, "ddddd", "Wednesday"),
        (45000, "yyy", "2023"),
        (1.005, "0%", "101%"),
        (45000, "[$-en-US]d-mmm-yy;@", "15-Mar-23"),
        (45000, "[$-x-sysdate]dddd, mmmm dd, yyyy", "Wednesday, March 15, 2023"),
        (999999999999999, "General", "999999999999999"),
        (1e-10, "General", "1E-10"),
        (True, "0", "TRUE"),
        (False, "General", "FALSE"),
    ],
)
def test_edges(value: Any, code: str, text: str) -> None:
    assert ours(value, code) == text


def test_the_1904_system_counts_from_its_own_day() -> None:
    # ECMA-376-1, 18.17.4.1: serial 0 is 1904-01-01.
    assert numfmt.display(0, "yyyy-mm-dd ddd", ENGLISH, date1904=True) == "1904-01-01 Fri"
    assert numfmt.display(43538, "yyyy-mm-dd", ENGLISH, date1904=True) == "2023-03-15"


@pytest.mark.parametrize(
    ("value", "code", "reason"),
    [
        (-1, "yyyy-mm-dd", "a negative date or time, which a spreadsheet shows as ####"),
        (2958466, "d.m.yy", "a date after 9999-12-31, which a spreadsheet shows as ####"),
        # LibreOffice 7.4 shows serial 60 as 28 February 1900, Excel as the 29th that never was.
        (60, "d.m.yy", "a date before 1900-03-01, which spreadsheet programs show differently"),
        (1, "ggge", "number format 'ggge' uses 'g', which is not known here"),
        (1, "[DBNum1]0", "number format '[DBNum1]0' uses [DBNum1], which is not known here"),
        (1, "[$-2000401]0", "number format '[$-2000401]0' asks for other digits or another "
         "calendar"),
        (1, '0"', "number format '0\"' has a quote that is never closed"),
        (1, "[Red0", "number format '[Red0' has a bracket that is never closed"),
        (1, "0;0;0;@;0", "number format '0;0;0;@;0' has more than four sections"),
        (99, "[$-43E]mmmm", "names of months and days of language 43E are not known here"),
        (5, "[>9]0;[<2]0", "no section of the number format is for this number, shown as ####"),
        (float("nan"), "0", "a number that is not finite"),
    ],
)  # fmt: skip
def test_what_is_not_certain_is_refused(value: Any, code: str, reason: str) -> None:
    with pytest.raises(numfmt.FormatFault) as caught:
        ours(value, code)
    assert str(caught.value) == reason


@pytest.mark.parametrize("number", [5, 27, 44, 58, 99])
def test_built_in_formats_of_a_country_are_refused(number: int) -> None:
    with pytest.raises(numfmt.FormatFault, match="depends on the country of the computer"):
        numfmt.builtin(number, locales.LOCALES["de_DE"])


@pytest.mark.parametrize(
    ("code", "locale", "follows"),
    [
        (numfmt.SHORT_DATE, "en_US", True),
        ("[$-F800]dddd, mmmm dd, yyyy", "en_US", True),
        ("d mmm yyyy", "en_US", False),
        ("d mmm yyyy", "de_DE", True),
        ("[$-409]d mmm yyyy", "de_DE", False),
        ("dd.mm.yyyy", "de_DE", False),
    ],
)
def test_formats_that_follow_settings_are_known(code: str, locale: str, follows: bool) -> None:
    assert numfmt.follows_settings(code, locales.LOCALES[locale]) is follows
