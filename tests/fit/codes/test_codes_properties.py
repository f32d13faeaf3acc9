"""Any text that a kind of code can carry, drawn and read by decoders of other origin.

What zxing-cpp's writer draws (it wraps zint) is read by zxing-cpp's reader, which shares no code
with it, and by libdmtx or zbar where they know the kind. EAN-13 is drawn once more by hand from
the tables of ISO/IEC 15420 (secondary: the tables are those of every published description).
"""

from __future__ import annotations

import string

import pytest
from code_fields import field
from code_judges import dmtx, plain, rows_of, zbar
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from vardata.fit.codes.encode import encode
from vardata.fit.codes.symbol import CodeError, Symbol

ASCII = "".join(map(chr, range(128)))
ALPHANUMERIC = string.digits + string.ascii_uppercase + " $%*+-./:"
# No surrogates; what no reader hands on as it was is left to the tests of single kinds.
ANY = st.text(
    st.characters(exclude_categories=("Cs", "Cc", "Cn")), min_size=1, max_size=40
)  # fmt: skip
WIDE = (0, 0, 200, 60)


def drawn(symbology: str, text: str, **more: object) -> Symbol:
    try:
        return encode(text, field(symbology, box=WIDE, **more))
    except CodeError:
        assume(False)
        raise


@settings(max_examples=60, deadline=None)
@given(ANY, st.sampled_from(["datamatrix", "aztec", "pdf417", "rmqr"]))
def test_any_text_in_the_large_2d_codes(text: str, symbology: str) -> None:
    assert plain(drawn(symbology, text), symbology, scale=4).text == text


@settings(max_examples=60, deadline=None)
@given(
    st.one_of(
        st.text(string.digits, min_size=1, max_size=30),
        st.text(ALPHANUMERIC, min_size=1, max_size=20),
        st.text(string.printable[:95], min_size=1, max_size=14),
    ),
    st.sampled_from("LMQ"),
)
def test_any_text_in_micro_qr(text: str, level: str) -> None:
    assert plain(drawn("microqr", text, level=level), "microqr", scale=4).text == text


@settings(max_examples=40, deadline=None)
@given(st.text(ASCII, min_size=1, max_size=30))
def test_all_of_ascii_in_data_matrix(text: str) -> None:
    found = plain(drawn("datamatrix", text), "datamatrix", scale=4)
    assert found.bytes == text.encode("ascii")


@settings(max_examples=20, deadline=None)
@given(st.text(ASCII[1:], min_size=1, max_size=40), st.booleans())
def test_data_matrix_by_the_second_decoder(text: str, rectangular: bool) -> None:
    symbology = "datamatrix-rectangular" if rectangular else "datamatrix"
    assert dmtx(drawn(symbology, text)) == text.encode("ascii")


@settings(max_examples=40, deadline=None)
@given(st.text(string.printable[:95], min_size=1, max_size=20))
def test_any_text_in_code_93(text: str) -> None:
    assert plain(drawn("code93", text), "code93").text == text


@settings(max_examples=20, deadline=None)
@given(st.text(string.digits + "-$:/.+", min_size=2, max_size=16), st.sampled_from("ABCD"))
def test_codabar_by_both_decoders(text: str, start: str) -> None:
    symbol = drawn("codabar", f"{start}{text}{start}")
    assert plain(symbol, "codabar").text in (text, symbol.text)
    assert zbar(symbol, more=("codabar",)) == symbol.text


@settings(max_examples=40, deadline=None)
@given(st.text(string.digits, min_size=13, max_size=13))
def test_any_gtin_in_databar(digits: str) -> None:
    for symbology in ("databar", "databar-stacked", "databar-stacked-omni"):
        symbol = drawn(symbology, digits)
        assert plain(symbol, symbology, scale=4).text == symbol.text
    limited = drawn("databar-limited", f"0{digits[1:]}")
    assert plain(limited, "databar-limited").text == limited.text


# ---------------------------------------------------------------- EAN-13 by hand

# ISO/IEC 15420, number sets A, B (mirrored C) and C (A inverted), and the sets of the left half
# by the first digit (secondary).
SET_A = (
    "0001101", "0011001", "0010011", "0111101", "0100011",
    "0110001", "0101111", "0111011", "0110111", "0001011",
)  # fmt: skip
SET_C = tuple(code.translate(str.maketrans("01", "10")) for code in SET_A)
SET_B = tuple(code[::-1] for code in SET_C)
LEFT = (
    "AAAAAA", "AABABB", "AABBAB", "AABBBA", "ABAABB",
    "ABBAAB", "ABBBAA", "ABABAB", "ABABBA", "ABBABA",
)  # fmt: skip


def by_hand(digits: str) -> str:
    sets = {"A": SET_A, "B": SET_B}
    left = "".join(
        sets[kind][int(digit)] for kind, digit in zip(LEFT[int(digits[0])], digits[1:7])
    )
    right = "".join(SET_C[int(digit)] for digit in digits[7:])
    return f"101{left}01010{right}101"


@pytest.mark.parametrize("first", string.digits)
def test_ean13_is_the_hand_drawn_one(first: str) -> None:
    symbol = encode(f"{first}12345678901", field("ean13"))
    assert rows_of(symbol) == [by_hand(symbol.text)]


@settings(max_examples=100, deadline=None)
@given(st.text(string.digits, min_size=12, max_size=12))
def test_any_ean13_is_the_hand_drawn_one(digits: str) -> None:
    symbol = encode(digits, field("ean13"))
    assert rows_of(symbol) == [by_hand(symbol.text)]
    # UPC-A is the EAN-13 with a nought before it.
    upca = encode(digits[:11], field("upca"))
    assert rows_of(upca) == [by_hand(f"0{upca.text}")]
