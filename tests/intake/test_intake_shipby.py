"""Days to ship by, as sheets show them: dateutil judges what is no question of order."""

from __future__ import annotations

from datetime import date

import pytest
from dateutil import parser
from hypothesis import given
from hypothesis import strategies as st

from vardata.intake.locales import LOCALES
from vardata.intake.shipby import parse_day, shown

DAYS = st.dates(date(2000, 1, 1), date(2060, 12, 31))  # where both take "60" for 2060


@given(DAYS)
def test_what_another_reader_takes_for_a_date_is_that_date(day: date) -> None:
    for locale, form, first in [
        ("en_GB", "%d/%m/%Y", True), ("en_US", "%m/%d/%Y", False), ("de_DE", "%d.%m.%y", True),
        ("fr_CA", "%Y-%m-%d", False), ("en_GB", "%d %B %Y", True), ("en_US", "%b %d, %Y", False),
        ("en_GB", "%d/%m/%Y 14:30", True),
    ]:  # fmt: skip
        text = day.strftime(form)
        assert parser.parse(text, dayfirst=first).date() == day
        assert parse_day(text, LOCALES[locale]) == day


@given(DAYS, st.sampled_from(sorted(LOCALES)))
def test_year_first_is_read_alike_everywhere(day: date, locale: str) -> None:
    assert parse_day(day.isoformat(), LOCALES[locale]) == day


@pytest.mark.parametrize("text", [
    "", "soon", "31/02/2026", "2026", "12/2026", "1/2/3/4", "14 Foo 2026", "2026-13-01", "99/99/99",
    "1.5", "24/12/026",
])  # fmt: skip
def test_what_is_no_date_is_none(text: str) -> None:
    assert parse_day(text, LOCALES["en_GB"]) is None


@pytest.mark.parametrize(("text", "locale", "day"), [
    ("3/4/2026", "de_DE", None), ("03/04/26", "de_DE", None), ("3.4.2026", "en_US", None),
    ("03/04/26", "sv_SE", None), ("3/4/2026 14:30", "de_DE", None), ("12/13/2026", "de_DE", None),
    ("13/12/2026", "de_DE", date(2026, 12, 13)), ("4/4/2026", "de_DE", date(2026, 4, 4)),
    ("3/4/2026", "en_GB", date(2026, 4, 3)), ("3/4/2026", "en_US", date(2026, 3, 4)),
    ("3.4.2026", "fr_FR", date(2026, 4, 3)), ("2026/4/3", "de_DE", date(2026, 4, 3)),
])  # fmt: skip
def test_a_date_that_two_countries_read_in_two_ways_is_not_taken(
    text: str, locale: str, day: date | None
) -> None:
    assert parse_day(text, LOCALES[locale]) == day


def test_the_example_is_in_the_order_of_the_locale() -> None:
    assert [shown(LOCALES[name]) for name in ("en_GB", "en_US", "de_DE", "en_CA")] == [
        "24/12/2026", "12/24/2026", "24.12.2026", "2026-12-24"
    ]  # fmt: skip
    for locale in LOCALES.values():
        assert parse_day(shown(locale), locale) == date(2026, 12, 24)
