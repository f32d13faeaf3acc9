"""The blanks of a new job, from the column of an order sheet that tells them apart.

In: the headings that mean nothing else, and what stands below one of them. Out: the heading that
is most likely that column, its values, and the tables of a job file, one for each value. What
kind of surface a blank has it does not know: a person states it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from vardata.intake import locales
from vardata.intake.blankmatch import fold_value
from vardata.intake.headrow import heading_row, with_heading_row
from vardata.intake.safenames import fold, safe_name
from vardata.intake.sources import open_source
from vardata.job.model import Setup
from vardata.job.toml import quoted

MOST = 20  # tables that a job file is begun with; a person has to look at every one
_KEY = 60  # characters of a table's name, at most
_STATE = "state light, dark or clear"
# Headings by which shops call this column, folded; common practice, no source.
_ITEMS = ("blank", "tag", "medal", "sign", "plate", "key", "keyring", "item", "piece", "product")
_COLOURS = ("colour", "color")
_HEADINGS = frozenset((
    "blank", "blanks", "material", "variant", "finish", "colour", "color", "rohling", "werkstoff",
    "variante", "farbe", "matiere", "couleur", "materiale", "colore", "materiaal", "kleur",
    *(f"{colour}of{item}" for colour in _COLOURS for item in _ITEMS),
    *(f"{colour}ofthe{item}" for colour in _COLOURS for item in _ITEMS),
    *(f"{item}{colour}" for colour in _COLOURS for item in _ITEMS),
    *(f"{item}material" for item in _ITEMS), *(f"materialof{item}" for item in _ITEMS),
))  # fmt: skip
# Words that mean little else than a colour. Values: CSS Color Module Level 4, named colours.
_PLAIN = {
    "black": "#000000", "white": "#ffffff", "silver": "#c0c0c0", "gold": "#ffd700",
    "grey": "#808080", "gray": "#808080", "red": "#ff0000", "green": "#008000", "blue": "#0000ff",
    "navy": "#000080", "yellow": "#ffff00", "orange": "#ffa500", "purple": "#800080",
    "pink": "#ffc0cb", "brown": "#a52a2a",
}  # fmt: skip


class BlankColumn(NamedTuple):
    """A column and its different values, as first written, up to ``MOST``; ``more`` if there are
    others."""

    heading: str
    values: tuple[str, ...]
    more: bool


def likely_column(setup: Setup, header_row: int, headings: Sequence[str]) -> str | None:
    """The first of the headings that shops give this column, if it has few values."""
    for heading in headings:
        if fold(heading).rstrip(".:#") in _HEADINGS and headings.count(heading) == 1:
            found = blank_column(setup, header_row, heading)
            if found.values and not found.more:
                return heading
    return None


def blank_column(setup: Setup, header_row: int, heading: str) -> BlankColumn:
    """Reads what stands below a heading. Raises ``SheetError``."""
    locale = locales.find(setup.job.locale) or locales.LOCALES["en_US"]
    source = open_source(with_heading_row(setup, header_row), locale, [])
    head = heading_row(source, header_row, setup.sheet_file.name, [])
    place = [cell.strip() for cell in head.cells].index(heading)
    values: dict[str, str] = {}
    for row in source.rows():
        if row.number <= header_row or place >= len(row.cells):
            continue
        text = " ".join(row.cells[place].split())
        if text and len(values) == MOST and fold_value(text) not in values:
            return BlankColumn(heading, tuple(values.values()), True)
        if text:
            values.setdefault(fold_value(text), text)
    return BlankColumn(heading, tuple(values.values()), False)


def blank_tables(column: BlankColumn, surface: str) -> Iterator[str]:
    """The lines of a job file: a table for each value. All have the one surface, to be stated."""
    for key, value in zip(_keys(column.values), column.values):
        line = f"surface = {quoted(surface)}"
        yield from ("", f"[blanks.{key}]", f"label = {quoted(value)}", f"{line:<32}# {_STATE}")
        if substrate := _PLAIN.get(fold_value(value)):
            yield f"{f'substrate = {quoted(substrate)}':<32}# for pictures: a guess from its name"
    if column.more:
        yield from ("", f"# {column.heading!r} has more than {MOST} values: add a table for each "
                    "of the others")  # fmt: skip


def _keys(values: Sequence[str]) -> Iterator[str]:
    """A name of its own for each value, which is not how another value is written."""
    written = {fold_value(value) for value in values}
    taken: set[str] = set()
    for value in values:
        stem, number = safe_name(value)[:_KEY].strip("_") or "blank", 1
        key = stem
        while key in taken or key in written - {fold_value(value)}:
            number += 1
            key = f"{stem}_{number}"
        taken.add(key)
        yield key
