"""Linear codes: check characters, character sets, two foreign decoders, refusals."""

from __future__ import annotations

import re
import string

import pytest
import stdnum.ean
from barcode.charsets import code39 as code39_tables
from barcode.codex import Code39, Code128
from barcode.ean import EAN13
from barcode.itf import ITF
from barcode.upc import UPCA
from code_judges import rows_of, zbar, zxing
from hypothesis import given, settings
from hypothesis import strategies as st

from vardata.fit.codes.code128 import code128_values
from vardata.fit.codes.linear import Linear, encode_linear, gs1_check_digit
from vardata.fit.codes.symbol import CodeError

SOME = settings(max_examples=150, deadline=None)
FEW = settings(max_examples=12, deadline=None)
ASCII = st.text(st.characters(max_codepoint=127), min_size=1, max_size=24)
PRINTABLE = st.text(string.digits + string.ascii_letters + " -./:", min_size=1, max_size=24)
# Texts in which runs of digits meet everything else.
MIXED = st.lists(
    st.sampled_from(["1", "23", "456", "7890", "99", "990011", "a", "B", "-", "\x01", "\t", "z"]),
    min_size=1,
    max_size=9,
).map("".join)
DIGITS = st.text(string.digits, min_size=1, max_size=22)
CODE39 = st.text("".join(code39_tables.REF), min_size=1, max_size=14)


# ---------------------------------------------------------------- Code 128


@pytest.mark.parametrize(
    ("text", "values"),
    [
        # ISO/IEC 15417 arithmetic, worked in published examples (secondary): the last value
        # is the check character. StartB A I M CodeC 12 34; sum 1014 mod 103 = 87.
        ("AIM1234", [104, 33, 41, 45, 99, 12, 34, 87]),
        ("Wikipedia", [104, 55, 73, 75, 73, 80, 69, 68, 73, 65, 88]),
    ],
)
def test_code128_worked_examples(text: str, values: list[int]) -> None:
    assert code128_values(text) == values


def test_code128_check_value_54() -> None:
    """PJJ123C checks to 54 in set A (published worked example, secondary); the same data
    values stand in set B, whose start is 1 more."""
    values = code128_values("PJJ123C")
    assert values[0] == 104
    assert values[-1] == 55


def test_code128_width() -> None:
    # 11 modules a character, 13 the stop (ISO/IEC 15417, secondary).
    assert encode_linear("code128", "AIM1234").columns == 101


@pytest.mark.parametrize(
    ("text", "code_sets"),
    [  # by hand: where a change of code set saves a character
        ("12", "C"),
        ("1", "B"),
        ("123", "B"),
        ("1234", "C"),
        ("12345", "CB"),
        ("a1234", "BC"),
        ("a1234b", "B"),
        ("a12345b", "B"),
        ("a123456b", "BCB"),
        ("1234b", "CB"),
        ("12b", "B"),
        ("9912", "C"),
        ("\x01\x02", "A"),
        ("\x01a\x02", "ABA"),
        ("A\x01", "A"),
        ("Aa", "B"),
        ("\x01" + "1234", "AC"),
    ],
)
def test_code128_code_sets(text: str, code_sets: str) -> None:
    values = code128_values(text)
    starts = {103: "A", 104: "B", 105: "C"}
    changes = {101: "A", 100: "B", 99: "C"}
    found = starts[values[0]]
    for value in values[1:-1]:
        # In set C the value 99 is a pair of digits, and 99 never changes from C to itself.
        if value in changes and not (found[-1] == "C" and value == 99):
            found += changes[value]
    assert found == code_sets


@SOME
@given(st.one_of(ASCII, MIXED, DIGITS))
def test_code128_is_read_back(text: str) -> None:
    symbol = encode_linear("code128", text)
    found = zxing(symbol, "code128")
    assert found.bytes == text.encode() == symbol.text.encode()


@SOME
@given(st.one_of(PRINTABLE, DIGITS))
def test_code128_is_never_longer_than_the_packages(text: str) -> None:
    package = Code128(text)
    length = len(package._build()) + 1  # the check character is not in it
    if not text.startswith("99"):  # where the package drops the first pair
        assert len(code128_values(text)) <= length


