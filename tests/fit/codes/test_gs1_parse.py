"""GS1 element strings: what is taken, what is refused in which words, and biip as a witness."""

from __future__ import annotations

import pytest
from biip.gs1_messages import GS1Message
from hypothesis import given, settings
from hypothesis import strategies as st
from stdnum import ean, iban
from stdnum.exceptions import ValidationError

from vardata.gs1.checks import CHECKS, SET_39, SET_82, check_digit, check_pair
from vardata.gs1.error import Gs1Error
from vardata.gs1.parse import escaped, parse

X82 = st.text(st.sampled_from(SET_82), min_size=1, max_size=20)


def test_the_parse_example() -> None:
    # Seen with zxing-cpp and biip alike (secondary): FNC1 after 10, none after 01 and 17.
    message = parse("(01)09521234543213(10)ABC123(17)261231")
    assert message.data == "010952123454321310ABC123\x1d17261231"
    assert message.line == "(01)09521234543213(10)ABC123(17)261231"
    assert message.bracketed == "[01]09521234543213[10]ABC123[17]261231"
    assert parse("(01)09521234543213(17)261231(10)ABC123").data == (
        "01095212345432131726123110ABC123"
    )


@pytest.mark.parametrize(
    "text",
    [
        "(00)106141411234567897",
        "(01)10614141123459(21)400",  # EPC tag data standard, example of SGTIN (from memory)
        "(8003)00614141123452A1",
        "(8004)0614141ABC123",
        "(01)09521234543213(17)260200",  # day 00: the end of the month
        "(01)09521234543213(17)280229",
        "(8013)1987654Ad4X4bL5ttr2310c2K",  # GS1's own example of a GMN (from memory)
        "(01)09521234543213(3103)000750(3922)1299",
        "(02)09521234543213(37)24(00)106141411234567897",
        "(415)9521234543213(8020)INV-1(8007)GB82WEST12345698765432",  # stdnum's IBAN
        "(414)9521234543213(254)A1",
        "(8010)9521234-A/1(8011)123",
        "(8006)095212345432130102",
        "(8018)952123454321000003(7258)1/2(7259)BABY",
        "(00)106141411234567897(4331)000500-",
        "(00)106141411234567897(4302)Main%20Street",
        "(255)9521234543213000012",
        "(90)anything",
    ],
)
def test_messages_that_are_right(text: str) -> None:
    message = parse(text)
    assert message.line == text
    assert parse(escaped_line(text)) == message


def escaped_line(text: str) -> str:
    return "".join(f"({element.ai}){escaped(element.data)}" for element in parse(text).elements)


@settings(max_examples=60, deadline=None)
@given(X82, X82, X82)
def test_biip_finds_the_same_elements(batch: str, serial: str, own: str) -> None:
    text = f"(01)09521234543213(10){escaped(batch)}(21){escaped(serial)}(91){escaped(own)}"
    message = parse(text)
    assert [element.data for element in message.elements] == [
        "09521234543213", batch, serial, own,
    ]  # fmt: skip
    theirs = GS1Message.parse(message.data).element_strings
    assert [(found.ai.ai, found.value) for found in theirs] == [
        (element.ai, element.data) for element in message.elements
    ]


@settings(max_examples=200, deadline=None)
@given(st.text(st.characters(codec="utf-8"), min_size=1, max_size=20))
def test_only_set_82_is_taken(text: str) -> None:
    # GS1 General Specifications, figure of 7.11-1: ISO/IEC 646 without these (from memory).
    outside = set("#$@[\\]^`{|}~ ") | {chr(n) for n in range(32)} | {"\x7f"}
    allowed = all(c.isascii() and c not in outside for c in text)
    try:
        parse(f"(01)09521234543213(10){escaped(text)}")
    except Gs1Error:
        assert not allowed
    else:
        assert allowed


def test_sizes_of_the_sets() -> None:
    assert len(set(SET_82)) == len(SET_82) == 82
    assert len(set(SET_39)) == len(SET_39) == 39


@settings(max_examples=200, deadline=None)
@given(st.text("0123456789", min_size=7, max_size=17))
def test_check_digits_as_in_stdnum(digits: str) -> None:
    assert check_digit(digits) == ean.calc_check_digit(digits)


@settings(max_examples=100, deadline=None)
@given(st.text("0123456789", min_size=13, max_size=13))
def test_only_one_check_digit_is_taken(digits: str) -> None:
    taken = [d for d in "0123456789" if not refusal(f"(01){digits}{d}")]
    assert taken == [ean.calc_check_digit(digits)]


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(["GB82WEST12345698765432", "DE89370400440532013000"]), st.data())
def test_ibans_as_in_stdnum(number: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(4, len(number) - 1))
    other = number[:at] + data.draw(st.sampled_from("0123456789")) + number[at + 1 :]
    try:
        iban.validate(other, check_country=False)
        right = True
    except ValidationError:
        right = False
    assert (CHECKS["iban"](other) == "") == right


def test_check_pair_of_a_global_model_number() -> None:
    # GS1 General Specifications, 7.9.5, example 1987654Ad4X4bL5ttr2310c2K (from memory).
    assert check_pair("1987654Ad4X4bL5ttr2310c") == "2K"


def refusal(text: str) -> str:
    try:
        parse(text)
    except Gs1Error as error:
        return f"{error.what}; {error.remedy}"
    return ""


