"""Check characters: published examples, python-stdnum's own validators, and the look-up by tail.

Examples: ISO 7064 (secondary, by python-stdnum's tests), GS1 General Specifications, and the
papers of the schemes. The judge is python-stdnum, on whole numbers, never our look-up.
"""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import damm, ean, luhn, verhoeff
from stdnum.iso7064 import mod_11_2, mod_11_10, mod_37_2, mod_37_36, mod_97_10

from vardata.job.serialparts import CHECK_READS, CHECK_WIDTHS, symbols
from vardata.job.serials import SerialRule
from vardata.resolve.serial import SerialMaker

DAY = date(2026, 10, 31)
VALID = {
    "luhn": luhn.is_valid,
    "gs1": lambda text: ean.calc_check_digit(text[:-1]) == text[-1],
    "damm": damm.is_valid,
    "verhoeff": verhoeff.is_valid,
    "iso7064-mod11-2": mod_11_2.is_valid,
    "iso7064-mod11-10": mod_11_10.is_valid,
    "iso7064-mod37-2": mod_37_2.is_valid,
    "iso7064-mod37-36": mod_37_36.is_valid,
    "iso7064-mod97-10": mod_97_10.is_valid,
}


def maker(scheme: str, *, before: str = "", digits: int | None = None, **more: str) -> SerialMaker:
    text = before + "{{ number }}"
    return SerialMaker(
        SerialRule.model_validate(
            {"text": text + "{{ check }}", "check": scheme, "check_over": text} | more
            | ({"digits": digits} if digits else {})
        ),
        DAY,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("scheme", "before", "digits", "number", "check"),
    [
        ("luhn", "", 10, 7992739871, "3"),  # ISO/IEC 7812-1's formula, the usual example
        ("luhn", "", 14, 49015420323751, "8"),  # IMEI, 3GPP TS 23.003
        ("iso7064-mod97-10", "", 3, 794, "44"),  # ISO 7064, 7.4
        ("iso7064-mod11-2", "", 4, 794, "0"),  # ISO 7064
        ("iso7064-mod11-2", "", 3, 79, "X"),  # ISO 7064
        ("iso7064-mod11-2", "", 15, 21825009, "7"),  # ORCID 0000-0002-1825-0097
        ("iso7064-mod11-10", "", 4, 794, "5"),  # ISO 7064
        ("iso7064-mod11-10", "", 11, 200667308, "5"),  # python-stdnum's test
        ("iso7064-mod37-2", "G", 12, 123489654321, "Y"),  # ISO 7064, ISBT 128
        ("iso7064-mod37-36", "A12425GABC", 7, 1234002, "M"),  # GRid standard
        ("damm", "", 3, 572, "4"),  # Damm 2004
        ("verhoeff", "", 3, 236, "3"),  # Verhoeff 1969
        ("verhoeff", "", 5, 12345, "1"),  # python-stdnum's test
        ("gs1", "", 12, 629104150021, "3"),  # GS1 General Specifications, 7.9
        ("gs1", "", 12, 400638133393, "1"),  # GTIN-13
        ("gs1", "1061414112345", 4, 6789, "7"),  # SSCC, GS1 General Specifications
    ],
)
def test_published_examples(
    scheme: str, before: str, digits: int, number: int, check: str
) -> None:
    made = maker(scheme, before=before, digits=digits)
    assert made.text(number) == f"{before}{number:0{digits}}{check}"
    assert made.number(made.text(number)) == number


READABLE = [
    (scheme, alphabet)
    for scheme in VALID
    for alphabet in ("decimal", "hex", "clear", "3210")
    if not set(symbols(alphabet)) - set(CHECK_READS[scheme])
]


@pytest.mark.parametrize(("scheme", "alphabet"), READABLE)
@pytest.mark.parametrize("digits", [None, 5])
def test_every_serial_of_a_range_is_valid(scheme: str, alphabet: str, digits: int | None) -> None:
    before = "20" if len(CHECK_READS[scheme]) == 10 else "FHL7"
    made = maker(scheme, before=before, digits=digits, alphabet=alphabet)
    end = min(3000, (made.last or 3000) + 1)
    for number in [*range(end), *range(end - 1, 0, -101)]:  # forwards, then in leaps back
        assert VALID[scheme](made.text(number)), number


@given(st.sampled_from(sorted(VALID)), st.lists(st.integers(0, 10**9), min_size=1, max_size=40))
def test_numbers_in_any_order_are_valid(scheme: str, numbers: list[int]) -> None:
    made = maker(scheme, digits=10)
    assert all(VALID[scheme](made.text(number)) for number in numbers)


@pytest.mark.parametrize("scheme", VALID)
def test_a_wrong_digit_is_no_serial(scheme: str) -> None:
    """Every scheme here finds every single wrong digit (ISO 7064, 1, and the papers)."""
    made = maker(scheme, digits=4)
    for number in (0, 17, 4096):
        text = made.text(number)
        width = len(text) - CHECK_WIDTHS[scheme]
        for place in range(width):
            for digit in set("0123456789") - {text[place]}:
                assert made.number(text[:place] + digit + text[place + 1 :]) is None
