"""Rules over several keys of a job's serials."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import TYPE_CHECKING

from vardata.job.claims import Claim
from vardata.job.found import clipped
from vardata.job.lines import KeyPath
from vardata.job.serialparts import CHECK, CHECK_READS, NUMBER, parts_of, places, symbols
from vardata.job.serials import SerialRule
from vardata.job.toml import Source

if TYPE_CHECKING:
    from vardata.job.model import Job

_RECORD_WORDS = ("piece", "row_number")  # every record has them
_ONLY_MADE = ("start", "digits", "alphabet", "check", "check_over")


def serial_claims(job: Job, source: Source, words: Collection[str]) -> Iterator[Claim]:
    """What is wrong with the serials of a job; ``words`` are those of the template language."""
    kinds: dict[str, tuple[str, bool]] = {}
    for name, rule in job.serials.items():
        path: KeyPath = ("serials", name)
        yield from _name(job, source, path, name, words)
        yield from _given(source, path, rule) if rule.list is not None else _made(
            source, path, rule
        )
        first, given = kinds.setdefault(rule.counter(name), (name, rule.list is not None))
        if given != (rule.list is not None):
            what = f"the counter {rule.counter(name)!r} is that of {first!r} too, and only one of "
            what += "them is a list of given values"
            yield Claim(source, (*path, "scope"), "serial-scope", what, "name another scope")


def _name(
    job: Job, source: Source, path: KeyPath, name: str, words: Collection[str]
) -> Iterator[Claim]:
    if not (name.isascii() and name.isidentifier()) or name in words or name in _RECORD_WORDS:
        what = f"{clipped(name)} cannot be a serial's name in templates"
        remedy = "use a-z, 0-9 and _, begin with a letter, and leave out words that are taken"
        yield Claim(source, path, "serial-name", what, remedy, name)
    elif name in job.columns:
        what = f"{name!r} is the name of a column and of a serial"
        yield Claim(source, path, "serial-name", what, "give one of them another name", name)


def _given(source: Source, path: KeyPath, rule: SerialRule) -> Iterator[Claim]:
    if rule.text:
        what = "the serial has both a text and a list of given values"
        yield Claim(source, (*path, "text"), "serial-text", what, "keep one of them")
    for key in _ONLY_MADE:
        if key in rule.model_fields_set:
            what = f"{key} is for numbers that are made, but these are given by a list"
            yield Claim(source, (*path, key), "serial-text", what, "take it away")


def _made(source: Source, path: KeyPath, rule: SerialRule) -> Iterator[Claim]:
    text: KeyPath = (*path, "text")
    if not rule.text:
        what, remedy = "the serial has neither a text nor a list", 'write text = "{{ number }}"'
        yield Claim(source, path, "serial-text", what, remedy)
        return
    if rule.column is not None:
        what = "a column is named, but no list of given values"
        yield Claim(source, (*path, "column"), "serial-text", what, "name the file with list")
    found = places(rule.text)
    if found.count(NUMBER) != 1:
        what = "the serial has no number" if NUMBER not in found else "the number comes twice"
        remedy = "write {{ number }} once, so that no two serials are alike"
        yield Claim(source, text, "serial-text", what, remedy, rule.text)
    if "week" in found and {"year", "short_year"} & set(found):
        # ISO 8601: 1 January may lie in the last week of the year before.
        what = "a week belongs to a year of its own, which is not always the year of the date"
        yield Claim(source, text, "serial-text", what, "write {{ week_year }}", rule.text)
    if rule.digits is not None and rule.start >= len(symbols(rule.alphabet)) ** rule.digits:
        what = f"the first number, {rule.start}, does not fit into {rule.digits} places"
        yield Claim(source, (*path, "start"), "bad-value", what, "allow more digits")
    yield from _check(source, path, rule, found)


def _check(
    source: Source, path: KeyPath, rule: SerialRule, found: tuple[str, ...]
) -> Iterator[Claim]:
    if rule.check == "none":
        if CHECK in found:
            what = "the text has {{ check }}, but nothing says how it is computed"
            yield Claim(source, (*path, "text"), "serial-check", what, 'write check = "luhn"')
        if "check_over" in rule.model_fields_set:
            what = "check_over is given, but nothing is computed"
            yield Claim(source, (*path, "check_over"), "serial-check", what, "take it away")
        return
    if found.count(CHECK) != 1:
        what = "a check is computed, but the text does not show it once"
        yield Claim(source, (*path, "text"), "serial-check", what, "write {{ check }} once")
    over = parts_of(rule.check_over)
    names = [part.text for part in over if part.place]
    if NUMBER not in names or CHECK in names:
        what = "a check is computed over the number, and never over itself"
        remedy = 'write "{{ number }}" or "{{ year }}{{ number }}", for example'
        yield Claim(source, (*path, "check_over"), "serial-check", what, remedy)
    read = "".join(part.text for part in over if not part.place) + symbols(rule.alphabet)
    bad = [symbol for symbol in dict.fromkeys(read) if symbol not in CHECK_READS[rule.check]]
    if bad:
        what = f"{rule.check} cannot be computed over {' '.join(bad[:8])}"
        only = "digits" if len(CHECK_READS[rule.check]) == 10 else "digits and A to Z"
        remedy = f"it reads {only}; leave out the rest in check_over, or change the alphabet"
        yield Claim(source, (*path, "check_over"), "serial-check", what, remedy)
