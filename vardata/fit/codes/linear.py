"""The linear codes of our own: EAN-13, EAN-8, UPC-A, Code 39, ITF and ITF-14, with Code 128.

Patterns are the ``python-barcode`` package's tables. Narrow elements are one module, wide
ones three: the package's Code 39 has that ratio, and the same is taken for ITF, so that all
modules are whole (ISO/IEC 16388 and 16390 allow 2.0 to 3.0; secondary).
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from barcode.charsets import code39 as code39_tables
from barcode.charsets import ean as ean_tables
from barcode.charsets import itf as itf_tables
from barcode.charsets import upc as upc_tables

from vardata.fit.codes.code128 import encode_code128
from vardata.fit.codes.symbol import CodeError, Symbol, one_row, shown

Linear = Literal["code128", "ean13", "ean8", "upca", "code39", "itf", "itf14"]
DIGITS = "0123456789"
WIDE = 3


@lru_cache(maxsize=256)  # the pieces of one row share their text
def encode_linear(symbology: Linear, text: str, check_digit: bool = False) -> Symbol:
    """The symbol of a text; ``check_digit`` appends the optional one of Code 39 and ITF.

    EAN, UPC and ITF-14 take their number with its check digit, which must be right, or without.
    Raises ``CodeError`` for a text that the symbology cannot carry.
    """
    if symbology == "code128":
        return encode_code128(text)
    if symbology == "ean13":
        return _ean13(text)
    if symbology == "ean8":
        return _ean8(text)
    if symbology == "upca":
        return _upca(text)
    if symbology == "code39":
        return _code39(text, check_digit)
    if symbology == "itf14":
        return _itf14(text)
    return _itf(text, check_digit)


def gs1_check_digit(digits: str) -> str:
    """The modulo 10 check digit that EAN-13, UPC-A and ITF-14 share: from the right, digits
    weigh 3 and 1 in turn (GS1 General Specifications, 7.9; clause from memory)."""
    total = 3 * sum(map(int, digits[::-2])) + sum(map(int, digits[-2::-2]))
    return DIGITS[-total % 10]


# ---------------------------------------------------------------- EAN and UPC


def _ean13(text: str) -> Symbol:
    number = whole_number(text, "EAN-13", 13)
    sets = ean_tables.LEFT_PATTERN[int(number[0])]
    left = "".join(ean_tables.CODES[s][int(d)] for s, d in zip(sets, number[1:7]))
    right = "".join(ean_tables.CODES["C"][int(d)] for d in number[7:])
    modules = ean_tables.EDGE + left + ean_tables.MIDDLE + right + ean_tables.EDGE
    return one_row(modules, number, f"{number[0]} {number[1:7]} {number[7:]}")


def _ean8(text: str) -> Symbol:
    number = whole_number(text, "EAN-8", 8)
    left = "".join(ean_tables.CODES["A"][int(d)] for d in number[:4])
    right = "".join(ean_tables.CODES["C"][int(d)] for d in number[4:])
    modules = ean_tables.EDGE + left + ean_tables.MIDDLE + right + ean_tables.EDGE
    return one_row(modules, number, f"{number[:4]} {number[4:]}")


def _upca(text: str) -> Symbol:
    number = whole_number(text, "UPC-A", 12)
    left = "".join(upc_tables.CODES["L"][int(d)] for d in number[:6])
    right = "".join(upc_tables.CODES["R"][int(d)] for d in number[6:])
    modules = upc_tables.EDGE + left + upc_tables.MIDDLE + right + upc_tables.EDGE
    return one_row(modules, number, f"{number[0]} {number[1:6]} {number[6:11]} {number[11]}")


def whole_number(text: str, name: str, length: int) -> str:
    """The number with its check digit, checked or computed."""
    only_digits(text, name)
    if len(text) not in (length - 1, length):
        short = len(text) < length - 1
        raise CodeError(
            f"{name} takes {length} digits, or {length - 1} without the check digit; "
            f"this number has {len(text)}",
            "mend the number"
            + ("; if leading zeros were lost, format the column as text" if short else ""),
        )
    digits = text[: length - 1]
    right = gs1_check_digit(digits)
    if len(text) == length and text[-1] != right:
        raise CodeError(
            f"the check digit of {name} {text} is {text[-1]}, but {digits} asks for {right}",
            "compare the number with its source; one digit is wrong or two are swapped",
        )
    return digits + right


def only_digits(text: str, name: str) -> None:
    """Raises ``CodeError`` for anything but digits, and for an empty text."""
    if not text:
        raise CodeError(f"the text of the {name} is empty", "give the field a number")
    wrong = "".join(c for c in text if c not in DIGITS)
    if wrong:
        raise CodeError(f"{name} takes the digits 0 to 9 only, found {shown(wrong)}", "mend it")


# ---------------------------------------------------------------- Code 39


def _code39(text: str, check_digit: bool) -> Symbol:
    """Code 39 (ISO/IEC 16388); a check character is the sum of all values modulo 43."""
    if not text:
        raise CodeError("the text of the Code 39 is empty", "give the field a text")
    table = code39_tables.MAP
    wrong = "".join(c for c in text if c not in table)
    if wrong:
        remedy = "use 0-9, A-Z, space and - . $ / + %, or another symbology"
        if all(c in table for c in text.upper()):
            remedy = f"write capitals ({text.upper()!r}), or use another symbology"
        raise CodeError(f"Code 39 cannot hold {shown(wrong)}", remedy)
    data = text
    if check_digit:
        data += code39_tables.REF[sum(table[c][0] for c in text) % 43]
    edge = code39_tables.EDGE
    modules = code39_tables.MIDDLE.join([edge, *(table[c][1] for c in data), edge])
    return one_row(modules, data, data)


# ---------------------------------------------------------------- ITF


def _itf(text: str, check_digit: bool) -> Symbol:
    """Interleaved 2 of 5 (ISO/IEC 16390); pairs of digits, one in bars, one in spaces.

    A code of two digits is refused: readers ignore it unless they are told otherwise, since
    any stripes may look like one (zxing-cpp reads from 4 digits on, zbar from 6).
    """
    only_digits(text, "ITF")
    data = text + gs1_check_digit(text) if check_digit else text
    if len(data) % 2:
        with_check = f" with the check digit, {len(data)}" if check_digit else ""
        other = "check_digit = false" if check_digit else "check_digit = true"
        raise CodeError(
            f"ITF takes an even number of digits; this number has {len(text)}{with_check}",
            f'put a zero before it, or set "{other}" in the layout',
        )
    if len(data) < 4:
        raise CodeError(
            f"ITF of {len(data)} digits is too short to be read safely",
            "put zeros before it, to 4 digits or more",
        )
    pairs = "".join([_ITF_PAIRS[data[at : at + 2]] for at in range(0, len(data), 2)])
    return one_row(_ITF_START + pairs + _ITF_STOP, data, data)


def _itf14(text: str) -> Symbol:
    """ITF-14: a GTIN-14 in ITF; its bearer bars, which serve printing plates, are not drawn."""
    number = whole_number(text, "ITF-14", 14)
    line = f"{number[0]} {number[1:3]} {number[3:8]} {number[8:13]} {number[13]}"
    return _itf(number, False)._replace(line=line)


def _widths(elements: str) -> str:
    """The package's element letters as modules: capitals are bars, W and w are wide."""
    return elements.translate({78: "1", 110: "0", 87: "1" * WIDE, 119: "0" * WIDE})


_ITF_START = _widths(itf_tables.START)
_ITF_STOP = _widths(itf_tables.STOP)
_ITF_PAIRS = {
    first + second: _widths(
        "".join(
            bar + space
            for bar, space in zip(
                itf_tables.CODES[int(first)], itf_tables.CODES[int(second)].lower()
            )
        )
    )
    for first in DIGITS
    for second in DIGITS
}
