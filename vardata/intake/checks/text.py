"""Checks of one text by itself: capitals, marks, words.

In: a displayed text, tidied. Out: findings. Each check is a plain function, so that it can be
read and tried alone; ``TextChecks`` decides which of them a text needs at all.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise

from vardata.intake.checks import words
from vardata.intake.checks.counts import asks_itself, may_ask
from vardata.intake.checks.dates import foreign_date, impossible_date, is_short_date
from vardata.intake.checks.finding import Found
from vardata.intake.checks.formulas import formula_left
from vardata.intake.checks.leftovers import (
    in_brackets,
    lost_letters,
    marked_up,
    may_hold_leftovers,
    unfilled,
    written_out,
)
from vardata.intake.checks.numbers import lost_digits, turned_code
from vardata.intake.checks.pictographs import Pictographs, has_pictograph
from vardata.intake.checks.scripts import mixed_scripts
from vardata.intake.locales import Locale
from vardata.intake.tally import quoted

_LEAST_CAPITALS = 5  # letters: shorter ones are initials, sizes and abbreviations
_STRAY_AT_START = frozenset(",;:._/|\\*=~^`´)]}>&!?+-–—")
_STRAY_AT_END = frozenset(",;:_/|\\*=~^`´([{<&+-–—")
_WORD = re.compile(r"\w+(?:['’]\w+)*")
_BEFORE, _AFTER = ("", "(", "-", "*"), ("", ",", ".", "!", ":", ";", ")")  # around a word
# Letters beyond Latin (up to Latin Extended-B, and Additional) and general punctuation.
_NOT_LATIN = re.compile("[^\x00-\u024f\u1e00-\u206f]")
# One number, with marks between thousands and before decimals: nothing to be said of it alone.
_FIGURE = re.compile(r"\d{1,3}(?:,\d{3})*(?:\.\d{1,9})?%?|\d{1,15}(?:[.,]\d{1,9})?%?")
_DIGIT = re.compile(r"\d")
_NUMBER = 15  # digits that a spreadsheet keeps
_BETWEEN_DIGITS = re.compile(r"\d[./-]\d")
_RANGE = re.compile(r"[+-]\s?[\d(]")  # "+49 30 ...", "-5": a sign before a number is its own


# Where many texts are searched: quick because each begins with what is rare.
_MARK_BETWEEN_DIGITS = re.compile(r"[./-](?<=\d.)\d")
_EXPONENT = re.compile(r"\+(?<=[eE].)\d")


def all_capitals(text: str) -> Found | None:
    if not text.isupper() or _DIGIT.search(text):
        return None
    if sum(map(str.isalpha, text)) < _LEAST_CAPITALS:
        return None
    return Found(
        "all-capitals", f"the text {quoted(text)} is all in capitals",
        "write it in small letters if that is meant",
    )  # fmt: skip


def edge_marks(text: str) -> Found | None:
    """A mark at an end that nothing in the text explains."""
    first, last = text[0], text[-1]
    where = ""
    if first in _STRAY_AT_START and not _RANGE.match(text):
        where, mark = "begins", first
    elif last in _STRAY_AT_END and not (last == "+" and text[:-1].isdecimal()):
        where, mark = "ends", last
    if not where:
        return None
    return Found("edge-marks", f"the text {quoted(text)} {where} with {mark}", "take the mark out")


def doubled_word(text: str, found: list[str]) -> Found | None:
    """``found`` are the words of the text, case-folded."""
    for one, two in pairwise(found):
        if one == two and len(one) > 1 and not one.isdecimal():
            what = f"the text {quoted(text)} has the word {quoted(one)} twice in a row"
            return Found("doubled-word", what, "take one out if it slipped in")
    return None


class TextChecks:
    """All checks of single texts, with the job's own words."""

    def __init__(
        self, pictographs: Pictographs, placeholders: Iterable[str], instructions: Iterable[str],
        locale: Locale | None = None,
    ) -> None:  # fmt: skip
        """``locale`` is that of the sheet, where the job states it."""
        self._locale = locale
        self._pictographs = pictographs
        self._placeholders = words.PLACEHOLDERS | {fold(word) for word in placeholders}
        self._whole = self._placeholders | words.SAME_AS_ABOVE | words.SAME
        phrases = [*words.INSTRUCTIONS, *(fold(phrase) for phrase in instructions)]
        firsts = [match[0] for phrase in phrases if (match := _WORD.search(phrase))]
        self._firsts = frozenset(
            before + first + after for first in firsts for before in _BEFORE for after in _AFTER
        )
        inner = "|".join(re.escape(phrase) for phrase in sorted(phrases, key=len, reverse=True))
        self._phrase = re.compile(rf"(?<!\w)(?:{inner})(?!\w)")

    def quiet(self, texts: Sequence[str], heading: str, code: bool) -> Sequence[str]:
        """Those of many texts in which ``look`` surely finds nothing; perhaps not all of them.

        They are looked at together, as lines of one text.
        """
        joined = "\n".join(texts)
        if joined.count("\n") >= len(texts):
            return ()
        digits = _DIGIT.search(joined) is not None
        if _are_odd(joined, digits) or not all(map(_begins_and_ends_well, texts)):
            texts = [
                text for text in texts
                if _begins_and_ends_well(text) and not _are_odd(text, digits)
            ]  # fmt: skip
            joined = "\n".join(texts)
        if any(not _DIGIT.search(text) for text in filter(str.isupper, texts)):
            return ()
        if digits and any(lost_digits(text) for text in texts if len(text) > _NUMBER):
            return ()
        if code and any(map(is_short_date, texts)):
            return ()
        folded = joined.casefold()
        lines, parts = folded.split("\n"), folded.split()
        if (
            heading in lines
            or not self._whole.isdisjoint(lines)
            or not self._firsts.isdisjoint(parts)
            or sum(map(len, map(set, map(str.split, lines)))) < len(parts)  # a word comes again
            or (digits and may_ask(folded))
        ):
            return ()
        return texts

    def look(self, text: str, heading: str, code: bool, read: bool = True) -> list[Found]:
        """Every finding of a text that something uses. ``heading`` is folded; ``read`` says that
        people read it.

        Written for the good text, which is most: each check is asked only where a quick sign
        speaks for it.
        """
        if is_figure(text):
            return []
        if text[0] in "#=" and (left := formula_left(text)):
            return [left]
        folded = text.casefold()
        if folded in self._placeholders or folded == heading:
            return [_placeholder(text, folded == heading)]
        found: list[Found | None] = []
        if folded in words.SAME_AS_ABOVE or text in words.SAME:
            return [_same_as_above(text)]
        if may_hold_leftovers(text):
            if (inner := in_brackets(folded)) in words.SAME_AS_ABOVE or inner in words.SAME:
                return [_same_as_above(text)]
            left = unfilled(text, folded, heading) or (
                (lost_letters(text) if read else None) or marked_up(text) or written_out(text)
            )
            if left:
                return [left]
        if text.isupper():
            found.append(all_capitals(text))
        if not _begins_and_ends_well(text):
            found.append(edge_marks(text))
        if " " in folded:
            parts = folded.split()
            if len(set(parts)) < len(parts):
                found.append(doubled_word(text, _WORD.findall(folded)))
            if not self._firsts.isdisjoint(parts):
                found.append(self.instruction(text, folded))
        if _DIGIT.search(text):
            found += _numbers(text, folded, code)
            if read and self._locale is not None and _BETWEEN_DIGITS.search(text):
                found.append(foreign_date(text, self._locale))
        if not text.isascii() and _NOT_LATIN.search(text):
            found.append(mixed_scripts(text, code))
            if has_pictograph(text):
                found.append(self._pictographs.check(text))
        return [one for one in found if one] if found else []

    def instruction(self, text: str, folded: str) -> Found | None:
        """Words to the shop."""
        match = self._phrase.search(folded)
        if match is None:
            return None
        return Found(
            "instruction",
            f"the text {quoted(text)} looks like a word to the shop ({quoted(match[0])})",
            "do what it asks and take it out, or set the check off for this column",
        )

    def aside(self, text: str) -> Found | None:
        """Words to the shop in a text that nothing uses."""
        folded = text.casefold()
        return None if self._firsts.isdisjoint(folded.split()) else self.instruction(text, folded)


