"""GS1-128: FNC1 in its places, the fewest symbol characters, the limit of 48."""

from __future__ import annotations

import pytest
import zxingcpp
from code_fields import field
from code_judges import plain
from hypothesis import given, settings
from hypothesis import strategies as st

from vardata.fit.codes.code128 import gs1_128_values
from vardata.fit.codes.encode import encode
from vardata.fit.codes.symbol import CodeError
from vardata.gs1.checks import SET_82
from vardata.gs1.parse import escaped, parse


def test_the_check_character() -> None:
    # Start C, FNC1 and 0195012345678903 leave 31 (ISO/IEC 15417 arithmetic; zxing draws it).
    assert gs1_128_values("0195012345678903") == [
        105, 102, 1, 95, 1, 23, 45, 67, 89, 3, 31,
    ]  # fmt: skip


SERIAL = st.one_of(
    st.text(st.sampled_from(SET_82), min_size=1, max_size=12),
    st.text(st.sampled_from("0123456789A"), min_size=1, max_size=12),
)


@settings(max_examples=150, deadline=None)
@given(SERIAL, SERIAL)
def test_read_and_never_longer_than_the_writer_of_zxing(batch: str, serial: str) -> None:
    text = f"(01)09521234543213(10){escaped(batch)}(21){escaped(serial)}"
    symbol = encode(text, field("code128", gs1="element"))
    read = plain(symbol, "code128")
    assert (read.text, read.symbology_identifier) == (parse(text).data, "]C1")
    theirs = zxingcpp.create_barcode(
        parse(text).bracketed, zxingcpp.BarcodeFormat.Code128, gs1=True
    )
    assert symbol.columns <= theirs.to_image(scale=1, add_quiet_zones=False).shape[1]


def test_48_characters_at_most() -> None:
    # GS1 General Specifications, 5.4.4.3 (secondary): identifiers and separators count.
    fits = "(01)09521234543213(10)" + "A" * 20 + "(21)" + "7" * 7
    symbol = encode(fits, field("code128", gs1="element"))
    assert len(symbol.text) == 48
    with pytest.raises(CodeError) as caught:
        encode(fits + "7", field("code128", gs1="element"))
    assert str(caught.value) == (
        "GS1-128 holds 48 characters at most, identifiers and separators included; "
        "this message has 49; shorten it, or use a Data Matrix or QR code"
    )
