"""Which blank a record is printed on: the value of the blank column against the job's blanks.

In: the job's blanks and the column's text. Out: the key of a blank, or None. Upper and lower
case do not matter, and any white space counts as one blank; accents do matter.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from vardata.job.model import Blank


def fold_value(text: str) -> str:
    """A value as it is compared."""
    return " ".join(text.split()).casefold()


def blank_table(blanks: Mapping[str, Blank]) -> tuple[dict[str, str], list[str]]:
    """Every value that names a blank -> its key; and a line for each value that names two."""
    table: dict[str, str] = {}
    clashes: list[str] = []
    for key, blank in blanks.items():
        for word in (key, blank.label, *blank.match):
            value = fold_value(word)
            if not value:
                continue
            owner = table.setdefault(value, key)
            if owner != key:
                clashes.append(f"{word!r} names two blanks, {owner!r} and {key!r}")
    return table, clashes


def known_blanks(blanks: Mapping[str, Blank]) -> str:
    """The values a person may write, for messages: one for each blank."""
    return ", ".join(
        blank.match[0] if blank.match else blank.label or key for key, blank in blanks.items()
    )
