"""Half phrases: a cell is empty, and its field prints only what stands around it.

In: the phrases of the layout's fields, each a line of a template with its columns. Out: for a row
with an empty cell, a finding for each column that leaves its phrase half. A phrase that is wholly
empty prints nothing and is none of this check's business.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from vardata.intake.checks.finding import Found
from vardata.intake.checks.levels import CheckLevels
from vardata.intake.columns import Plan

KIND = "half-phrase"


class Phrase(NamedTuple):
    """One line of a field's template. ``words``: it prints something without its columns."""

    field: str
    line: str
    columns: tuple[str, ...]
    words: bool


class HalfPhrases:
    """The phrases of a job by the positions of their columns."""

    def __init__(self, phrases: Iterable[Phrase], plan: Plan, levels: CheckLevels) -> None:
        place_of = {name: place for place, name in enumerate(plan.names)}
        self._phrases = [
            (phrase, {place_of[name]: _found(phrase, name) for name in phrase.columns})
            for phrase in phrases
            if any(levels.of(KIND, place_of[name]) is not None for name in phrase.columns)
        ]  # fmt: skip

    def __bool__(self) -> bool:
        return bool(self._phrases)

    def check(self, values: tuple[str, ...]) -> Iterator[tuple[int, Found]]:
        """Each column once, with its position."""
        said: set[int] = set()
        for phrase, founds in self._phrases:
            empty = [place for place in founds if not values[place]]
            if phrase.words or len(empty) < len(founds):
                for place in empty:
                    if place not in said:
                        said.add(place)
                        yield place, founds[place]


def _found(phrase: Phrase, name: str) -> Found:
    return Found(
        KIND, f"the cell is empty, so field {phrase.field!r} prints {phrase.line!r} without it",
        f"fill the cell, or write what goes with it between {{% if {name} %}} and {{% endif %}}",
    )  # fmt: skip
