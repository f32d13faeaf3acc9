"""Code 128 (ISO/IEC 15417): characters to symbol values, values to modules.

Patterns and character tables are those of the ``python-barcode`` package. The choice of code
sets is made here: the package's own drops the first two digits of a text that begins with 99
(it takes the pair for a change of code set) and is often a character longer.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from barcode.charsets import code128 as tables

from vardata.fit.codes.symbol import CodeError, Symbol, one_row, shown

_PATTERNS: tuple[str, ...] = tables.CODES
_STOP: str = tables.STOP + "11"
_START: dict[str, int] = tables.START_CODES
# What changes to a code set, from any other; the same values the package names TO_A to TO_C.
_CHANGE = {"A": tables.B["TO_A"], "B": tables.A["TO_B"], "C": tables.A["TO_C"]}
_SETS: dict[str, dict[str, int]] = {"A": tables.A, "B": tables.B}

_FNC1 = "\x1d"  # a separator; readers hand it on as this character
_FNC1_VALUE = 102  # in all code sets

_CONTROL = re.compile(r"[\x00-\x1f]")
_LOWER = re.compile(r"[`-\x7f]")
_ONLY_ONE_SET = re.compile(r"[\x00-\x1f`-\x7f]")  # A alone has controls, B alone lower case
_DIGITS = re.compile(r"[0-9]{4,}|\A[0-9]{2}\Z")


def encode_code128(text: str) -> Symbol:
    """The symbol of 1 or more ASCII characters (0 to 127), check character included.

    Raises ``CodeError`` for any other character and for an empty text.
    """
    values = code128_values(text)
    modules = "".join([_PATTERNS[value] for value in values]) + _STOP
    return one_row(modules, text, _CONTROL.sub(" ", text).replace("\x7f", " "))


def encode_gs1_128(data: str, line: str) -> Symbol:
    """GS1-128: FNC1 after the start, and for each separator (character 29) in the data.

    ``data`` is a joined element string of GS1's characters, ``line`` its human-readable line.
    """
    modules = "".join([_PATTERNS[value] for value in gs1_128_values(data)]) + _STOP
    return one_row(modules, data, line)


def gs1_128_values(data: str) -> list[int]:
    """Start, data and check values, the fewest that hold the data in code sets B and C."""
    whole = _FNC1 + data
    # From the end: the fewest symbol characters after each place, for each set in force, and
    # the set that gets there. Code set C takes a pair of digits or an FNC1, B any one.
    costs = {"B": [0] * (len(whole) + 2), "C": [0] * (len(whole) + 2)}
    steps: dict[str, list[str]] = {"B": [""] * len(whole), "C": [""] * len(whole)}
    for at in range(len(whole) - 1, -1, -1):
        after_b = costs["B"][at + 1]
        if whole[at] == _FNC1:
            after_c: float = costs["C"][at + 1]
        else:
            pair = whole[at : at + 2]
            after_c = costs["C"][at + 2] if len(pair) == 2 and pair.isdigit() else math.inf
        for state, stay, leave in (("B", after_b, after_c), ("C", after_c, after_b)):
            other = "C" if state == "B" else "B"
            costs[state][at] = int(min(stay + 1, leave + 2))
            steps[state][at] = state if stay <= leave + 1 else other
    state = "C" if costs["C"][0] <= costs["B"][0] else "B"
    return _with_check(_walk(whole, state, steps))


def _walk(whole: str, state: str, steps: dict[str, list[str]]) -> list[int]:
    """The values along the cheapest way through the data."""
    values = [_START[state]]
    at = 0
    while at < len(whole):
        if steps[state][at] != state:
            state = steps[state][at]
            values.append(_CHANGE[state])
        if whole[at] == _FNC1:
            values.append(_FNC1_VALUE)
            at += 1
        elif state == "C":
            values.append(int(whole[at : at + 2]))
            at += 2
        else:
            values.append(_SETS["B"][whole[at]])
            at += 1
    return values


def _with_check(values: list[int]) -> list[int]:
    """The check value is the start plus each value times its place, modulo 103
    (ISO/IEC 15417, clause from memory)."""
    check = values[0] + sum(place * value for place, value in enumerate(values))
    return [*values, check % 103]


def code128_values(text: str) -> list[int]:
    """Start, data and check values, without the stop."""
    if not text:
        raise CodeError("the text of the Code 128 is empty", "give the field a text")
    if not text.isascii():
        wrong = "".join(c for c in text if not c.isascii())
        raise CodeError(
            f"Code 128 cannot hold {shown(wrong)}", "use ASCII characters only, or a QR code"
        )
    values: list[int] = []
    state = ""
    for code_set, part in _parts(text):
        if code_set != state:
            values.append(_CHANGE[code_set] if state else _START[code_set])
            state = code_set
        if code_set == "C":
            values += [int(part[at : at + 2]) for at in range(0, len(part), 2)]
        else:
            table = _SETS[code_set]
            values += [table[character] for character in part]
    return _with_check(values)


def _parts(text: str) -> Iterator[tuple[str, str]]:
    """The text in stretches of one code set.

    Code set C takes an even number of digits where that saves a symbol character: from four
    at the start or the end of the text, from six between other characters, or a text of two.
    """
    done = 0
    end = len(text)
    for match in _DIGITS.finditer(text):
        start, stop = match.span()
        if start and stop < end and stop - start < 6:
            continue
        if (stop - start) % 2:
            if start:
                start += 1  # the odd digit joins what stands before it
            else:
                stop -= 1
        yield from _letters(text, done, start)
        yield "C", text[start:stop]
        done = stop
    yield from _letters(text, done, end)


def _letters(text: str, start: int, stop: int) -> Iterator[tuple[str, str]]:
    """A stretch in code sets A and B, changed only where a character needs the other."""
    while start < stop:
        needs = _ONLY_ONE_SET.search(text, start, stop)
        if needs is None:
            yield "B", text[start:stop]
            return
        code_set = "A" if needs.group() < " " else "B"
        other = _LOWER if code_set == "A" else _CONTROL
        change = other.search(text, needs.end(), stop)
        upto = change.start() if change else stop
        yield code_set, text[start:upto]
        start = upto
