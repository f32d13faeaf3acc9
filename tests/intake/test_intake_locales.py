"""Separators, date orders and names of other locales, against LibreOffice set to each of them."""

from __future__ import annotations

from pathlib import Path

import pytest
from intake_office import shown
from openpyxl.styles.numbers import BUILTIN_FORMATS

from vardata.intake import locales, numfmt

# One serial in the middle of each month of 2021, and the seven days from Sunday, 2021-03-14.
MONTHS = (44211, 44242, 44270, 44301, 44331, 44362, 44392, 44423, 44454, 44484, 44515, 44545)
DAYS = tuple(range(44269, 44276))
# Windows language ids, [MS-LCID] 2.2.
LANGUAGES = {
    "en": "409", "de": "407", "fr": "40C", "es": "C0A", "it": "410", "nl": "413", "pt": "816",
    "pl": "415", "sv": "41D", "da": "406", "nb": "414", "fi": "40B", "cs": "405", "sk": "41B",
    "hu": "40E", "ro": "418", "ru": "419", "uk": "422", "el": "408", "tr": "41F",
}  # fmt: skip
CODES = [
    (language, f"[$-{lcid}]{code}", serial)
    for language, lcid in LANGUAGES.items()
    for code, serials in (
        ("mmmm", MONTHS), ("d. mmmm", MONTHS), ("mmm", MONTHS), ("dddd", DAYS), ("ddd", DAYS),
    )
    for serial in serials
]  # fmt: skip
# Where LibreOffice 7.4 differs from the Unicode CLDR 45, the CLDR is followed.
CLDR = {
    ("pl", "mmm"): "I to XII in LibreOffice",
    ("cs", "mmm"): "I to XII in LibreOffice",
    ("sk", "mmm"): "I to XII in LibreOffice",
    ("sk", "dddd"): "capital letters in LibreOffice",
    ("sk", "ddd"): "capital letters in LibreOffice",
    ("hu", "mmm"): "I. to XII. in LibreOffice",
    ("ro", "mmm"): "without the stop in LibreOffice",
    ("ro", "dddd"): "the old letter t with cedilla in LibreOffice",
    ("ro", "ddd"): "single letters in LibreOffice",
    ("el", "mmmm"): "the genitive even alone in LibreOffice",
}


@pytest.fixture(scope="module")
def names(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, int], str]:
    cells = [(serial, code) for _, code, serial in CODES]
    texts = shown(cells, tmp_path_factory.mktemp("names"))
    return {(code, serial): text for (serial, code), text in zip(cells, texts)}


@pytest.mark.parametrize("language", LANGUAGES)
def test_names_of_months_and_days(language: str, names: dict[tuple[str, int], str]) -> None:
    english = locales.LOCALES["en_US"]
    differing = set()
    for its, code, serial in CODES:
        part = code.partition("]")[2]
        if its == language and numfmt.display(serial, code, english) != names[code, serial]:
            differing.add(part)
    assert differing == {part for its, part in CLDR if its == language}


CELLS = [
    (1234567.891, "#,##0.00"), (-0.5, "0.0"), (1234.5, "General"), (45000.75, "dd/mm/yyyy hh:mm"),
    (44990, BUILTIN_FORMATS[14]), (45000, "dd\\/mm"), (45000, "[$-409]m/d/yy"),
    (45000, "[$-407]d/m/yyyy"), (45000.25, BUILTIN_FORMATS[22]), (0.5, "0.00E+00"),
]  # fmt: skip


@pytest.mark.parametrize("name", ["en_GB", "de_DE", "sv_SE"])
def test_numbers_and_dates_follow_the_locale(
    name: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    locale = locales.LOCALES[name]
    codes = {
        BUILTIN_FORMATS[14]: numfmt.builtin(14, locale),
        BUILTIN_FORMATS[22]: numfmt.builtin(22, locale),
    }
    texts = shown(CELLS, tmp_path_factory.mktemp(name), name.replace("_", "-"))
    assert [numfmt.display(v, codes.get(f, f), locale) for v, f in CELLS] == texts


def test_built_in_times_follow_every_locale(tmp_path: Path) -> None:
    """LibreOffice's word for the hour of formats 20 and 21; whole seconds, since it cuts them."""
    wrong = []
    for name, locale in locales.LOCALES.items():
        cells = [(0.0625, BUILTIN_FORMATS[20]), (0.0625, BUILTIN_FORMATS[21])]
        (tmp_path / name).mkdir()
        theirs = shown(cells, tmp_path / name, name.replace("_", "-"))
        ours = [numfmt.display(0.0625, numfmt.builtin(i, locale), locale) for i in (20, 21)]
        if ours != theirs:
            wrong.append((name, ours, theirs))
    assert wrong == []


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("de", "de_DE"), ("DE-at", "de_AT"), ("en", "en_US"), ("en_GB", "en_GB"), ("no", "nb_NO"),
        ("pt", "pt_PT"), ("nb-NO", "nb_NO"), ("de_XX", None), ("xx", None), ("", None),
    ],
)  # fmt: skip
def test_locale_ids(written: str, found: str | None) -> None:
    locale = locales.find(written)
    assert (locale.id if locale else None) == found
