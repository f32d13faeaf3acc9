"""Numbers, names, strings and dates, read back by pikepdf (that is, by qpdf's parser)."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vardata.output.pdf.syntax import (
    FINE,
    THOUSANDTHS,
    Decimals,
    date_string,
    literal,
    name,
    number,
    text_string,
)  # fmt: skip


@given(st.integers(-(10**9), 10**9), st.integers(0, 7))
def test_counts_are_written_exactly_and_as_short_as_they_go(count, digits):
    written = Decimals(digits)[count].decode()
    assert Decimal(written) == Decimal(count).scaleb(-digits)
    assert "e" not in written and written not in ("-0", "")
    if "." in written:
        assert not written.endswith("0") and not written.lstrip("-").startswith("0")


@given(st.floats(-1e6, 1e6))
def test_numbers_are_within_half_a_step(value):
    assert abs(float(number(value, 4)) - value) <= 0.5e-4 * (1 + 1e-6) + 1e-10


def test_small_steps_are_what_they_say():
    """1/1000 pt is 0.35 um; 10^-5 pt is 3.5 nm."""
    assert THOUSANDTHS[12_345] == b"12.345"
    assert FINE[-1_200_000] == b"-12"
    assert FINE[1] == b".00001"


@given(st.binary(max_size=200))
def test_strings_come_back_byte_for_byte(data):
    assert bytes(pikepdf.Object.parse(literal(data))) == data


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=60))
def test_texts_come_back(text):
    assert str(pikepdf.Object.parse(text_string(text))) == text


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), min_size=1,
               max_size=30))  # fmt: skip
def test_names_come_back(text):
    parsed = pikepdf.Object.parse(name(text))
    assert parsed == pikepdf.Name("/" + text)


@pytest.mark.parametrize(
    ("at", "written"),
    [(datetime(2025, 1, 2, 3, 4, 5), b"(D:20250102030405)"),
     (datetime(2025, 1, 2, 3, 4, 5, tzinfo=UTC), b"(D:20250102030405+00'00')"),
     (datetime(2025, 1, 2, tzinfo=timezone(timedelta(hours=-3, minutes=-30))),
      b"(D:20250102000000-03'30')")],
)  # fmt: skip
def test_dates_carry_their_offset(at, written):
    """ISO 32000-1, 7.9.4."""
    assert date_string(at) == written
    decoded = pikepdf.models.metadata.decode_pdf_date(written[1:-1].decode())
    assert decoded.replace(tzinfo=at.tzinfo) == at
