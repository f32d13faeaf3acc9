"""One cell of a workbook as displayed: its stored type, value and style give a text.

In: the attributes and the value of a ``c`` element. Out: the text, and a fault where the text
is not certain. Rules: ECMA-376 part 1, 18.3.1.4 (c) and 18.18.11 (ST_CellType).
"""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

from vardata.intake import numfmt
from vardata.intake.fmtnumber import general
from vardata.intake.locales import Locale
from vardata.intake.plainnumber import plain_format
from vardata.intake.strings import SharedStrings, unescape
from vardata.intake.workbook import Workbook

# A spreadsheet keeps 15 digits of a number (Microsoft KB 269370): from here on digits are lost.
_TOO_LARGE = 1e15
_CACHE = 20_000


class Shown(NamedTuple):
    """A displayed text. ``kind`` and ``what`` are set where it is not certain; ``settings``
    where another computer might show it differently."""

    text: str
    kind: str = ""
    what: str = ""
    remedy: str = ""
    settings: bool = False


_FAULTY = {
    "uncached-formula": "open the workbook in a spreadsheet program, save it, and use that file",
    "error-cell": "mend the formula or write the value",
    "too-many-digits": "format the column as text and enter the numbers again, or use a csv file",
    "unclear-format": "choose a plain number format for the cell, or format it as text",
    "damaged-cell": "write the value again",
}


def _fault(kind: str, text: str, what: str) -> Shown:
    return Shown(text, kind, what, _FAULTY[kind])


class CellReader:
    """Turns stored cells of one workbook into displayed texts."""

    def __init__(self, book: Workbook, strings: SharedStrings, locale: Locale) -> None:
        self.book, self.strings, self.locale = book, strings, locale
        self._numbers: dict[tuple[int, str], Shown] = {}
        # Styles whose format can change a text: those with an @ and something beside it.
        self._dresses_text = [
            isinstance(code, str) and code not in ("General", "@") and ("@" in code or ";" in code)
            for code in book.formats
        ]
        self._settings = [
            isinstance(code, str) and numfmt.follows_settings(code, locale) for code in book.formats
        ]
        self._general = [code == "General" for code in book.formats]
        self._plain = [plain_format(code) for code in book.formats]
        # Styles of zeros alone, the usual dress of numbers that are codes: how many zeros.
        self._zeros = [
            len(code) if isinstance(code, str) and not code.strip("0") else 0
            for code in book.formats
        ]

    def show(self, kind: str, style: int, raw: str, formula: bool) -> Shown | str:
        """The displayed text; a plain ``str`` where nothing more is to be said of it.

        ``kind`` is the attribute t ("n" if it is missing), ``raw`` the text of v or is.
        """
        if kind == "s":
            try:
                return self._text(self.strings[int(raw)], style)
            except (ValueError, IndexError):
                return _fault(
                    "damaged-cell", "", f"the cell names string {raw!r}, which is not there"
                )
        if formula and not raw and kind != "str":
            return _fault("uncached-formula", "", "the cell is a formula without a stored result")
        if kind in ("str", "inlineStr"):
            return self._text(unescape(raw), style)
        if not raw:
            return ""
        if kind == "n":
            if 0 <= style < len(self._general) and _is_plain(raw):
                if self._general[style]:
                    return raw
                if self._zeros[style]:
                    return raw.zfill(self._zeros[style])
            plain = self._plain[style] if 0 <= style < len(self._plain) else None
            if plain is not None and (text := plain.text(raw, self.locale)) is not None:
                return text
            key = (style, raw)
            shown = self._numbers.get(key)
            if shown is None:
                if len(self._numbers) >= _CACHE:
                    self._numbers.clear()
                shown = self._numbers[key] = self._number(raw, style)
            return shown if shown.kind or shown.settings else shown.text
        if kind == "b":
            return "TRUE" if raw in ("1", "true") else "FALSE"
        if kind == "e":
            return _fault("error-cell", raw, f"the cell shows the error {raw}")
        if kind == "d":
            return self._iso_date(raw, style)
        return _fault("damaged-cell", raw, f"the cell is of the unknown type {kind!r}")

    def _text(self, text: str, style: int) -> Shown | str:
        if not (0 <= style < len(self._dresses_text) and self._dresses_text[style]):
            return text
        code = self.book.formats[style]
        try:
            return numfmt.display(text, str(code), self.locale)
        except numfmt.FormatFault as fault:
            return _fault("unclear-format", text, str(fault))

    def _number(self, raw: str, style: int) -> Shown:
        try:
            value = float(raw)
        except ValueError:
            return _fault("damaged-cell", raw, f"the cell's number {raw!r} is not one")
        formats = self.book.formats
        code = formats[style] if 0 <= style < len(formats) else "General"
        if abs(value) >= _TOO_LARGE:
            return _fault(
                "too-many-digits",
                raw,
                f"the number {raw} has more than 15 digits, of which a spreadsheet keeps 15: "
                "its last digits are lost",
            )
        if isinstance(code, numfmt.FormatFault):
            return _fault("unclear-format", general(value, self.locale), str(code))
        try:
            text = numfmt.display(value, code, self.locale, self.book.date1904)
        except numfmt.FormatFault as fault:
            plain = general(value, self.locale)
            return _fault("unclear-format", plain, f"the number {plain} cannot be shown: {fault}")
        settings = 0 <= style < len(self._settings) and self._settings[style]
        # Blanks at the ends of a shown number only line up columns; they are not part of it.
        return Shown(text.strip(" "), settings=settings)

    def _iso_date(self, raw: str, style: int) -> Shown | str:
        """A date stored as ISO 8601, as Strict workbooks may."""
        try:
            moment = dt.datetime.fromisoformat(raw.removesuffix("Z"))
        except ValueError:
            return _fault("damaged-cell", raw, f"the cell's date {raw!r} is not one")
        days = (moment - dt.datetime(1899, 12, 30)) / dt.timedelta(days=1)
        if self.book.date1904:
            days -= 1462
        return self._number(repr(days), style)


def _is_plain(raw: str) -> bool:
    """Whether a stored number is a whole one that General shows as it stands."""
    return len(raw) <= 15 and raw.isdecimal() and (raw[0] != "0" or raw == "0")
