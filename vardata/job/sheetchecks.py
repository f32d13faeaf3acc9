"""What a job wants looked for in its order sheet: ``[checks]`` and ``[expect]``.

Each check of intake is a key with a level; the key is the kind of its problems, written with
underscores. What the checks do is ``intake.checks``'s business.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from vardata.job.frozen import Model
from vardata.job.values import Name, Whole

Level = Literal["off", "note", "warning", "hold"]


class Levels(Model):
    """How much is made of what is found in one column: off, note, warning or hold."""

    garbled: Level | None = None
    """letters broken by a wrong encoding, or written as HTML; by default a warning"""
    written_out: Level | None = None
    """a line break, tab or letter that an export wrote out in signs, such as \\n, _x000D_ or
    \\u00e9; by default a warning"""
    lost_letter: Level | None = None
    """the mark of a letter that was lost in a conversion, or ?? for letters; by default hold"""
    control_character: Level | None = None
    """a character that steers machines and prints nothing; by default hold"""
    unseen_characters: Level | None = None
    """characters that take no room; by default a warning"""
    emoji: Level | None = None
    """pictographs that no font of the layout has; by default a warning"""
    all_capitals: Level | None = None
    """a text in capitals only; by default a note"""
    edge_marks: Level | None = None
    """a stray mark at the start or the end; by default a warning"""
    doubled_word: Level | None = None
    """the same word twice in a row; by default a note"""
    unusual_length: Level | None = None
    """much longer or shorter than the rest of its column; by default a warning"""
    repeated_value: Level | None = None
    """a value that is there more than once; by default off, for columns that must not repeat"""
    near_duplicate: Level | None = None
    """two rows of an order that differ by a letter; by default a warning"""
    repeated_row: Level | None = None
    """a row that says what an earlier one of its order says, in every column used; by default a
    warning; off for a column leaves it out of the comparison; never looked for where the job names
    a line column"""
    impossible_date: Level | None = None
    """a date that no calendar has; by default hold"""
    changed_type: Level | None = None
    """numbers that become texts, or the like, from some row on; by default a warning"""
    lost_zeros: Level | None = None
    """numbers shorter than the rest, which begin with 0; by default a warning"""
    instruction: Level | None = None
    """words to the shop rather than to be printed; by default a warning"""
    same_as_above: Level | None = None
    """a reference to another row, which is never guessed; by default hold"""
    mixed_scripts: Level | None = None
    """look-alike letters of two scripts in one word; by default a warning"""
    too_many_digits: Level | None = None
    """a number of 16 digits or more in a workbook, which keeps 15; by default hold"""
    lost_digits: Level | None = None
    """a number of 16 digits or more that ends in zeros from the 16th on; by default a warning"""
    turned_code: Level | None = None
    """a code that a spreadsheet made a date or 1.2E+12; by default hold"""
    regional_date: Level | None = None
    """a date shown as the viewer's region has it, where the job states no locale, or a text with a
    date that is not as the stated locale writes it; by default a warning"""
    mixed_dates: Level | None = None
    """a date that is not written as most dates of its column are; by default a warning"""
    error_value: Level | None = None
    """a spreadsheet's error as the whole text, such as #REF! or #N/A; by default hold"""
    formula_text: Level | None = None
    """a formula as a text, such as =A1&"x", that nothing worked out; by default a warning"""
    placeholder: Level | None = None
    """sample text, a place never filled such as [Name], or words for nothing such as n/a; by
    default hold"""
    miscount: Level | None = None
    """a quantity that contradicts the text; by default hold"""
    near_twin: Level | None = None
    """a rare value that is nearly a common one of its column; by default a warning"""
    half_phrase: Level | None = None
    """an empty cell, where its field prints the words around it all the same; by default a
    warning"""
    unexpected_value: Level | None = None
    """a value that [expect] does not allow; by default hold"""


class Checks(Levels):
    """What is looked for in the order sheet before ink is spent; see also the columns."""

    columns: dict[str, Levels] = Field(default_factory=dict)
    """other levels for a column, by its name for templates or its heading"""
    placeholder_words: tuple[str, ...] = ()
    """sample texts of your own shop, such as "Your name here" """
    instruction_words: tuple[str, ...] = ()
    """further words that only a note to the shop would hold"""


class ExpectedColumn(Model):
    """What one column is expected to hold."""

    distinct: Annotated[Whole, Field(ge=1)] | None = None
    """how many different values there are"""
    allowed: tuple[str, ...] = ()
    """the only values there may be; capitals and blanks at the ends do not matter"""


class Expect(Model):
    """Totals that the order sheet must have, or nothing is built and no serial is used."""

    rows: Annotated[Whole, Field(ge=0)] | None = None
    """rows that ask for something, held ones included"""
    records: Annotated[Whole, Field(ge=0)] | None = None
    """pieces in all, those of held rows included where their quantity can be read"""
    orders: Annotated[Whole, Field(ge=0)] | None = None
    """different orders"""
    columns: dict[Name, ExpectedColumn] = Field(default_factory=dict)
    """what columns hold, by their name for templates or their heading"""


DEFAULTS: dict[str, Level] = {
    "garbled": "warning", "written_out": "warning", "lost_letter": "hold",
    "control_character": "hold", "unseen_characters": "warning", "emoji": "warning",
    "all_capitals": "note", "edge_marks": "warning", "doubled_word": "note",
    "unusual_length": "warning", "repeated_value": "off", "near_duplicate": "warning",
    "impossible_date": "hold", "changed_type": "warning", "lost_zeros": "warning",
    "instruction": "warning", "same_as_above": "hold", "mixed_scripts": "warning",
    "too_many_digits": "hold", "lost_digits": "warning", "turned_code": "hold",
    "regional_date": "warning", "error_value": "hold", "formula_text": "warning",
    "placeholder": "hold", "miscount": "hold", "near_twin": "warning", "unexpected_value": "hold",
    "half_phrase": "warning", "repeated_row": "warning", "mixed_dates": "warning",
}  # fmt: skip
"""The level of each check where neither the job nor one of its columns says otherwise."""

_OF_FILES = (
    "garbled", "written_out", "lost_letter", "control_character", "unseen_characters",
    "too_many_digits", "regional_date",
)  # fmt: skip
VALUES_ONLY = Checks.model_validate(
    {key: "off" for key in DEFAULTS if key not in _OF_FILES}
)
"""For lists of values that are no order sheet: only what a file itself may have spoilt."""
