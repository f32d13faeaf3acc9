"""Numbers in plain formats, such as #,##0.00 and 0.0%, shown straight from their digits.

In: a format code and a stored number. Out: the text, or None wherever rounding, a sign or an
exponent would have a say: ``numfmt`` then shows it. Only a short cut; the texts are the same.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from vardata.intake.locales import Locale

_CODE = re.compile(r"(#,##)?0(?:\.(0{1,9}))?(%)?")
_STORED = re.compile(r"(\d{1,12})(?:\.(\d{1,9}))?")


class PlainFormat(NamedTuple):
    grouped: bool
    decimals: int
    percent: bool

    def text(self, raw: str, locale: Locale) -> str | None:
        """The number ``raw`` as this format shows it."""
        stored = _STORED.fullmatch(raw)
        if stored is None:
            return None
        whole, decimals = stored[1], stored[2] or ""
        if self.percent:
            decimals = decimals.ljust(2, "0")
            whole, decimals = whole + decimals[:2], decimals[2:]
        if len(decimals) > self.decimals and decimals[self.decimals :].strip("0"):
            return None
        whole = whole.lstrip("0") or "0"
        if self.grouped and len(whole) > 3:
            whole = f"{int(whole):,}".replace(",", locale.group)
        end = "%" if self.percent else ""
        if not self.decimals:
            return whole + end
        return whole + locale.decimal + decimals[: self.decimals].ljust(self.decimals, "0") + end


def plain_format(code: object) -> PlainFormat | None:
    """The format of a code that is plain, or None."""
    match = _CODE.fullmatch(code) if isinstance(code, str) else None
    if match is None:
        return None
    return PlainFormat(bool(match[1]), len(match[2] or ""), bool(match[3]))