SOURCE = "compare the data with its source"
FAULTS = [
    ("", "the text does not begin with an application identifier in brackets; "
     "write it as (01)09521234543213(10)ABC123"),
    ("0109521234543213", "the text does not begin with an application identifier in brackets; "
     "write it as (01)09521234543213(10)ABC123"),
    ("(9999)1", "there is no application identifier (9999); compare it with the GS1 list; "
     "a bracket that belongs to the data is written \\("),
    ("(01)", "(01) GTIN has no data; fill the cell, or take the identifier away"),
    ("(01)4006381333931", "(01) GTIN takes 14 digits, 4006381333931 has 13; "
     "put zeros before it: 04006381333931"),
    ("(01)095212345432", "(01) GTIN takes 14 digits, 095212345432 has 12; "
     "put zeros before it: 00095212345432"),
    ("(01)09521234543214", "(01) GTIN: the check digit of 09521234543214 is 4, "
     f"but 0952123454321 asks for 3; {SOURCE}"),
    ("(00)10614141123456789", "(00) SSCC takes 18 digits, 10614141123456789 has 17; "
     "add its check digit, or a zero that was lost at its beginning"),
    ("(01)0952123454321A", "(01) GTIN cannot hold 'A'; use the digits 0 to 9"),
    ("(10)A", "(10) BATCH/LOT does not stand alone; "
     "it needs (01) or (02) or (03) or (8006) or (8026) beside it"),
    ("(01)09521234543213(21)A(250)B(235)C", "(21) SERIAL cannot stand beside (235); "
     "keep one of them"),
    ("(01)09521234543213(250)B", "(250) SECONDARY SERIAL does not stand alone; "
     "it needs (01) with (21) or (03) with (21) or (8006) with (21) beside it"),
    ("(01)09521234543213(3103)000750(3102)000750",
     "(3103) NET WEIGHT (kg) cannot stand beside (3102); keep one of them"),
    ("(01)09521234543213(01)09521234543213", "(01) GTIN comes twice; keep one of them"),
    ("(01)09521234543213(17)261332",
     f"(17) USE BY or EXPIRY: 261332 is no date: there is no month 13; {SOURCE}"),
    ("(01)09521234543213(17)270229",
     f"(17) USE BY or EXPIRY: 270229 is no date: month 02 has no day 29; {SOURCE}"),
    ("(01)09521234543213(7006)270200",
     f"(7006) FIRST FREEZE DATE: 270200 is no date: month 02 has no day 00; {SOURCE}"),
    ("(01)09521234543213(10)" + "A" * 21,
     f"(10) BATCH/LOT takes 1 to 20 characters, {'A' * 21} has 21; {SOURCE}"),
    ("(01)09521234543213(10)Gr\u00f6\u00dfe", "(10) BATCH/LOT cannot hold 'ö', 'ß'; use the "
     "letters A-Z and a-z, digits and ! \" % & ' ( ) * + , - . / : ; < = > ? _"),
    ("(01)09521234543213(10)A\x1dB", "(10) BATCH/LOT cannot hold '\\x1d'; use the letters "
     "A-Z and a-z, digits and ! \" % & ' ( ) * + , - . / : ; < = > ? _"),
    ("(8010)9521234a", "(8010) CPID cannot hold 'a'; use the letters A-Z, digits and # - /"),
    ("(8003)10614141123452A1",
     f"(8003) GRAI: its data begins with 1, but must begin with 0; {SOURCE}"),
    ("(8004)ABC0614141",
     "(8004) GIAI: ABC0614141 does not begin with a GS1 company prefix, which is digits; "
     + SOURCE),
    ("(8006)095212345432130301",
     f"(8006) ITIP: 0301 is no piece of a total: 03 of 01; {SOURCE}"),
    ("(01)09521234543213(7003)2612312460",
     f"(7003) EXPIRY TIME: 2460 is no time of day (hhmm); {SOURCE}"),
    ("(00)106141411234567897(4302)50%zz",
     "(4302) SHIP TO ADD1: 50%zz has a % that is not followed by two hexadecimal digits; "
     + SOURCE),
    ("(00)106141411234567897(421)A23AB", "(421) SHIP TO POST: 'A' stands in A23, where "
     f"the digits 0 to 9 belong; {SOURCE}"),
    ("(8013)1987654Ad4X4bL5ttr2310cXX", "(8013) GMN: the check characters of "
     "1987654Ad4X4bL5ttr2310cXX are XX, but 1987654Ad4X4bL5ttr2310c asks for 2K; " + SOURCE),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line"), FAULTS, ids=[text[:30] for text, _ in FAULTS])
def test_each_fault_in_one_line(text: str, line: str) -> None:
    assert refusal(text) == line


def test_brackets_in_the_data() -> None:
    # Brackets belong to set 82. One that could be an identifier's is written with a backslash.
    assert parse("(01)09521234543213(10)A(B)C").elements[1].data == "A(B)C"
    assert parse("(01)09521234543213(10)A(1)C").elements[1].data == "A(1)C"
    assert parse("(01)09521234543213(10)A\\(21\\)C").elements[1].data == "A(21)C"
    assert len(parse("(01)09521234543213(10)A(21)C").elements) == 3


@settings(max_examples=300, deadline=None)
@given(st.text(st.sampled_from("()0123\\19ABC[]"), max_size=40))
def test_hostile_texts_give_a_message_or_a_line(text: str) -> None:
    line = refusal(text)
    if line:
        assert "\n" not in line
    else:
        assert parse(text).elements
