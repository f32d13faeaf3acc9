"""GS1 Digital Links and ready-made identifiers, with biip and stdnum as witnesses."""

from __future__ import annotations

import pytest
from biip.gs1_digital_link_uris import GS1DigitalLinkURI
from hypothesis import given, settings
from hypothesis import strategies as st
from stdnum import ean

from vardata.gs1.checks import SET_82
from vardata.gs1.error import Gs1Error
from vardata.gs1.identifiers import check_digit, giai, grai, gtin, sgtin, sscc
from vardata.gs1.link import digital_link
from vardata.gs1.parse import escaped, parse

X82 = st.text(st.sampled_from(SET_82), min_size=1, max_size=20)


@pytest.mark.parametrize(
    ("text", "path"),
    [
        # The example of the GS1 Digital Link standard (secondary, through bwipp's manual).
        ("(01)09521234543213(10)ABC123(17)261231", "/01/09521234543213/10/ABC123?17=261231"),
        # Qualifiers in the order 22, 10, 21, however they were written.
        ("(21)S(10)B(22)V(01)09521234543213", "/01/09521234543213/22/V/10/B/21/S"),
        ("(01)09521234543213(235)X", "/01/09521234543213/235/X"),
        # Reserved characters (RFC 3986, 2.2) are percent-encoded.
        ("(01)09521234543213(10)A/B?C&D%E", "/01/09521234543213/10/A%2FB%3FC%26D%25E"),
        ("(8004)0614141ABC123", "/8004/0614141ABC123"),
        ("(8003)00614141123452A1", "/8003/00614141123452A1"),
        ("(414)9521234543213(254)A1", "/414/9521234543213/254/A1"),
        ("(415)9521234543213(8020)INV", "/415/9521234543213/8020/INV"),
        # The first key begins the link, the other one goes to the query.
        ("(00)106141411234567897(02)09521234543213(37)24",
         "/00/106141411234567897?02=09521234543213&37=24"),
    ],
)  # fmt: skip
def test_links_by_hand(text: str, path: str) -> None:
    link = digital_link(parse(text))
    assert link == f"https://id.gs1.org{path}"
    theirs = GS1DigitalLinkURI.parse(link)
    assert {(found.ai.ai, found.value) for found in theirs.element_strings} == {
        (element.ai, element.data) for element in parse(text).elements
    }


@settings(max_examples=60, deadline=None)
@given(X82, X82, X82)
def test_biip_reads_the_same_data_from_links(batch: str, serial: str, own: str) -> None:
    text = f"(01)09521234543213(10){escaped(batch)}(21){escaped(serial)}(90){escaped(own)}"
    theirs = GS1DigitalLinkURI.parse(digital_link(parse(text)))
    found = [(element.ai.ai, element.value) for element in theirs.element_strings]
    assert found == [("01", "09521234543213"), ("10", batch), ("21", serial), ("90", own)]


def test_domains() -> None:
    message = parse("(8004)0614141ABC123")
    assert digital_link(message, "https://example.com/p/") == (
        "https://example.com/p/8004/0614141ABC123"
    )
    for wrong in ("example.com", "ftp://example.com", "https://", "https://a b", "https://a?x=1"):
        with pytest.raises(Gs1Error, match="cannot begin a Digital Link"):
            digital_link(message, wrong)


def test_what_has_no_place_in_a_link() -> None:
    with pytest.raises(Gs1Error) as caught:
        digital_link(parse("(90)internal"))
    assert str(caught.value) == (
        "no key to begin a Digital Link with among (90); "
        "add the number of the thing itself, such as (01), (8003) or (8004)"
    )
    with pytest.raises(Gs1Error) as caught:
        digital_link(parse("(8004)0614141ABC123(7040)1ABC(01)09521234543213(21)S"))
    assert str(caught.value) == (
        "(21) SERIAL has no place in a Digital Link that begins with (8004) GIAI; "
        "take it away, or encode the element string"
    )


# ---------------------------------------------------------------- identifiers


def test_identifiers_by_hand() -> None:
    # EPC tag data standard, examples of SGTIN, GRAI and SSCC (from memory); GIAI: own value.
    assert sgtin("10614141123459", "400") == "(01)10614141123459(21)400"
    assert grai("0614141", "12345", "A1") == "(8003)00614141123452A1"
    assert giai("0614141", "ABC123") == "(8004)0614141ABC123"
    assert sscc("1", "0614141", "123456789") == "(00)106141411234567897"
    # Lengths of GTIN: 4006381333931 is a worked EAN-13, 96385074 an EAN-8 (both V in stdnum).
    assert gtin("4006381333931") == "(01)04006381333931"
    assert check_digit("1061414112345") == ean.calc_check_digit("1061414112345") == "9"
    assert gtin("96385074") == "(01)00000096385074"
    assert gtin("036000291452") == "(01)00036000291452"
    assert grai("0614141", "7") == "(8003)00614141000074"


@settings(max_examples=100, deadline=None)
@given(st.text("0123456789", min_size=4, max_size=11), st.data())
def test_check_digits_of_identifiers_as_in_stdnum(prefix: str, data: st.DataObject) -> None:
    kind = data.draw(st.text("0123456789", min_size=1, max_size=12 - len(prefix)))
    serial = data.draw(st.text(st.sampled_from(SET_82), max_size=16))
    element = parse(grai(prefix, kind, escaped("")) if not serial else grai(prefix, kind, serial))
    body = element.elements[0].data
    assert ean.is_valid(body[1:14])
    assert body[14:] == serial
    assert body[1:13].startswith(prefix)
    assert body[1:13].endswith(kind)


@pytest.mark.parametrize(
    ("make", "line"),
    [
        (lambda: gtin("4006381333932123"),
         "a GTIN has 8, 12, 13 or 14 digits, 4006381333932123 has 16; "
         "mend the number; if leading zeros were lost, format the column as text"),
        (lambda: gtin("96385075"),
         "the check digit of GTIN 96385075 is 5, but 9638507 asks for 4; "
         "compare the number with its source; one digit is wrong or two are swapped"),
        # A wrong EAN-13 is not taken for the first 13 digits of a GTIN-14.
        (lambda: gtin("4006381333932"),
         "the check digit of GTIN 4006381333932 is 2, but 400638133393 asks for 1; "
         "compare the number with its source; one digit is wrong or two are swapped"),
        (lambda: check_digit("40 06"), "the number is digits only, found '40 06'; mend it"),
        (lambda: gtin("1.0E+12"), "the GTIN is digits only, found '1.0E+12'; mend it"),
        (lambda: giai("", "A"), "the company prefix is empty; mend it"),
        (lambda: giai("0614141", "A" * 24),
         f"(8004) GIAI takes 1 to 30 characters, 0614141{'A' * 24} has 31; "
         "compare the data with its source"),
        (lambda: grai("061414112345", "1"),
         "prefix and asset type have 13 digits, at most 12 together; shorten the reference"),
        (lambda: sscc("12", "0614141", "1"), "the extension of an SSCC is one digit; use 0 to 9"),
        (lambda: sgtin("4006381333931", "a b"),
         "(21) SERIAL cannot hold ' '; use the letters A-Z and a-z, digits and "
         "! \" % & ' ( ) * + , - . / : ; < = > ? _"),
    ],
)  # fmt: skip
def test_refused_identifiers(make: object, line: str) -> None:
    with pytest.raises(Gs1Error) as caught:
        make()  # type: ignore[operator]
    assert str(caught.value) == line
