"""Bars from the writer: Code 93, Codabar, UPC-E, GS1 DataBar, and the add-ons of EAN and UPC."""

from __future__ import annotations

import re
from functools import lru_cache

from vardata.fit.codes.linear import DIGITS, gs1_check_digit, only_digits, whole_number
from vardata.fit.codes.symbol import CodeError, Symbol, one_row, shown
from vardata.fit.codes.written import write
from vardata.job.symbologies import SYMBOLOGIES

_CONTROL = re.compile(r"[\x00-\x1f\x7f]")
_CODABAR = "0123456789-$:/.+"
_WRITER = {
    "databar": "DataBarOmni",
    "databar-limited": "DataBarLtd",
    "databar-stacked": "DataBarStk",
    "databar-stacked-omni": "DataBarStkOmni",
}
# Light modules between a code and its add-on, at least the code's own right quiet zone (GS1
# General Specifications, 5.2.2, secondary: 7 to 12 modules for EAN-13 and UPC-E, 9 to 12 for
# UPC-A).
_GAP = {"ean13": 7, "upca": 9, "upce": 7}


@lru_cache(maxsize=256)  # the pieces of one row share their text
def encode_bars(symbology: str, text: str) -> Symbol:
    """The symbol of a text. Raises ``CodeError``."""
    name = SYMBOLOGIES[symbology].name
    if symbology in _WRITER:
        return _databar(symbology, name, text)
    if symbology == "upce":
        return _upce(name, text)
    if not text:
        raise CodeError(f"the text of the {name} is empty", "give the field a text")
    return _codabar(name, text) if symbology == "codabar" else _code93(name, text)


def _code93(name: str, text: str) -> Symbol:
    """Code 93 with its two check characters, in full ASCII; no reader returns the checks."""
    wrong = "".join(c for c in text if not c.isascii())
    if wrong:
        raise CodeError(f"{name} cannot hold {shown(wrong)}", "use ASCII characters only")
    return write("Code93", name, text, line=_CONTROL.sub(" ", text))


def _codabar(name: str, text: str) -> Symbol:
    """Codabar: a start and a stop of A to D, which are put where the text has none.

    One character between them is refused: neither zxing-cpp nor zbar reads that.
    """
    data = text.upper()
    if not (len(data) > 2 and data[0] in "ABCD" and data[-1] in "ABCD"):
        data = f"A{data}B"
    wrong = "".join(c for c in data[1:-1] if c not in _CODABAR)
    if wrong:
        raise CodeError(
            f"{name} cannot hold {shown(wrong)}",
            "use 0-9 and - $ : / . +, with A, B, C or D as the first and the last alone",
        )
    if len(data) < 4:
        raise CodeError(
            f"{name} of {len(data) - 2} character is too short to be read safely",
            "give it two characters or more",
        )
    return write("Codabar", name, data, line=data)


def _databar(symbology: str, name: str, text: str) -> Symbol:
    """GS1 DataBar of a GTIN-14, which readers return with its identifier 01 before it."""
    number = text.removeprefix("(01)")
    only_digits(number, name)
    if len(number) in (8, 12, 13) and number[-1] == gs1_check_digit(number[:-1]):
        number = number.rjust(14, "0")
    number = whole_number(number, name, 14)
    if symbology == "databar-limited" and number[0] not in "01":
        raise CodeError(
            f"{name} takes numbers that begin with 0 or 1, found {number}", "use GS1 DataBar"
        )
    stacked = SYMBOLOGIES[symbology].matrix
    line = f"(01){number}"
    return write(_WRITER[symbology], name, number, text=f"01{number}", line=line, stacked=stacked)


# ---------------------------------------------------------------- UPC-E


def _upce(name: str, text: str) -> Symbol:
    """UPC-E of 6, 7 or 8 digits, or of a UPC-A number whose zeros can be left out.

    Readers return the eight digits or the UPC-A number that they stand for.
    """
    only_digits(text, name)
    if len(text) in (11, 12):
        text = _without_zeros(name, whole_number(text, name, 12))
    if len(text) == 6:
        text = f"0{text}"
    if len(text) not in (7, 8):
        raise CodeError(
            f"{name} takes 6 to 8 digits, or the 12 of a UPC-A; this number has {len(text)}",
            "mend the number; if leading zeros were lost, format the column as text",
        )
    if text[0] not in "01":
        raise CodeError(
            f"{name} begins with 0 or 1, this number with {text[0]}", "use UPC-A for it"
        )
    right = gs1_check_digit(with_zeros(text[:7]))
    if len(text) == 8 and text[-1] != right:
        raise CodeError(
            f"the check digit of {name} {text} is {text[-1]}, but {text[:7]} asks for {right}",
            "compare the number with its source; one digit is wrong or two are swapped",
        )
    number = text[:7] + right
    line = f"{number[0]} {number[1:7]} {number[7]}"
    return write("UPCE", name, number[:7], text=number, line=line)


def with_zeros(short: str) -> str:
    """The eleven digits of UPC-A for seven of UPC-E (GS1 General Specifications, 5.2.2.4 and
    7.10; clauses from memory)."""
    system, digits, last = short[0], short[1:6], short[6]
    if last in "012":
        return f"{system}{digits[:2]}{last}0000{digits[2:]}"
    if last == "3":
        return f"{system}{digits[:3]}00000{digits[3:]}"
    if last == "4":
        return f"{system}{digits[:4]}00000{digits[4]}"
    return f"{system}{digits}0000{last}"


def _without_zeros(name: str, number: str) -> str:
    """The eight digits of UPC-E for a UPC-A number."""
    system, rest, check = number[0], number[1:11], number[11]
    for last in DIGITS:
        kept = {"3": rest[:3] + rest[8:], "4": rest[:4] + rest[9]}.get(
            last, rest[:2] + rest[7:] if last in "012" else rest[:5]
        )
        short = system + kept[:5] + last
        if len(short) == 7 and with_zeros(short) == number[:11]:
            return short + check
    raise CodeError(
        f"the UPC-A number {number} has not enough zeros for {name}", "use UPC-A for it"
    )


# ---------------------------------------------------------------- add-ons


def with_addon(symbology: str, symbol: Symbol, digits: str) -> Symbol:
    """A code with an add-on of two or five digits behind it, as high as its bars."""
    only_digits(digits, "an add-on")
    if len(digits) not in (2, 5):
        raise CodeError(
            f"an add-on has 2 or 5 digits, {digits} has {len(digits)}",
            "write it behind a plus, such as 9783161484100+12345",
        )
    addon = write(f"EAN{len(digits)}", "add-on", digits)
    modules = f"{_modules(symbol)}{'0' * _GAP[symbology]}{_modules(addon)}"
    return one_row(modules, f"{symbol.text}+{digits}", f"{symbol.line} {digits}")


def _modules(symbol: Symbol) -> str:
    width = len(symbol.bits) * 8
    return f"{int.from_bytes(symbol.bits, 'big'):0{width}b}"[: symbol.columns]
