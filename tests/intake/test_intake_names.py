"""Names of people from many countries pass through intake without a letter being changed."""

from __future__ import annotations

import csv
import unicodedata
from pathlib import Path

import pytest
from faker import Faker
from faker.config import AVAILABLE_LOCALES
from intake_office import convert
from intake_setups import book, make_setup, opened

from vardata.intake import open_intake
from vardata.intake.record import Record
from vardata.problems import Severity

# every second one, for speed; fr_QC is the old name of fr_CA
COUNTRIES = sorted(set(AVAILABLE_LOCALES) - {"fr_QC"})[::2]


@pytest.fixture(scope="module")
def names() -> list[str]:
    """Names as faker gives them but for double blanks, which intake is right to take out."""
    out = []
    for country in COUNTRIES:
        faker = Faker(country)
        faker.seed_instance(11)
        out += [" ".join(faker.name().split()) for _ in range(12)]
    return out


def test_enough_countries() -> None:
    assert len(COUNTRIES) >= 40


def _through(path: Path) -> list[str]:
    intake = opened(path, "name")
    return [row.values[0] for row in intake if isinstance(row, Record)]


def test_names_pass_through_csv(tmp_path: Path, names: list[str]) -> None:
    path = tmp_path / "names.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([["Name"], *([name] for name in names)])
    assert _through(path) == [unicodedata.normalize("NFC", name) for name in names]


def test_names_pass_through_a_workbook(tmp_path: Path, names: list[str]) -> None:
    path = book(tmp_path, [["Name"], *([name] for name in names)])
    assert _through(path) == [unicodedata.normalize("NFC", name) for name in names]


def test_names_pass_through_a_workbook_of_libreoffice(tmp_path: Path, names: list[str]) -> None:
    # LibreOffice writes shared strings where openpyxl writes them into the cells.
    convert(book(tmp_path, [["Name"], *([name] for name in names)]), "xlsx", tmp_path)
    path = tmp_path / "out" / "sheet.xlsx"
    assert _through(path) == [unicodedata.normalize("NFC", name) for name in names]


def test_decomposed_names_become_composed(tmp_path: Path) -> None:
    # UAX 15: one letter, two spellings; fonts and codes want the composed one.
    path = tmp_path / "names.csv"
    path.write_text("Name\nZoe\u0308 Mu\u0308ller\n", encoding="utf-8")
    assert _through(path) == ["Zo\u00eb M\u00fcller"]


def test_checks_leave_names_of_all_these_countries_alone(tmp_path: Path, names: list[str]) -> None:
    """Nothing is held. All that is warned of is a true slip in faker's Bulgarian names, which
    write a Cyrillic surname with a Latin a."""
    path = tmp_path / "names.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([["Name"], *([name] for name in names)])
    intake = open_intake(make_setup(path, sheet={"delimiter": ","}), needed=frozenset(["name"]),
                         thorough=True)  # fmt: skip
    assert all(isinstance(row, Record) for row in intake)
    warned = [note for note in intake.notes if note.severity is Severity.WARNING]
    assert {note.kind for note in warned} <= {"mixed-scripts"}
    assert all("is Cyrillic but for Latin a U+0061" in note.what for note in warned)
