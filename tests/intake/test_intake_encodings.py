"""Text files in many encodings: read without a fault, or refused in one clear line."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from faker import Faker
from intake_setups import opened, written

from vardata.intake.record import Record
from vardata.problems import SheetError

TEXT = "Name;City\nZoë Müller;Łódź\nÅsa Öberg;København\n"
WESTERN = "Name;City\nZoë Müller;Köln\nÅsa Öberg;København\n"


def values(path: Path, **job: object) -> list[tuple[str, ...]]:
    rows = list(opened(path, "name city", **job))
    return [row.values for row in rows if isinstance(row, Record)]


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le+bom", "utf-16-be+bom", "utf-32"]
)
def test_unicode_is_known_by_its_mark_or_by_trial(tmp_path: Path, encoding: str) -> None:
    name, _, mark = encoding.partition("+")
    data = ("\ufeff" if mark else "").encode(name) + TEXT.encode(name)
    path = written(tmp_path, data)
    assert values(path) == [("Zoë Müller", "Łódź"), ("Åsa Öberg", "København")]
    assert opened(path).notes == []


@pytest.mark.parametrize("encoding", ["cp1252", "latin-1", "mac_roman", "utf-16-le", "utf-8"])
def test_the_jobs_word_is_taken(tmp_path: Path, encoding: str) -> None:
    path = written(tmp_path, WESTERN.encode(encoding))
    expected = [("Zoë Müller", "Köln"), ("Åsa Öberg", "København")]
    assert values(path, sheet={"encoding": encoding}) == expected


# faker's names of a country, in the code page its spreadsheet programs used before Unicode
@pytest.mark.parametrize(
    ("country", "encoding"),
    [
        ("de_DE", "cp1252"), ("fr_FR", "cp1252"), ("es_ES", "cp1252"), ("sv_SE", "cp1252"),
        ("da_DK", "cp1252"), ("it_IT", "cp1252"), ("pt_PT", "cp1252"), ("fi_FI", "cp1252"),
        ("pl_PL", "cp1250"), ("cs_CZ", "cp1250"), ("hu_HU", "cp1250"), ("ru_RU", "cp1251"),
        ("uk_UA", "cp1251"), ("el_GR", "cp1253"), ("tr_TR", "cp1254"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("count", [5, 200])
def test_a_guess_reads_the_countrys_own_code_page(
    tmp_path: Path, country: str, encoding: str, count: int
) -> None:
    faker = Faker(country)
    faker.seed_instance(7)
    names = []
    while len(names) < count:
        name = unicodedata.normalize("NFC", faker.name())
        try:
            if not name.isascii() and name.encode(encoding):
                names.append(name)
        except UnicodeEncodeError:
            continue
    path = written(tmp_path, "\n".join(["Name", *names]).encode(encoding))
    intake = opened(path, "name", locale=country.replace("_", "-"))
    assert [row.values[0] for row in intake if isinstance(row, Record)] == names
    # A made-up person may be called Szabó Szabó: said, and left alone.
    kinds = {note.kind for note in intake.notes}
    assert kinds - {"doubled-word"} == {"guessed-encoding"}


def test_a_guess_is_a_warning_that_shows_what_was_read(tmp_path: Path) -> None:
    path = written(tmp_path, WESTERN.encode("cp1252"))
    assert [f"{note.severity}: {note}" for note in opened(path).notes] == [
        "warning: sheet.csv: the file is not UTF-8; it is read as cp1252, which is a guess and "
        "shows 'Zoë', 'Müller', 'Köln', 'Åsa', 'Öberg'; name the encoding under [sheet], such as "
        'encoding = "cp1250", if letters are wrong'
    ]


def line(path: Path, **job: object) -> str:
    with pytest.raises(SheetError) as caught:
        opened(path, **job)
    assert caught.value.exit_code == 5
    return str(caught.value)


ADVICE = '; name the encoding under [sheet], such as encoding = "cp1252", or save it as UTF-8'


def test_a_wrong_encoding_names_the_line(tmp_path: Path) -> None:
    late = b"Name\n" + b"Ann\n" * 300_000 + "Zoë\n".encode("cp1252")
    path = written(tmp_path, late)
    assert line(path, sheet={"encoding": "utf-8"}) == (
        "sheet.csv:300002: this line is not utf-8, which the job says it is (first at byte 0xEB)"
        + ADVICE
    )
    path = written(tmp_path, b"\xef\xbb\xbfName\nZo\xeb\n")
    assert line(path) == (
        "sheet.csv:2: this line is marked as UTF-8 but is not (first at byte 0xEB)" + ADVICE
    )
    path = written(tmp_path, b"Name\nAnn\n\x81\n")
    assert line(path, sheet={"encoding": "cp1252"}) == (
        "sheet.csv:3: this line is not cp1252, which the job says it is (first at byte 0x81)"
        + ADVICE
    )


def test_a_letter_cut_in_two_at_the_end_is_found(tmp_path: Path) -> None:
    path = written(tmp_path, "Name\nZoë".encode()[:-1])
    assert "sheet.csv:2" in line(path, sheet={"encoding": "utf-8"})


def test_utf16_without_its_mark_is_refused(tmp_path: Path) -> None:
    path = written(tmp_path, WESTERN.encode("utf-16-le"))
    assert line(path) == (
        "sheet.csv: every other byte is 0, as in UTF-16, but the mark at the start is missing; "
        'name the encoding under [sheet], such as encoding = "utf-16-le", or save it as UTF-8'
    )


def test_a_mark_is_no_letter_and_no_lie(tmp_path: Path) -> None:
    path = written(tmp_path, ("\ufeff" + WESTERN).encode("utf-16-le"))
    assert opened(path, sheet={"encoding": "utf-16-le"}).names == ("name", "city")
    path = written(tmp_path, WESTERN.encode("utf-8-sig"))
    assert opened(path, sheet={"encoding": "utf-8"}).names == ("name", "city")
    assert line(path, sheet={"encoding": "cp1252"}) == (
        "sheet.csv: the file is marked as UTF-8, but the job says cp1252; take encoding out of "
        "[sheet]"
    )


def test_a_sheet_of_a_dos_program_is_read_as_such(tmp_path: Path) -> None:
    """What cp850 has for ö and ß (Python's own codec) is ” and á on the page of Windows."""
    path = written(tmp_path, "Name;Qty\nJörg Größe;1\nÄnne Müller;1\n".encode("cp850"))
    for locale in ("de", "pl", "en_GB"):
        intake = opened(path, locale=locale)
        names = [row.values[0] for row in intake if isinstance(row, Record)]
        assert names == ["Jörg Größe", "Änne Müller"]
        first = next(str(note) for note in intake.notes if note.kind == "guessed-encoding")
        assert first.startswith(
            "sheet.csv: the file is not UTF-8; it is read as cp850, which is a guess and shows "
            "'Jörg', 'Größe', 'Änne', 'Müller'; name the encoding under [sheet]"
        )


def test_a_sheet_that_reads_well_in_several_ways_is_refused(tmp_path: Path) -> None:
    path = written(tmp_path, "Name;Qty\nJörg;1\n".encode("cp850"))
    assert line(path, locale="de") == (
        "sheet.csv: the file is not UTF-8, and may be cp850 (Jörg) or mac_roman (Jîrg); name the "
        'encoding under [sheet], such as encoding = "cp850", or save it as UTF-8'
    )


@pytest.mark.parametrize("text", [
    "Zoë O’Brien", "Anna–Lena Öz", "“Köln”", "Größe 5 × 3", "Ünal ©", "Čapek „Šíp“", "5 £ für Zoë",
])  # fmt: skip
def test_signs_around_words_are_no_rubbish(text: str) -> None:
    from vardata.intake.readings import is_rubbish

    assert not is_rubbish(text)
