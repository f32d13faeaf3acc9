"""The hardest records of a job: where a layout goes wrong, if it goes wrong anywhere.

In: fitted records, one after another. Out: the few that a person should look at, each with the
reasons why. Memory holds the best so far of each kind, and a line for each script and font.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from vardata.fit.clusters import script_of
from vardata.fit.result import CodeFit, TextFit
from vardata.job.model import Layout, TextField
from vardata.units import MM_PER_PT
from vardata.work.fitted import Fitted

_FONTS = 12  # fallback fonts that are shown, each by the first record that needs it


class Pick(NamedTuple):
    """A record to look at: its place in the printing order, from 0, and why."""

    number: int
    record: Fitted
    reasons: tuple[str, ...]


class _Best:
    """The record with the most of something; of equals the first."""

    def __init__(self) -> None:
        self.found: tuple[float, int, Fitted, str] | None = None

    def offer(self, much: float, number: int, record: Fitted, reason: str) -> None:
        if self.found is None or much > self.found[0]:
            self.found = much, number, record, reason


class Hardest:
    """Takes records in printing order, gives the hardest."""

    def __init__(self, layout: Layout, before: int = 0) -> None:
        """``before``: how many fits of a record belong to the side before."""
        self._fields, self._before = layout.fields, before
        self._best: dict[tuple[str, str], _Best] = {}
        self._scripts: Counter[str] = Counter()
        self._first_of: dict[str, tuple[int, Fitted]] = {}
        self._fallbacks: dict[int, tuple[int, Fitted, str]] = {}
        self._leaders: dict[int, int] = {}
        self.seen = 0

    def _offer(
        self, kind: str, much: float, record: Fitted, reason: str, field: str = ""
    ) -> None:
        """A candidate for the most of a kind: of the whole layout, or of one of its fields."""
        self._best.setdefault((kind, field), _Best()).offer(much, self.seen, record, reason)

    def take(self, records: Iterable[Fitted]) -> None:
        for record in records:
            empty = 0
            for index, (field, fit) in enumerate(zip(self._fields, record.fits[self._before :])):
                if isinstance(field, TextField) and isinstance(fit, TextFit):
                    self._text(index, field, fit, record)
                elif isinstance(fit, CodeFit):
                    name = getattr(field, "name", "")
                    told = f"smallest module: {fit.module:.3g} mm in {name}"
                    self._offer("code", -fit.module, record, told, name)
                elif fit is None and getattr(field, "optional", False):
                    empty += 1
            if empty:
                fields = f"{empty} optional field{'s' if empty > 1 else ''}"
                self._offer("empty", empty, record, f"empty: {fields}")
            self.seen += 1

    def _text(self, index: int, field: TextField, fit: TextFit, record: Fitted) -> None:
        name = field.name
        if "{" in field.text:  # else it says the same on every item
            told = f"longest text: {len(fit.text)} characters in {name}"
            self._offer("longest", len(fit.text), record, told, name)
        if fit.size_pt < field.size:
            told = f"most shrunk: {fit.size_pt:g} of {field.size:g} pt in {name}"
            self._offer("shrunk", field.size / fit.size_pt, record, told, name)
        if fit.squeeze < 1.0:
            told = f"most squeezed: {fit.squeeze * 100:.3g} % in {name}"
            self._offer("squeezed", 1.0 / fit.squeeze, record, told, name)
        if fit.tracking < field.tracking:
            told = f"closest set: {fit.tracking:g} in {name}"
            self._offer("close", -fit.tracking, record, told, name)
        if fit.lines > 1:
            told = f"most lines: {fit.lines} in {name}"
            self._offer("lines", fit.lines, record, told, name)
        self._reach(field, fit, record)
        self._limit(field, fit, record)
        self._letters(index, field, fit, record)

    def _reach(self, field: TextField, fit: TextFit, record: Fitted) -> None:
        # On a bent line, and in a column, each letter has a foot of its own.
        if not fit.runs or fit.turns or field.direction == "down":
            return
        em = fit.size_pt * MM_PER_PT
        bases = [run.y for run in fit.runs]
        up, down = (fit.ink[3] - max(bases)) / em, (min(bases) - fit.ink[1]) / em
        self._offer("tall", up, record, f"tallest ink: {up:.2f} of the size up in {field.name}")
        told = f"deepest ink: {down:.2f} of the size down in {field.name}"
        self._offer("deep", down, record, told)

    def _limit(self, field: TextField, fit: TextFit, record: Fitted) -> None:
        """How little is left of what fitting may do before the record would be held."""
        least = min(field.size, field.min_size or field.size / 2.0)
        left = (fit.size_pt / least - 1.0) + (fit.squeeze * 100.0 / field.squeeze - 1.0)
        if fit.size_pt < field.size or fit.squeeze < 1.0:
            self._offer(
                "limit", -left, record,
                f"nearest to a limit: {fit.size_pt:g} pt (least {least:g}), "
                f"{fit.squeeze * 100:.3g} % (least {field.squeeze:g}) in {field.name}", field.name,
            )

    def _letters(self, index: int, field: TextField, fit: TextFit, record: Fitted) -> None:
        for script in sorted({script_of(char) for char in fit.text} - {""}):
            self._scripts[script] += 1
            self._first_of.setdefault(script, (self.seen, record))
        leader = self._leaders.setdefault(index, fit.runs[0].font if fit.runs else -1)
        if any(fit.styles):  # styles have fonts that the layout chose
            return
        for font in sorted({run.font for run in fit.runs} - {leader}):
            if len(self._fallbacks) < _FONTS:
                self._fallbacks.setdefault(font, (self.seen, record, field.name))

    def lead(self, index: int, font: int) -> None:
        """Says which font is the first of a text field; others are fallbacks."""
        self._leaders[index] = font

    def picks(self, names: list[str]) -> list[Pick]:
        """The hardest in printing order; ``names`` are the fonts' by their numbers."""
        reasons: dict[int, list[str]] = {}
        records: dict[int, Fitted] = {}
        for number, record, reason in (*self._of_best(), *self._of_letters(names)):
            records[number] = record
            reasons.setdefault(number, []).append(reason)
        return [Pick(number, records[number], tuple(reasons[number])) for number in sorted(records)]

    def _of_best(self) -> Iterator[tuple[int, Fitted, str]]:
        for best in self._best.values():
            if best.found is not None:
                _, number, record, reason = best.found
                yield number, record, reason

    def _of_letters(self, names: list[str]) -> Iterator[tuple[int, Fitted, str]]:
        if len(self._scripts) > 1:
            rarest = min(self._scripts, key=lambda script: (self._scripts[script], script))
            number, record = self._first_of[rarest]
            count = self._scripts[rarest]
            yield number, record, f"rarest script: {rarest}, in {count} text{'s' * (count > 1)}"
        for font, (number, record, field) in self._fallbacks.items():
            yield number, record, f"fallback font: {names[font]} in {field}"