@pytest.mark.parametrize("text", ["SN-0001", "ABC", "abc def", "12345678", "A1B2C3"])
def test_code128_equals_the_package_where_code_sets_agree(text: str) -> None:
    assert rows_of(encode_linear("code128", text)) == Code128(text).build()


@FEW
@given(ASCII)
def test_code128_by_the_second_decoder(text: str) -> None:
    if "\x00" not in text:  # at which zbarimg ends its line
        assert zbar(encode_linear("code128", text)) == text


def test_code128_line_shows_a_space_for_what_cannot_be_shown() -> None:
    assert encode_linear("code128", "A\x1dB\x7f").line == "A B "


# ---------------------------------------------------------------- EAN-13 and UPC-A


@pytest.mark.parametrize(
    ("digits", "check"),
    [  # GS1 modulo 10, published examples (secondary)
        ("629104150021", "3"),
        ("400638133393", "1"),
        ("950110153000", "3"),
        ("03600029145", "2"),
        ("9638507", "4"),
        ("1540014128876", "3"),
        ("10614141123456789", "7"),
    ],
)
def test_check_digits_of_published_numbers(digits: str, check: str) -> None:
    assert gs1_check_digit(digits) == check


@SOME
@given(st.text(string.digits, min_size=7, max_size=13))
def test_check_digits_by_stdnum(digits: str) -> None:
    assert gs1_check_digit(digits) == stdnum.ean.calc_check_digit(digits)


@SOME
@given(st.text(string.digits, min_size=12, max_size=12))
def test_ean13_is_read_back_and_equals_the_package(digits: str) -> None:
    symbol = encode_linear("ean13", digits)
    assert stdnum.ean.is_valid(symbol.text)
    assert rows_of(symbol) == EAN13(digits).build()
    assert zxing(symbol, "ean13").text == symbol.text == symbol.line.replace(" ", "")
    assert encode_linear("ean13", symbol.text) == symbol
    assert symbol.columns == 95  # GS1 size guide (secondary)


@SOME
@given(st.text(string.digits, min_size=11, max_size=11))
def test_upca_is_read_back_and_equals_the_package(digits: str) -> None:
    symbol = encode_linear("upca", digits)
    assert rows_of(symbol) == UPCA(digits).build()
    # A UPC-A is the EAN-13 of a number that begins with 0; decoders say so.
    assert zxing(symbol, "upca").text == "0" + symbol.text
    assert symbol.line.replace(" ", "") == symbol.text
    assert encode_linear("upca", symbol.text) == symbol
    assert symbol.columns == 95


def test_article_numbers_by_the_second_decoder() -> None:
    assert zbar(encode_linear("ean13", "629104150021")) == "6291041500213"
    assert zbar(encode_linear("upca", "03600029145")) == "0036000291452"


def test_lines_are_grouped_as_usual() -> None:
    assert encode_linear("ean13", "400638133393").line == "4 006381 333931"
    assert encode_linear("upca", "03600029145").line == "0 36000 29145 2"


# ---------------------------------------------------------------- Code 39


@pytest.mark.parametrize(
    ("text", "check"),  # ISO/IEC 16388 modulo 43, published examples (secondary)
    [("CODE39", "W"), ("CODE 39", "R"), ("12345ABCDE/", "T")],
)
def test_code39_check_characters(text: str, check: str) -> None:
    symbol = encode_linear("code39", text, check_digit=True)
    assert symbol.text == text + check
    assert rows_of(symbol) == Code39(text, add_checksum=True).build()


@SOME
@given(CODE39, st.booleans())
def test_code39_is_read_back_and_equals_the_package(text: str, check: bool) -> None:
    symbol = encode_linear("code39", text, check)
    assert rows_of(symbol) == Code39(text, add_checksum=check).build()
    assert zxing(symbol, "code39").text == symbol.text
    # (3N + 6)X a character and a gap of X, N = 3 (ISO/IEC 16388, from memory).
    assert symbol.columns == (len(symbol.text) + 2) * 16 - 1


def test_code39_pairs_stay_two_characters() -> None:
    """A reader set to full ASCII takes /A for one character; the code itself is plain."""
    symbol = encode_linear("code39", "PO/A12")
    assert symbol.text == "PO/A12" == zxing(symbol, "code39").text == zbar(symbol)


