"""Number format codes, taken apart: ``0.00;[Red]-0.00`` becomes sections of tokens.

In: a code as stored in a workbook. Out: ``Section`` values that ``fmtnumber`` and ``fmtdate``
can lay out. Raises ``FormatFault`` for what cannot be shown with certainty. Rules: ECMA-376
part 1 (5th edition), 18.8.30 numFmt and 18.8.31 numFmts.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

from vardata.intake import locales


class FormatFault(ValueError):
    """A value cannot be shown as the spreadsheet shows it; the text is for a person."""


TokenKind = Literal[
    "text", "digit", "point", "comma", "percent", "exponent", "slash", "at", "general",
    "year", "month", "minute", "day", "hour", "second", "fraction", "ampm", "elapsed",
]  # fmt: skip


class Token(NamedTuple):
    kind: TokenKind
    text: str


class Condition(NamedTuple):
    operator: str
    limit: float

    def holds(self, value: float) -> bool:
        """Whether a section with this condition is for the value."""
        limit = self.limit
        match self.operator:
            case "<":
                return value < limit
            case "<=":
                return value <= limit
            case ">":
                return value > limit
            case ">=":
                return value >= limit
            case "=":
                return value == limit
        return value != limit


SectionKind = Literal["number", "date", "text", "general", "literal"]


@dataclass(frozen=True, slots=True)
class Section:
    """One of the up to four parts of a code.

    ``language`` names months and days (None: the locale's); ``system`` is "date" or "time"
    where the computer's own long date or time is shown instead of the code.
    """

    kind: SectionKind
    tokens: tuple[Token, ...]
    condition: Condition | None = None
    language: str | None = None
    system: Literal["", "date", "time"] = ""


_COLOUR = re.compile(r"black|blue|cyan|green|magenta|red|white|yellow|colou?r\s*\d+", re.IGNORECASE)
_CONDITION = re.compile(r"(<=|>=|<>|<|>|=)\s*(-?\d+(?:\.\d*)?(?:[eE][+-]?\d+)?)")
_ELAPSED = re.compile(r"h+|m+|s+", re.IGNORECASE)
_AMPM = re.compile(r"am/pm|a/p", re.IGNORECASE)
_DATE_KINDS = {"year", "month", "minute", "day", "hour", "second", "fraction", "ampm", "elapsed"}
_LETTERS: dict[str, TokenKind] = {
    "y": "year", "m": "month", "d": "day", "h": "hour", "s": "second",
}  # fmt: skip


@lru_cache(maxsize=4096)
def parse(code: str) -> tuple[Section, ...]:
    """The sections of a code, at least one and at most four."""
    sections: list[Section] = []
    at = 0
    while True:
        section, at = _Reader(code, at).section()
        sections.append(section)
        if at >= len(code):
            break
        at += 1  # the semicolon
        if at == len(code):
            sections.append(Section("literal", ()))
            break
    if len(sections) > 4:
        raise FormatFault(f"number format {code!r} has more than four sections")
    return tuple(sections)


class _Reader:
    """Reads one section, from ``at`` to the next semicolon or the end."""

    def __init__(self, code: str, at: int) -> None:
        self.code = code
        self.at = at
        self.tokens: list[Token] = []
        self.condition: Condition | None = None
        self.language: str | None = None
        self.system: Literal["", "date", "time"] = ""

    def section(self) -> tuple[Section, int]:
        while self.at < len(self.code) and self.code[self.at] != ";":
            self.step()
        tokens = _settle(self.tokens)
        kind = _kind(tokens, self.code)
        return Section(kind, tokens, self.condition, self.language, self.system), self.at

    def put(self, kind: TokenKind, text: str, length: int | None = None) -> None:
        self.at += len(text) if length is None else length
        self.tokens.append(Token(kind, text))

    def step(self) -> None:
        code, at = self.code, self.at
        char = code[at]
        if char == '"':
            end = code.find('"', at + 1)
            if end < 0:
                raise FormatFault(f"number format {code!r} has a quote that is never closed")
            self.put("text", code[at + 1 : end], end + 1 - at)
        elif char == "\\" or char == "!":
            self.put("text", code[at + 1 : at + 2], 2)
        elif char == "_":
            self.put("text", " ", 2)  # a blank as wide as the next character
        elif char == "*":
            self.put("text", "", 2)  # fills the cell's width: a text has none
        elif char == "[":
            self.bracket()
        elif char in "0#?":
            self.put("digit", char)
        elif char == ".":
            self.put("point", char)
        elif char == ",":
            self.put("comma", char)
        elif char == "%":
            self.put("percent", char)
        elif char == "/":
            self.put("slash", char)
        elif char == "@":
            self.put("at", char)
        elif char.isascii() and char.isalpha():
            self.letter()
        else:
            self.put("text", char)

    def letter(self) -> None:
        code, at = self.code, self.at
        char = code[at].lower()
        if code[at : at + 7].lower() == "general":
            self.put("general", code[at : at + 7])
        elif match := _AMPM.match(code, at):
            self.put("ampm", match[0])
        elif code[at : at + 2] in ("E+", "E-", "e+", "e-"):
            self.put("exponent", code[at : at + 2].upper())
        elif char in _LETTERS:
            end = at
            while end < len(code) and code[end].lower() == char:
                end += 1
            self.put(_LETTERS[char], code[at:end].lower())
        elif char in "abegnqw":
            # Eras, other calendars, quarters and weeks: what they show differs between programs.
            raise FormatFault(f"number format {code!r} uses {code[at]!r}, which is not known here")
        else:
            self.put("text", code[at])

    def bracket(self) -> None:
        code, at = self.code, self.at
        end = code.find("]", at)
        if end < 0:
            raise FormatFault(f"number format {code!r} has a bracket that is never closed")
        inner = code[at + 1 : end].strip()
        length = end + 1 - at
        if inner.startswith("$"):
            symbol, _, tag = inner[1:].partition("-")
            self.locale(tag)
            self.put("text", symbol, length)
        elif _COLOUR.fullmatch(inner):
            self.at += length
        elif match := _CONDITION.fullmatch(inner):
            self.condition = Condition(match[1], float(match[2]))
            self.at += length
        elif _ELAPSED.fullmatch(inner):
            self.put("elapsed", inner.lower(), length)
        else:
            raise FormatFault(f"number format {code!r} uses [{inner}], which is not known here")

    def locale(self, tag: str) -> None:
        tag = tag.partition(",")[0].upper()
        if tag == "F800":
            self.system = "date"
        elif tag == "F400":
            self.system = "time"
        elif tag and tag.lower().startswith("x-sys"):
            self.system = "date" if "date" in tag.lower() else "time"
        elif tag:
            if re.fullmatch(r"[0-9A-F]{7,8}", tag):
                # Digit shapes, calendar, language; 01 is European digits, 01 is Gregorian.
                shapes, calendar = tag[:-6].lstrip("0"), tag[-6:-4].lstrip("0")
                if shapes not in ("", "1") or calendar not in ("", "1"):
                    raise FormatFault(
                        f"number format {self.code!r} asks for other digits or another calendar"
                    )
            self.language = locales.language_of(tag) or f"?{tag}"


def _settle(tokens: list[Token]) -> tuple[Token, ...]:
    """Tell minutes from months, and parts of a second from decimals."""
    dates = [i for i, token in enumerate(tokens) if token.kind in _DATE_KINDS]
    if not dates:
        return tuple(tokens)
    out = list(tokens)
    for place, index in enumerate(dates):
        if out[index].kind != "month" or len(out[index].text) > 2:
            continue
        before = out[dates[place - 1]] if place else None
        after = out[dates[place + 1]] if place + 1 < len(dates) else None
        # ECMA-376-1, 18.8.31: m right after h, or right before s, is minutes.
        if (before and (before.kind == "hour" or before.text.startswith("h"))) or (
            after and (after.kind == "second" or after.text.startswith("s"))
        ):
            out[index] = Token("minute", out[index].text)
    return tuple(_join_fractions(out))


def _join_fractions(tokens: list[Token]) -> list[Token]:
    """Make ``.000`` right after seconds one token; any other point or comma is text."""
    out: list[Token] = []
    for index, token in enumerate(tokens):
        if token.kind == "point" and out and _is_seconds(out[-1]):
            rest = tokens[index + 1 :]
            out.append(Token("fraction" if rest and rest[0].text == "0" else "text", "."))
        elif token.kind == "digit" and token.text == "0" and out and out[-1].kind == "fraction":
            out[-1] = Token("fraction", out[-1].text + "0")
        elif token.kind in ("point", "comma", "digit", "percent", "exponent"):
            out.append(Token("text", token.text))
        else:
            out.append(token)
    return out


def _is_seconds(token: Token) -> bool:
    return token.kind == "second" or (token.kind == "elapsed" and token.text.startswith("s"))


def _kind(tokens: tuple[Token, ...], code: str) -> SectionKind:
    kinds = {token.kind for token in tokens}
    if kinds & _DATE_KINDS:
        if "at" in kinds or "general" in kinds:
            raise FormatFault(f"number format {code!r} mixes a date with a text")
        return "date"
    if "at" in kinds:
        return "text"
    if "general" in kinds:
        return "general"
    return "number" if "digit" in kinds else "literal"
