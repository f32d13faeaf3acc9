"""Ready-made GS1 identifiers, as element strings in brackets.

Each function takes the plain parts of an identifier, works out its check digit and gives the
text that a code field with ``gs1`` takes: ``sgtin("10614141123459", "400")`` gives
``(01)10614141123459(21)400``. Raises ``Gs1Error``. Numbers come as text: a leading zero counts.
"""

from __future__ import annotations

from vardata.gs1 import checks
from vardata.gs1.checks import DIGITS
from vardata.gs1.error import Gs1Error
from vardata.gs1.parse import escaped, parse


def gtin(number: str) -> str:
    """``(01)`` of a GTIN of 8, 12, 13 or 14 digits, its check digit included: without, a
    number and a mistyped one could not be told apart."""
    return _whole(f"(01){_gtin14(number)}")


def check_digit(digits: str) -> str:
    """The check digit of a number that has none yet, for a GTIN that a sheet keeps without."""
    return checks.check_digit(_digits(digits, "the number"))


def sgtin(number: str, serial: str) -> str:
    """``(01)(21)``: a trade item with its serial number."""
    return _whole(f"(01){_gtin14(number)}(21){escaped(serial)}")


def giai(prefix: str, reference: str) -> str:
    """``(8004)``: an asset of its own, company prefix and reference, 30 characters at most."""
    return _whole(f"(8004){_digits(prefix, 'the company prefix')}{escaped(reference)}")


def grai(prefix: str, asset_type: str, serial: str = "") -> str:
    """``(8003)``: a returnable asset; prefix and type are 12 digits together."""
    _digits(prefix, "the company prefix")
    _digits(asset_type, "the asset type")
    body = _filled(prefix, asset_type, 12, "prefix and asset type")
    return _whole(f"(8003)0{body}{checks.check_digit(body)}{escaped(serial)}")


def sscc(extension: str, prefix: str, reference: str) -> str:
    """``(00)``: a logistic unit; extension digit, prefix and reference, 17 digits together."""
    if len(_digits(extension, "the extension")) != 1:
        raise Gs1Error("the extension of an SSCC is one digit", "use 0 to 9")
    _digits(prefix, "the company prefix")
    _digits(reference, "the reference")
    body = extension + _filled(prefix, reference, 16, "prefix and reference")
    return _whole(f"(00){body}{checks.check_digit(body)}")


def _gtin14(number: str) -> str:
    _digits(number, "the GTIN")
    if len(number) in (8, 12, 13, 14):
        right = checks.check_digit(number[:-1])
        if number[-1] == right:
            return number.rjust(14, "0")
        raise Gs1Error(
            f"the check digit of GTIN {number} is {number[-1]}, but {number[:-1]} asks for {right}",
            "compare the number with its source; one digit is wrong or two are swapped",
        )
    raise Gs1Error(
        f"a GTIN has 8, 12, 13 or 14 digits, {number} has {len(number)}",
        "mend the number; if leading zeros were lost, format the column as text",
    )


def _digits(text: str, name: str) -> str:
    if text and all(c in DIGITS for c in text):
        return text
    what = f"{name} is digits only, found {text!r}" if text else f"{name} is empty"
    raise Gs1Error(what, "mend it")


def _filled(prefix: str, reference: str, size: int, name: str) -> str:
    """Prefix and reference, with zeros between them up to a size."""
    room = size - len(prefix)
    if len(reference) > room:
        raise Gs1Error(
            f"{name} have {len(prefix) + len(reference)} digits, at most {size} together",
            "shorten the reference",
        )
    return prefix + reference.rjust(room, "0")


def _whole(text: str) -> str:
    parse(text)
    return text