@FEW
@given(CODE39)
def test_code39_by_the_second_decoder(text: str) -> None:
    assert zbar(encode_linear("code39", text)) == text


# ---------------------------------------------------------------- ITF


@SOME
@given(st.integers(2, 11), st.data())
def test_itf_is_read_back_and_equals_the_package(pairs: int, data: st.DataObject) -> None:
    text = data.draw(st.text(string.digits, min_size=2 * pairs, max_size=2 * pairs))
    symbol = encode_linear("itf", text)
    assert rows_of(symbol) == ITF(text, narrow=1, wide=3).build()
    assert zxing(symbol, "itf").text == symbol.text == text
    # (P(4N + 6) + N + 6)X, N = 3 (GS1 General Specifications, secondary).
    assert symbol.columns == 18 * pairs + 9


def test_itf_with_its_check_digit() -> None:
    symbol = encode_linear("itf", "1540014128876", check_digit=True)
    assert symbol.text == "15400141288763"  # published ITF-14 example (secondary)
    assert zbar(symbol) == "15400141288763"


@pytest.mark.parametrize(("symbology", "narrow"), [("code39", "CODE39"), ("itf", "15400141288763")])
def test_wide_elements_are_three_modules(symbology: Linear, narrow: str) -> None:
    """Within 2.0 to 3.0 (ISO/IEC 16388, 16390; from memory)."""
    (row,) = rows_of(encode_linear(symbology, narrow))
    assert {len(element) for element in re.findall("0+|1+", row)} == {1, 3}


# ---------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    ("symbology", "text", "check_digit", "what", "remedy"),
    [
        ("code128", "", False, "empty", "give the field a text"),
        ("code128", "Zoë ñ", False, "cannot hold 'ë', 'ñ'", "ASCII"),
        ("code128", "\u0661\u0662", False, "cannot hold", "ASCII"),
        ("ean13", "", False, "empty", "number"),
        ("ean13", "4006381333932", False, "is 2, but 400638133393 asks for 1", "source"),
        ("ean13", "40063813339", False, "takes 13 digits, or 12 .* has 11", "leading zeros"),
        ("ean13", "40063813339311", False, "has 14", "mend the number"),
        ("ean13", "4006381 33393", False, "found ' '", "mend"),
        ("ean13", "4.00638E+12", False, r"found '\.', 'E', '\+'", "mend"),
        ("ean13", "٤٠٠٦٣٨١٣٣٣٩٣", False, "found", "mend"),
        ("upca", "036000291453", False, "is 3, but 03600029145 asks for 2", "source"),
        ("upca", "3600029145", False, "has 10", "leading zeros"),
        ("code39", "", False, "empty", "text"),
        ("code39", "Sn-1", False, "cannot hold 'n'", "capitals .'SN-1'."),
        ("code39", "A*B", False, r"cannot hold '\*'", "another symbology"),
        ("code39", "a_b\t", False, r"cannot hold 'a', '_', 'b', '\\t'", "another symbology"),
        ("itf", "12345", False, "even number of digits; this number has 5$", "zero before"),
        ("itf", "1234", True, "has 4 with the check digit, 5", '"check_digit = false"'),
        ("itf", "12", False, "too short to be read", "zeros before"),
        ("itf", "12-4", False, "found '-'", "mend"),
    ],
)
def test_refusals(symbology: Linear, text: str, check_digit: bool, what: str, remedy: str) -> None:
    with pytest.raises(CodeError) as error:
        encode_linear(symbology, text, check_digit)
    assert re.search(what, error.value.what), error.value.what
    assert re.search(remedy, error.value.remedy), error.value.remedy
    assert "\n" not in str(error.value)


@SOME
@given(st.sampled_from(["code128", "ean13", "upca", "code39", "itf"]), st.text(), st.booleans())
def test_any_text_is_encoded_or_refused(symbology: Linear, text: str, check: bool) -> None:
    try:
        symbol = encode_linear(symbology, text, check)
    except CodeError as error:
        assert error.what
        assert error.remedy
    else:
        assert symbol.text.startswith(text)
