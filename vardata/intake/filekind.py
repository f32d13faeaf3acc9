"""What a file is by its first bytes, where its name says something else.

In: a path. Out: whether it is a web page, or a table as text. Exports of shops are often web
pages under a spreadsheet's name, and texts are often saved so (common practice, no source).
"""

from __future__ import annotations

import re
from pathlib import Path

SAVE_PAGE = "rename it to end in .html, open it in a spreadsheet program and save it as .xlsx"
_LOOKED_AT = 4096
_PAGE = re.compile(rb"\s*(?:<!--.*?-->\s*)*<(?:!doctype\s+html|html|head|body|table|meta)\b", re.I)
_ROWS = re.compile(r"[^\n]*[,;\t|][^\n]*\n[^\n]*[,;\t|]")


def _start(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(_LOOKED_AT).removeprefix(b"\xef\xbb\xbf")


def is_web_page(path: Path) -> bool:
    """Whether the file begins as HTML does (WHATWG, 13.1.1). Raises ``OSError``."""
    return _PAGE.match(_start(path)) is not None


def is_text_table(path: Path) -> bool:
    """Whether the first two lines are texts with a delimiter. Raises ``OSError``."""
    start = _start(path)
    if any(byte < 9 or 13 < byte < 32 for byte in start):
        return False
    return _ROWS.match(start.decode("utf-8", "replace")) is not None
