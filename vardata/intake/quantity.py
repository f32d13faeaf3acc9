"""The quantity of a row: how many pieces it asks for.

In: the displayed text of the cell. Out: a whole number from 0, or a fault with its remedy.
Nothing is guessed: an empty cell, a part of a piece or a number that can be read in two ways
is a fault.
"""

from __future__ import annotations

import re
from typing import NamedTuple


class QuantityFault(NamedTuple):
    kind: str
    what: str
    remedy: str


_DECIMAL = re.compile(r"(\d+)[.,](0+)")
_FRACTIONAL = re.compile(r"\d*[.,]\d+")


def parse_quantity(text: str, most: int) -> int | QuantityFault:
    """The number of pieces; 0 asks for nothing. ``most`` is the job's upper limit."""
    allowed = f"write a whole number from 0 to {most:,}"
    if not text:
        return QuantityFault("no-quantity", "the quantity is empty", allowed)
    digits = text
    if match := _DECIMAL.fullmatch(text):
        if len(match[2]) == 3:
            # 1.000 or 1,000: one piece here, a thousand pieces there.
            plain = match[1] + match[2]
            return QuantityFault(
                "quantity-unclear",
                f"quantity {text!r} can mean {int(match[1])} or {int(plain):,}",
                f"write {int(match[1])} or {int(plain)}",
            )
        digits = match[1]
    if not digits.isdecimal():
        if text.startswith(("-", "\u2212")) and text[1:].replace(".", "").isdecimal():
            return QuantityFault("bad-quantity", f"quantity {text!r} is below 0", allowed)
        if _FRACTIONAL.fullmatch(text):
            what = f"quantity {text!r} is not a whole number"
            return QuantityFault("bad-quantity", what, allowed)
        return QuantityFault("bad-quantity", f"quantity {text!r} is not a number", allowed)
    if len(digits.lstrip("0")) > 9 or int(digits) > most:
        return QuantityFault(
            "quantity-too-large",
            f"quantity {text!r} is more than {most:,}",
            f"{allowed}, or raise records.quantity_max in the job",
        )
    return int(digits)
