"""What another program left in a text: marks of HTML, breaks written out, places never filled.

In: a displayed text. Out: a finding, or None. Signs are common practice, no source; names of
characters and elements are those of HTML (``html.unescape``; WHATWG, "text-level semantics"),
``_x000D_`` and the like those of workbooks (ECMA-376-1, 22.9.2.19, ST_Xstring), ``\\n`` and
``\\u00e9`` those of JSON (RFC 8259, 7).
"""

from __future__ import annotations

import html
import re

from vardata.intake.checks.finding import Found
from vardata.intake.tally import quoted

_SIGN = re.compile(r"[?<&{\[(\\]|_x")
# A word of question marks, or some within a word: where a letter was lost, as in M?ller.
_LOST = re.compile(r"(?<!\S)\?{2,}(?!\S)|[^\W\d_]\?+[^\W\d_A-Z]")
_ADDRESS = re.compile(r"://|www\.|\?\w+=")
_BREAK = re.compile(r"\s*<br\s*/?>\s*", re.IGNORECASE)
_TAG = re.compile(
    r"</?(?:br|p|div|span|b|i|u|em|strong|small|sup|sub|font|a|li|ul|ol|h[1-6]|td|tr)"
    r"(?:\s[^<>]*)?/?>",
    re.IGNORECASE,
)
_NAMED = re.compile(r"&(?:\w+|#\d+|#x[0-9a-f]+);", re.IGNORECASE)
_CODED = r"_x([0-9A-Fa-f]{4})_"
_ESCAPED = re.compile(rf"\\r\\n|\\[nrt]|\\u([0-9A-Fa-f]{{4}})|(?:{_CODED})+")
_LAST_CODED = re.compile(rf"{_CODED}$")
_FILE = re.compile(r"[A-Za-z]:\\|\\\\|.*\.[A-Za-z]{2,4}$", re.DOTALL)  # a path has such signs
_BREAKS = {"\\n": "a line break", "\\r": "a line break", "\\r\\n": "a line break", "\\t": "a tab"}
# Of a shop's or a program's template, anywhere; then those that count as a whole text only.
_PLACE = re.compile(r"\{\{[^{}]*\}\}|\{%[^{}]*%\}|\$\{[^{}]*\}|<<[^<>]+>>")
_WHOLE = re.compile(r"\{[^\W\d][^{}]*\}|<[^\W\d][^<>]*>")
_BRACKETS = {"[": "]", "(": ")"}
_ASKED = frozenset({
    "name", "names", "first name", "last name", "full name", "surname", "guest", "guest name",
    "text", "date", "title", "company", "logo", "initials", "message", "number", "vorname",
    "nachname", "datum", "nom", "prénom", "nombre", "apellido", "nome", "cognome", "naam", "imię",
})  # fmt: skip
_ASKS = ("your ", "insert ", "enter ", "ihr ", "votre ", "tu ", "su ", "il tuo ", "uw ")


def may_hold_leftovers(text: str) -> bool:
    """A quick look: whether a text has a sign by which all leftovers begin."""
    return _SIGN.search(text) is not None


def in_brackets(folded: str) -> str:
    """What stands in the brackets around a whole text, or an empty text."""
    if _BRACKETS.get(folded[:1]) == folded[-1:] and len(folded) > 2:
        return folded[1:-1].strip()
    return ""


def unfilled(text: str, folded: str, heading: str) -> Found | None:
    """A place of a template that nobody filled: {{guest}}, [Name], <name>."""
    found = _PLACE.search(text) or _WHOLE.fullmatch(text)
    inner = in_brackets(folded)
    if found is not None and _TAG.fullmatch(found[0]):
        return None
    asked = inner in _ASKED or inner == heading or inner.startswith(_ASKS)
    if found is None and not (inner and asked):
        return None
    place = text if found is None else found[0]
    return Found(
        "placeholder", f"{quoted(place)} is a place that was never filled",
        "write what is to be printed, or leave the cell empty",
    )  # fmt: skip


def lost_letters(text: str) -> Found | None:
    """Question marks in the place of letters."""
    if "?" not in text or _ADDRESS.search(text) or not _LOST.search(text):
        return None
    return Found(
        "lost-letter",
        f"the text {quoted(text)} has question marks where letters were lost in an earlier "
        "conversion",
        "write the text again",
    )


def marked_up(text: str) -> Found | None:
    """Elements or names of characters as HTML has them."""
    if not (_TAG.search(text) or _NAMED.search(text)):
        return None
    meant = html.unescape(_TAG.sub("", _BREAK.sub("\n", text))).strip()
    if meant == text:
        return None
    return Found(
        "garbled", f"the text {quoted(text)} is written as HTML: it may mean {quoted(meant)}",
        "mend the sheet if that is meant",
    )  # fmt: skip


def written_out(text: str) -> Found | None:
    """A line break, a tab or a letter as an export writes it in signs."""
    found = _ESCAPED.search(text)
    if found is None or (found[0][0] == "\\" and _FILE.match(text)):
        return None
    meant = _BREAKS.get(found[0]) or _character(found)
    remedy = f"write {meant} itself"
    if meant in _BREAKS.values():
        remedy = f"write {'a line break or ' if 'line' in meant else ''}a space in its place"
    return Found(
        "written-out",
        f"the text {quoted(text)} has {found[0]} written out, where {meant} is meant",
        remedy,
    )


def _character(found: re.Match[str]) -> str:
    """What a number of Unicode stands for; of several that follow one another, the last."""
    last = _LAST_CODED.search(found[0])
    code = int(last[1] if last else found[1], 16)
    if code in (9, 10, 13):
        return "a tab" if code == 9 else "a line break"
    return chr(code) if chr(code).isprintable() else f"U+{code:04X}"
