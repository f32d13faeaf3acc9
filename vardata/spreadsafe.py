"""Cells that a spreadsheet would take for a formula, made harmless and back again.

In: the text of a cell. Out: the same text, with one apostrophe before it where a spreadsheet
could run it. The rule is OWASP ASVS 5.0, 1.2.10 (and CWE-1236): a value that begins with
``=``, ``+``, ``-``, ``@``, TAB or NUL is escaped with a single quote. It is widened by what
spreadsheets are known to skip or to fold on the way in: carriage return and line feed, leading
white space before a sign, and the full-width forms of the four signs.

The apostrophe is written only, never applied to what is printed: ``-Ann`` is a legal name.
It can be seen, and it can be undone without doubt: a text that already begins with
apostrophes before such a sign gets one more, so ``unguard(guard(text)) == text`` for every
text, and ``unguard`` leaves every other text alone.
"""

from __future__ import annotations

import re

# The full-width signs are U+FF1D, U+FF0B, U+FF0D and U+FF20.
RISKY_START = "'*(?:[\\s\\0\ufeff]*[=+\\-@\uff1d\uff0b\uff0d\uff20]|[\\t\\r\\n\\0])"
_RISKY = re.compile(RISKY_START)

# The heading by which a table of held rows is known when it comes back as an order sheet.
HELD_MARK = "held: what"


def is_risky(text: str) -> bool:
    """Whether a spreadsheet could take the text for a formula (or could, once unguarded)."""
    return _RISKY.match(text) is not None


def guard(text: str) -> str:
    """The text with an apostrophe before it if it is risky, else the text itself."""
    return "'" + text if _RISKY.match(text) else text


def unguard(text: str) -> str:
    """Undoes ``guard``: takes off one apostrophe that stands before a risky text."""
    return text[1:] if text.startswith("'") and _RISKY.match(text, 1) else text