def _are_odd(lines: str, digits: bool) -> bool:
    """Whether one of many lines has a sign that calls for a look; ``digits``: some have any."""
    return bool(
        may_hold_leftovers(lines)
        or (digits and (_MARK_BETWEEN_DIGITS.search(lines) or _EXPONENT.search(lines)))
        or (not lines.isascii() and _NOT_LATIN.search(lines))
    )


def _begins_and_ends_well(text: str) -> bool:
    return text[0].isalnum() and text[-1].isalnum()


def _placeholder(text: str, heading: bool) -> Found:
    why = "is the column's own heading" if heading else "stands for no text of its own"
    return Found(
        "placeholder", f"{quoted(text)} {why}",
        "write what is to be printed, or leave the cell empty",
    )  # fmt: skip


def _same_as_above(text: str) -> Found:
    return Found(
        "same-as-above", f"{quoted(text)} refers to another row, which is not guessed",
        "write the text itself in every row",
    )  # fmt: skip


def _numbers(text: str, folded: str, code: bool) -> list[Found | None]:
    """Checks of texts with a digit."""
    found: list[Found | None] = []
    if _BETWEEN_DIGITS.search(text):
        found.append(impossible_date(text))
    if code or "+" in text:
        found.append(turned_code(text, code))
    if len(text) > _NUMBER:
        found.append(lost_digits(text))
    if may_ask(folded):
        found.append(asks_itself(text))
    return found


def is_figure(text: str) -> bool:
    """Whether a text is one plain number, of which nothing is to be said by itself."""
    return text[:1].isdigit() and _FIGURE.fullmatch(text) is not None


def fold(text: str) -> str:
    """A text as it is compared with words."""
    return " ".join(text.casefold().split())
