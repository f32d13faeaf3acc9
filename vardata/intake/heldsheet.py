"""A table of held rows that comes back: read as it was written, whatever the job says of its sheet.

In: a setup, and a way to open its order sheet. Out: the setup, for a table of held rows without
what the job says of another file: the worksheet, the row of the headings, delimiter and encoding.
The table is known by its reasons in the first row. Looks only where the job says such a thing, and
opens nothing where the file's bytes lack the heading.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import IO, TYPE_CHECKING

from vardata.intake.source import Source
from vardata.problems import SheetError
from vardata.spreadsafe import HELD_MARK

if TYPE_CHECKING:
    from vardata.job.model import Setup

_STATED = ("sheet", "header_row", "delimiter", "encoding")
_MARK = HELD_MARK.encode()
_PIECE = 1 << 16
_TEXTS = ("sharedStrings.xml", "content.xml")  # of workbooks and of OpenDocument sheets


def as_held(setup: Setup, opened: Callable[[Setup], Source]) -> Setup:
    """The setup as the file wants it. ``opened`` raises ``SheetError``."""
    stated = setup.job.sheet.model_fields_set.intersection(_STATED)
    if not stated or not _may_be_held(setup.sheet_file):
        return setup
    # A sheet of this name may be there after all; a text may have been saved again in the manner of
    # the order sheets.
    for freed in (_STATED[1:], _STATED, ("header_row",)):
        as_written = _without(setup, freed)
        with suppress(SheetError):
            first = next(iter(opened(as_written).rows()), None)
            if first and first.number == 1 and HELD_MARK in map(str.strip, first.cells):
                return as_written
    return setup


def _without(setup: Setup, keys: Sequence[str]) -> Setup:
    """The setup as if nobody had stated these keys; the headings are in row 1."""
    sheet = setup.job.sheet.model_copy(update={**dict.fromkeys(keys), "header_row": 1})
    return setup.model_copy(update={"job": setup.job.model_copy(update={"sheet": sheet})})


def _may_be_held(path: Path) -> bool:
    """Whether the bytes of the heading are in a place where headings are."""
    try:
        with path.open("rb") as file:
            if file.read(2) != b"PK":
                file.seek(0)
                return _MARK in file.read(_PIECE).replace(b"\0", b"")  # also UTF-16
        with zipfile.ZipFile(path) as package:
            for name in package.namelist():
                if name.endswith(_TEXTS) or "/worksheets/" in name:
                    with package.open(name) as part:
                        if _MARK in part.read(_PIECE):
                            return True
                        if name.endswith(_TEXTS) and _holds(part):
                            return True
    except (OSError, zipfile.BadZipFile, RuntimeError, NotImplementedError, EOFError):
        pass  # whoever opens the file will tell
    return False


def _holds(part: IO[bytes]) -> bool:
    """Whether the mark is in the rest of a part, read piece by piece."""
    before = b""
    while piece := part.read(_PIECE):
        if _MARK in before + piece:
            return True
        before = piece[-len(_MARK) :]
    return False
