"""Checks that save ink: what each of them says, word for word, and what it leaves alone.

What is odd in a text is common practice, no source, but for calendars (datetime), Unicode's
scripts and the 15 digits of spreadsheet programs (Microsoft KB 269370).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from intake_setups import make_setup, opened, outcome, written

from vardata.intake import open_intake
from vardata.intake.checks.phrases import Phrase
from vardata.intake.record import HeldRow, Record
from vardata.problems import VardataError

HEAD = "Order,Name,Qty\n"
JOB: dict[str, Any] = {"records": {"order": "Order", "quantity": "Qty"}}
NAME = "sheet 'sheet', row 2, column 'Name': "

# The text of a cell -> the one line that is said of it, after the place.
TEXTS = {
    "ANNIKA BERG": "note: {}the text 'ANNIKA BERG' is all in capitals; write it in small letters "
    "if that is meant",
    "Annika Berg,": "warning: {}the text 'Annika Berg,' ends with ,; take the mark out",
    "* Annika": "warning: {}the text '* Annika' begins with *; take the mark out",
    "Run for for Fun": "note: {}the text 'Run for for Fun' has the word 'for' twice in a row; take "
    "one out if it slipped in",
    "Annika, please make it blue": "warning: {}the text 'Annika, please make it blue' looks like a "
    "word to the shop ('please'); do what it asks and take it out, or set the check off for this "
    "column",
    "Annika (bitte ohne Logo)": "warning: {}the text 'Annika (bitte ohne Logo)' looks like a word "
    "to the shop ('bitte'); do what it asks and take it out, or set the check off for this column",
    "ditto": "held sheet!2: {}'ditto' refers to another row, which is not guessed; write the text "
    "itself in every row",
    "TEST": "held sheet!2: {}'TEST' stands for no text of its own; write what is to be printed, or "
    "leave the cell empty",
    "n/a": "held sheet!2: {}'n/a' stands for no text of its own; write what is to be printed, or "
    "leave the cell empty",
    "name": "held sheet!2: {}'name' is the column's own heading; write what is to be printed, or "
    "leave the cell empty",
    "Finisher 31.02.2026": "held sheet!2: {}'31.02.2026' is no date that any calendar has; write "
    "the date that is meant",
    "2025-02-29": "held sheet!2: {}'2025-02-29' is no date that any calendar has; write the date "
    "that is meant",
    "1.23E+12": "held sheet!2: {}'1.23E+12' is a long number as a spreadsheet shortens it: its "
    "digits are lost; format the column as text and write the codes again",
    "106141411234567000": "warning: {}'106141411234567000' has 18 digits and only zeros after the "
    "15th, as where a spreadsheet lost the last ones; compare it with where it came from",
    "Аnnika": "warning: {}the word 'Аnnika' is Latin but for Cyrillic А U+0410, which looks alike; "
    "write it again in one script",
    "Annika \N{PARTY POPPER}": "warning: {}the text 'Annika \N{PARTY POPPER}' holds "
    "\N{PARTY POPPER} U+1F389, which no font of the layout has; take it out, or add a font that "
    "has it",
    "AntonÃ\xadn DvoÅ™Ã¡k": "warning: {}the text 'AntonÃ\\xadn DvoÅ™Ã¡k' looks as if it was read "
    "in a wrong encoding before: it may mean 'Antonín Dvořák'; mend the sheet if the letters are "
    "wrong",
    **{
        text: f"warning: {{}}the text '{text}' has {sign} written out, where a {meant} is meant; "
        f"write a {meant + ' or a ' if meant != 'tab' else ''}space in its place"
        for text, sign, meant in (
            (r"Anna\nBerg", r"\n", "line break"), (r"one\r\ntwo\nthree", r"\r\n", "line break"),
            (r"Anna\tBerg", r"\t", "tab"), ("Anna_x000D_", "_x000D_", "line break"),
            ("A_x000D__x000A_B", "_x000D__x000A_", "line break"),
            ("Anna_x0009_Berg", "_x0009_", "tab"), (r"Berg\r", r"\r", "line break"),
        )
    },
    r"Ren\u00e9": r"warning: {}the text 'Ren\u00e9' has \u00e9 written out, where é is meant; "
    "write é itself",
    "Ren_x00E9_": "warning: {}the text 'Ren_x00E9_' has _x00E9_ written out, where é is meant; "
    "write é itself",
    **{
        text: f"held sheet!2: {{}}the text '{text}' has question marks where letters were lost in "
        "an earlier conversion; write the text again"
        for text in ("???? ?????", "?????", "M??ller", "M?ller", "Ann ???")
    },
    **{
        text: f"held sheet!2: {{}}'{place}' is a place that was never filled; write what is to be "
        "printed, or leave the cell empty"
        for text, place in {
            "{{guest}}": "{{{{guest}}}}", "Dear {{ guest }}": "{{{{ guest }}}}",
            "[Name]": "[Name]", "<name>": "<name>", "<<Name>>": "<<Name>>", "(NAME)": "(NAME)",
            "[Insert name]": "[Insert name]", "{first_name}": "{{first_name}}",
        }.items()
    },
    **{
        text: f"held sheet!2: {{}}'{text}' refers to another row, which is not guessed; write the "
        "text itself in every row"
        for text in ("(as above)", "same", "(Same)", "[ditto]", "Same again")
    },
    **{
        text: f"warning: {{}}the text '{text}' is written as HTML: it may mean '{meant}'; mend the "
        "sheet if that is meant"
        for text, meant in {
            "Ann<br>Bo": "Ann\\nBo", "Ann<br />Bo": "Ann\\nBo", "Ren&eacute;": "René",
            "Tom &amp; Anna": "Tom & Anna", "<b>Ann</b>": "Ann", "O&#39;Neil": "O'Neil",
        }.items()
    },
    "3x Annika": "held sheet!2: {}the text '3x Annika' itself asks for 3 pieces; write the number "
    "of pieces as the quantity alone",
    "Annika (2x)": "held sheet!2: {}the text 'Annika (2x)' itself asks for 2 pieces; write the "
    "number of pieces as the quantity alone",
}


def said(path: Path, needed: str = "name", **job: Any) -> list[str]:
    """All lines but those of records that pass."""
    lines = outcome(opened(path, needed, **{**JOB, **job}))
    return [line for line in lines if not line.startswith("sheet!")]


@pytest.mark.parametrize("text", TEXTS)
def test_what_is_said_of_one_text(text: str, tmp_path: Path) -> None:
    path = written(tmp_path, f'{HEAD}A1,"{text}",1\n')
    assert said(path) == [TEXTS[text].format(NAME)]


@pytest.mark.parametrize("text", [
    "Annika Berg", "U14", "XL", "NASA", "+49 30 1234567", "'s-Gravenhage", "Jr.", "Tom & Anna",
    "29.02.2024", "12/31/2026", "31/12/2026", "2026-10-31", "v1.2.3000", "192.168.1.2000",
    "(Annika)", "\"Annie\"", "#7", "5\" disc", "Ярослава Вишневская", "東京タワー", "Λεωνίδας",
    "Zoë Ångström", "ÃO", "Şükrü Çağ", "Testarossa", "Nathan Null", "Berg (7)", "10:30", "4x4",
    "Plea Seward", "1234567890123456", "1E5", "New Yorker York", "São João", "Âge d'Or",
    "Same", "Really?", "Who, me??", "Tom & Anna; Bo", "I <3 you", "[Anna]", "R&D", "Samel",
    "a.example/?q=ab", "www.a.example?q=ab", "<3", "(Anna)", "What?No", "{7}",
    r"photos\new\team.png", r"C:\new\tags", r"A\B", "part_x200", "a_x00_b",
])  # fmt: skip
def test_good_texts_are_left_alone(text: str, tmp_path: Path) -> None:
    cell = text.replace('"', '""')
    assert said(written(tmp_path, f'{HEAD}A1,"{cell}",1\n')) == []


LEVELS = {
    "off": [],
    "note": ["note: " + NAME + "the text 'Anna,' ends with ,, and 1 more (row 3); "
             "take the mark out"],
    "warning": ["warning: " + NAME + "the text 'Anna,' ends with ,, and 1 more (row 3); take the "
                "mark out"],
    "hold": [
        f"held sheet!2: {NAME}the text 'Anna,' ends with ,; take the mark out",
        f"held sheet!3: {NAME.replace('2', '3')}the text 'Bo,' ends with ,; take the mark out",
    ],
}


@pytest.mark.parametrize("level", LEVELS)
def test_the_job_says_how_much_is_made_of_a_finding(level: str, tmp_path: Path) -> None:
    path = written(tmp_path, f'{HEAD}A1,"Anna,",1\nA2,"Bo,",1\n')
    assert said(path, checks={"edge_marks": level}) == LEVELS[level]
    by_column = {"edge_marks": "note", "columns": {"NAME": {"edge_marks": level}}}
    assert said(path, checks=by_column) == LEVELS[level]


def test_a_check_of_a_column_that_is_not_there_is_refused(tmp_path: Path) -> None:
    path = written(tmp_path, f"{HEAD}A1,Ann,1\n")
    with pytest.raises(VardataError) as caught:
        opened(path, "name", **JOB, checks={"columns": {"Nmae": {"emoji": "off"}}})
    assert str(caught.value) == (
        "job.toml, checks.columns.Nmae: the order sheet has no column 'Nmae'; did you mean 'Name'? "
        "the columns are 'Order', 'Name', 'Qty'"
    )


def test_words_to_the_shop_are_read_where_nothing_else_reads(tmp_path: Path) -> None:
    path = written(tmp_path, "Name,Remarks\nAnn,Please in silver!\nBo,ok\n")
    assert outcome(opened(path, "name"))[2:] == [
        "warning: sheet 'sheet', row 2, column 'Remarks': the text 'Please in silver!' looks like "
        "a word to the shop ('please'); do what it asks and take it out, or set the check off for "
        "this column"
    ]


def test_the_shops_own_words_are_known(tmp_path: Path) -> None:
    path = written(tmp_path, f"{HEAD}A1,Your Engraving,1\nA2,Anna as on the mug,1\n")
    words = {"placeholder_words": ("your engraving",), "instruction_words": ("as on the mug",)}
    assert said(path, checks=words) == [
        f"held sheet!2: {NAME}'Your Engraving' stands for no text of its own; write what is to be "
        "printed, or leave the cell empty",
        f"warning: {NAME.replace('2', '3')}the text 'Anna as on the mug' looks like a word to the "
        "shop ('as on the mug'); do what it asks and take it out, or set the check off for this "
        "column",
    ]


def test_three_names_in_one_cell_are_not_three_pieces_of_one_name(tmp_path: Path) -> None:
    path = written(tmp_path, f'{HEAD}A1,"Ann, Bo and Cy",3\nA2,Tom & Anna,2\nA3,Ann / Bo,3\n')
    assert said(path) == [
        f"held sheet!2: {NAME}the quantity is 3 and the cell holds 3 texts, 'Ann, Bo and Cy': each "
        "would be printed 3 times; write a row for each text"
    ]


def test_near_duplicates_are_looked_for_within_an_order(tmp_path: Path) -> None:
    rows = "A1,John Smith,1\nA1,Jon Smith,1\nA2,John Smyth,1\nA1,Team 11,1\nA1,Team 12,1\n"
    assert said(written(tmp_path, HEAD + rows)) == [
        "warning: sheet 'sheet', row 3, column 'Name': 'Jon Smith' is nearly 'John Smith' in row 2 "
        "of the same order; see which of the two is meant"
    ]


@pytest.mark.parametrize(("one", "two", "near"), [
    ("Smith", "Smiht", True), ("Smith", "Smyth", True), ("Smith", "Smit", True),
    ("Smith", "Smith", False), ("Smith", "Smithers", False), ("Berg 1", "Berg 2", False),
    ("Berg", "Berg7", False), ("Smith", "smith", False), ("Mia Berg", "Pia Berg", False),
    ("abcd", "badc", False),
])  # fmt: skip
def test_one_edit_apart(one: str, two: str, near: bool) -> None:
    from vardata.intake.checks.order import one_apart

    assert one_apart(one, two) is near
    assert one_apart(two, one) is near


def test_codes_are_not_judged_by_style_but_by_what_a_spreadsheet_did(tmp_path: Path) -> None:
    path = written(tmp_path, "Tag\nABCDEF-\nMAR-05\n3-Sep\n")
    assert outcome(opened(path, "tag", "tag")) == [
        "sheet!2#1 / ABCDEF-",
        "held sheet!3: sheet 'sheet', row 3, column 'Tag': 'MAR-05' looks like a code that a "
        "spreadsheet took for a date; format the column as text and write the codes again",
        "held sheet!4: sheet 'sheet', row 4, column 'Tag': '3-Sep' looks like a code that a "
        "spreadsheet took for a date; format the column as text and write the codes again",
    ]


BOTH = (
    HEAD + "A1,ANNIKA BERG,1\nA2,José GarcÃ\xada,1\nA3,\"Ann, Bert, Cleo\",3\nA4,Jon Berg,1\n"
    "A4,John Berg,1\nA5,3-Sep,1\nA6,Ann\N{ZERO WIDTH SPACE}a,1\nA7,Bo\x07,1\n"
).replace("José", "JosÃ©")
_AT = "sheet 'sheet', row {}, column 'Name': "
AS_TEXTS = [
    "held sheet!4: " + _AT.format(4) + "the quantity is 3 and the cell holds 3 texts, 'Ann, Bert, "
    "Cleo': each would be printed 3 times; write a row for each text",
    "held sheet!9: " + _AT.format(9) + "the text holds the control character U+0007, which cannot "
    "be printed; take it out, or write the text again",
    "note: " + _AT.format(2) + "the text 'ANNIKA BERG' is all in capitals; write it in small "
    "letters if that is meant",
    "warning: " + _AT.format(3) + "the text 'JosÃ© GarcÃ\\xada' looks as if it was read in a wrong "
    "encoding before: it may mean 'José García'; mend the sheet if the letters are wrong",
    "warning: " + _AT.format(6) + "'John Berg' is nearly 'Jon Berg' in row 5 of the same order; "
    "see which of the two is meant",
    "warning: " + _AT.format(8) + "the text 'Ann\\u200ba' holds characters that cannot be seen; "
    "they are kept; take them out of the sheet if they should not be there",
]
AS_CODE = "held sheet!7: " + _AT.format(7) + (
    "'3-Sep' looks like a code that a spreadsheet took for a date; format the column as text and "
    "write the codes again"
)


def _of_both(tmp_path: Path, texts: str, **job: Any) -> list[str]:
    path = written(tmp_path, BOTH)
    return sorted(
        line for line in outcome(opened(path, "name", "name", texts, **JOB, **job))
        if not line.startswith("sheet!")
    )  # fmt: skip


def test_a_column_that_a_text_and_a_code_share_has_the_checks_of_both(tmp_path: Path) -> None:
    assert _of_both(tmp_path, "name") == sorted([*AS_TEXTS, AS_CODE])
    assert _of_both(tmp_path, "") == [AS_CODE]  # nobody reads it


def test_a_level_that_the_job_sets_for_a_column_of_codes_counts(tmp_path: Path) -> None:
    kinds = ("garbled", "unseen_characters", "all_capitals", "near_duplicate", "miscount",
             "control_character")  # fmt: skip
    levels = dict.fromkeys(kinds, "warning") | {"all_capitals": "note"}
    levels |= {"miscount": "hold", "control_character": "hold"}
    found = _of_both(tmp_path, "", checks={"columns": {"Name": levels}})
    assert found == sorted([*AS_TEXTS, AS_CODE])


def test_the_text_of_a_shared_column_is_not_touched(tmp_path: Path) -> None:
    intake = opened(written(tmp_path, "Name\n Ann  Lee \n"), "name", "name", "name")
    assert [row.values for row in intake if isinstance(row, Record)] == [(" Ann  Lee ",)]


@pytest.mark.parametrize(("text", "locale", "shown"), [
    ("3/4/2026", "de_DE", "24.12.2026"), ("Ann 12/13/2026", "de_DE", "24.12.2026"),
    ("13/12/2026", "de_DE", "24.12.2026"), ("12/13/2026", "en_GB", "24/12/2026"),
    ("13/12/2026", "en_US", "12/24/2026"), ("3.4.2026", "en_US", "12/24/2026"),
])  # fmt: skip
def test_a_date_of_another_country_is_not_taken_silently(
    text: str, locale: str, shown: str, tmp_path: Path
) -> None:
    path = written(tmp_path, f"{HEAD}A1,{text},1\n")
    date = text.removeprefix("Ann ")
    assert said(path, locale=locale) == [
        f"warning: {NAME}the date '{date}' is not as the job's locale writes dates ({shown}): day "
        "and month may be swapped; write the date as the others are, or mend the job's locale"
    ]
    assert said(path, locale=locale, checks={"regional_date": "off"}) == []
    assert said(path) == []  # no locale is stated


@pytest.mark.parametrize(("text", "locale"), [
    ("3.4.2026", "de_DE"), ("3/4/2026", "en_GB"), ("3/4/2026", "en_US"), ("2026-04-03", "de_DE"),
    ("4/4/2026", "de_DE"), ("3/4", "de_DE"), ("3-4-2026", "de_DE"), ("1/2/4000", "de_DE"),
])  # fmt: skip
def test_dates_of_the_jobs_own_country_are_left_alone(
    text: str, locale: str, tmp_path: Path
) -> None:
    assert said(written(tmp_path, f"{HEAD}A1,{text},1\n"), locale=locale) == []


# ---------------------------------------------------------------- half phrases

SEAT = Phrase("seat", "Table {{ table }}", ("table",), True)
BOTH_NAMES = Phrase("guest", "{{ first }} {{ last }}", ("first", "last"), False)
HALF = "sheet 'sheet', row {}, column '{}': the cell is empty, so field {} prints {} without it"
FILL = "; fill the cell, or write what goes with it between {{% if {0} %}} and {{% endif %}}"


def _halves(tmp_path: Path, **checks: Any) -> list[str]:
    path = written(tmp_path, "First,Last,Table\nAnn,Lee,7\nBo,,\n,,8\nCy,Orr,\n")
    phrases = (SEAT, BOTH_NAMES)
    intake = opened(path, "first last table", "", "", phrases, checks=checks)
    return [line for line in outcome(intake) if "the cell is empty" in line]


def test_a_phrase_that_an_empty_cell_leaves_half_is_warned_of(tmp_path: Path) -> None:
    table = HALF.format(3, "Table", "'seat'", "'Table {{ table }}'")
    last = HALF.format(3, "Last", "'guest'", "'{{ first }} {{ last }}'")
    assert _halves(tmp_path) == [
        f"warning: {table}, and 1 more (row 5)" + FILL.format("table"),
        f"warning: {last}" + FILL.format("last"),
    ]
    assert _halves(tmp_path, half_phrase="off") == []
    columns = {"Last": {"half_phrase": "hold"}}
    assert _halves(tmp_path, half_phrase="off", columns=columns) == [
        f"held sheet!3: {last}" + FILL.format("last")
    ]


# ---------------------------------------------------------------- whole columns

PLAIN = [
    "Runn" + "er" * (n % 5) + f" {chr(65 + n % 26)}{chr(97 + n * 7 % 26)}berg" for n in range(40)
]


def thorough(path: Path, needed: str, **job: Any) -> list[str]:
    """The notes of a check: all that can be told of whole columns, without the census."""
    setup = make_setup(path, **job)
    intake = open_intake(setup, frozenset(), frozenset(needed.split()), thorough=True)
    held = [str(p) for row in intake if isinstance(row, HeldRow) for p in row.problems]
    return held + [f"{note.severity}: {note}" for note in intake.notes if note.kind != "census"]


WHERE = "sheet 'sheet', row {}, column '{}': "
COLUMNS = {
    "long": (["Name", *PLAIN, "x" * 80],
        "warning: " + WHERE.format(42, "Name") + "'" + "x" * 59 + "…' is unusually long for its "
        "column (80 characters); see whether it is complete and in the right column"),
    "short": (["Name", *PLAIN, "Q"],
        "warning: " + WHERE.format(42, "Name") + "'Q' is unusually short for its column (1 "
        "character); see whether it is complete and in the right column"),
    "fixed": (["No", *[f"{n:05}A" for n in range(40)], "12345678A"],
        "warning: " + WHERE.format(42, "No") + "'12345678A' has 9 characters, where almost all "
        "have 6; see whether it is complete and in the right column"),
    "changed": (["No", *map(str, range(110, 130)), "Ann", "Bo", "Cy"],
        "warning: " + WHERE.format(22, "No") + "the values change from numbers to texts in row 22, "
        "here 'Ann', and 2 more (rows 23, 24); see whether a column has slipped there"),
    "zeros": (["No", *[f"{n:05}" for n in range(0, 30000, 1500)], "742"],
        "warning: " + WHERE.format(22, "No") + "the number '742' is shorter than the others, which "
        "have 5 digits and begin with 0; write '00742' if its zeros were lost"),
    "twin": (["Team", *["U14 Lions"] * 19, "U14 Lion", *["U16 Lions"] * 3],
        "warning: " + WHERE.format(21, "Team") + "'U14 Lion' is rare here, and nearly 'U14 Lions', "
        "which is common; write 'U14 Lions' if that is meant"),
    "dated": (["Tag", *[f"{n}-{n % 7}X" for n in range(100, 140)], "12/05/2026"],
        "hold: " + WHERE.format(42, "Tag") + "'12/05/2026' is not like the rest of its column, as "
        "where a spreadsheet took a code for a date or a number; format the column as text and "
        "write the value again"),
}  # fmt: skip


@pytest.mark.parametrize("name", COLUMNS)
def test_what_is_said_of_a_column(name: str, tmp_path: Path) -> None:
    cells, line = COLUMNS[name]
    path = written(tmp_path, "\n".join(cells) + "\n")
    expected = line.removeprefix("hold: ")
    lines = thorough(path, cells[0].lower(), checks={"doubled_word": "off"})
    assert expected in lines
    assert len(lines) == (2 if name == "dated" else 1)  # a date is longer than a code, too


def test_a_build_reads_the_sheet_once_where_no_whole_column_can_hold(tmp_path: Path) -> None:
    cells, _ = COLUMNS["short"]
    path = written(tmp_path, "\n".join(cells) + "\n")
    assert [line for line in outcome(opened(path, "name")) if "unusual" in line] == []
    held = opened(path, "name", checks={"unusual_length": "hold"})
    assert [row.row for row in held if isinstance(row, HeldRow)] == [42]


def test_values_that_must_not_repeat(tmp_path: Path) -> None:
    path = written(tmp_path, "Bib,Name\n7,Ann\n8,Bo\n7,Cy\n,Di\n,Ed\n")
    intake = opened(path, "bib name", checks={"columns": {"Bib": {"repeated_value": "hold"}}})
    where = "sheet 'sheet', row {}, column 'Bib': "
    assert [line for line in outcome(intake) if line.startswith("held")] == [
        "held sheet!2: " + where.format(2) + "'7' is there more than once, and must not repeat; "
        "write another value, or delete the row",
        "held sheet!4: " + where.format(4) + "'7' is there more than once, first in row 2, and "
        "must not repeat; write another value, or delete the row",
    ]
    assert [row.row for row in intake if isinstance(row, Record)] == [3, 5, 6]


def test_the_census_has_rare_near_twins_first(tmp_path: Path) -> None:
    path = written(tmp_path, "Team\n" + "U16 Bears\n" * 30 + "U14 Lions\n" * 19 + "U14 Lion\n")
    setup = make_setup(path)
    intake = open_intake(setup, needed=frozenset(["team"]), thorough=True)
    list(intake)
    assert [str(note) for note in intake.notes if note.kind == "census"] == [
        "sheet 'sheet', column 'Team': 3 different values: 'U14 Lions' 19, 'U14 Lion' 1, "
        "'U16 Bears' 30"
    ]


# ---------------------------------------------------------------- expectations

TEAMS = HEAD + "A1,Lions,2\nA1,lions ,1\nA2,Bears,0\nA3,Bears,x\n"


def test_expectations_that_are_met_say_nothing(tmp_path: Path) -> None:
    expect = {"rows": 3, "records": 3, "orders": 2, "columns": {"name": {"distinct": 2}}}
    path = written(tmp_path, TEAMS)
    assert [r.row for r in opened(path, "name", **JOB, expect=expect)] == [2, 2, 3, 4, 5]


def test_totals_that_differ_stop_before_anything_is_made(tmp_path: Path) -> None:
    expect = {"rows": 4, "records": 1, "orders": 3, "columns": {"Name": {"distinct": 12}}}
    intake = opened(written(tmp_path, TEAMS), "name", **JOB, expect=expect)
    with pytest.raises(VardataError) as caught:
        next(iter(intake))
    assert caught.value.exit_code == 5
    end = "; compare the sheet with what was ordered, or mend [expect]"
    assert str(caught.value).split("\n") == [
        "job.toml, expect.rows, sheet 'sheet': the job expects 4 rows, and the order sheet has 3"
        + end,
        "job.toml, expect.records, sheet 'sheet': the job expects 1 record, and the order sheet "
        "has 3" + end,
        "job.toml, expect.orders, sheet 'sheet': the job expects 3 orders, and the order sheet "
        "has 2" + end,
        "job.toml, expect.columns.Name.distinct, sheet 'sheet', column 'Name': the job expects 12 "
        "different values, and there are 2: 'Bears', 'Lions'" + end,
    ]


def test_a_mended_part_of_the_sheet_is_not_held_against_the_totals(tmp_path: Path) -> None:
    path = written(tmp_path, "Order,Name,Qty,held: what\nA1,Ann,1,x\n")
    assert len(list(opened(path, "name", **JOB, expect={"records": 400}))) == 1


def test_a_value_that_is_not_allowed_is_held(tmp_path: Path) -> None:
    path = written(tmp_path, f"{HEAD}A1,U14 LIONS,1\nA2,U14 Lion,1\n")
    expect = {"columns": {"Name": {"allowed": ["U14 Lions", "U16 Bears"]}}}
    assert said(path, expect=expect, checks={"all_capitals": "off"}) == [
        "held sheet!3: sheet 'sheet', row 3, column 'Name': 'U14 Lion' is none of the values that "
        "the job allows; did you mean 'U14 Lions'? allowed: U14 Lions, U16 Bears"
    ]


AGAIN = (
    "delete those that slipped in, or set repeated_row under [checks] (off, warning or hold) if "
    "they are meant"
)


def test_rows_that_say_the_same_are_joined_in_one_line(tmp_path: Path) -> None:
    rows = "A1,Ida,1\nA1,Jo,1\nA1,Ida,1\nA2,Ida,1\nA1,Ida,2\n"
    assert said(written(tmp_path, HEAD + rows)) == [
        f"warning: sheet 'sheet': row 4 says what row 2 says, in every column used; {AGAIN}"
    ]
    rows = "A1,Ida,1\nA1,Jo,1\n" + "A1,Ida,1\nA1,Jo,1\n" * 4
    assert said(written(tmp_path, HEAD + rows)) == [
        "warning: sheet 'sheet': 8 rows say what an earlier row says, in every column used: 4 (as "
        f"2), 5 (as 3), 6 (as 2), 7 (as 3), 8 (as 2) and 3 more; {AGAIN}"
    ]


def test_rows_that_say_the_same_are_held_by_choice(tmp_path: Path) -> None:
    path = written(tmp_path, HEAD + "A1,Ida,1\nA1,Jo,1\nA1,Ida,1\nA1,Ida,1\n")
    assert said(path, checks={"repeated_row": "hold"}) == [
        f"held sheet!{row}: sheet 'sheet', row {row}: the row says what row 2 says, in every "
        f"column used; {AGAIN}"
        for row in (4, 5)
    ]
    assert said(path, checks={"repeated_row": "off"}) == []
    line = {"records": {"order": "Order", "line": "Qty"}}  # a row of its own in every order
    assert said(path, **line) == []


def test_a_column_can_be_left_out_where_rows_are_compared(tmp_path: Path) -> None:
    path = written(tmp_path, "Order,Name,Qty\nA1,Ida,1\nA1,Ida,2\n")
    line = f"warning: sheet 'sheet': row 3 says what row 2 says, in every column used; {AGAIN}"
    assert said(path) == []
    assert said(path, checks={"columns": {"Qty": {"repeated_row": "off"}}}) == [line]


def test_dates_that_may_be_swapped_and_ways_that_are_mixed(tmp_path: Path) -> None:
    path = written(tmp_path, "Since\n01.02.2020\n05/06/20\n2020-05-06\n")
    place = "warning: sheet 'sheet', row {}, column 'Since': "
    mixed = "is not written as others of its column are, such as '01.02.2020'{}; write all dates " \
        "of the column in one way"
    lines = thorough(path, "since", locale="de")
    assert [line for line in lines if line.startswith("warning")] == [
        place.format(3) + "the date '05/06/20' is not as the job's locale writes dates "
        "(24.12.2026): day and month may be swapped; write the date as the others are, or mend the "
        "job's locale",
        place.format(3) + "the date '05/06/20' " + mixed.format(", and 1 more (row 4)"),
    ]
    path = written(tmp_path, "Since\n05/06/20\n06/07/20\n5.6.2020\n")
    assert not any("locale" in line for line in thorough(path, "since", locale="en_GB"))


def test_the_next_rows_with_a_finding_are_named(tmp_path: Path) -> None:
    rows = "".join(f'A{n},"Anna{n},",1\n' for n in range(6))
    assert said(written(tmp_path, HEAD + rows)) == [
        "warning: " + NAME + "the text 'Anna0,' ends with ,, and 5 more (rows 3, 4, 5 ...); take "
        "the mark out"
    ]
