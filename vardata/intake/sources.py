"""Which source reads an order sheet: told by its suffix, checked against its first bytes.

In: a setup and the locale. Out: a ``Source``. Raises ``SheetError`` with one line for a file
that is not there, is empty or is of another kind.
"""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

from vardata.intake import pooled
from vardata.intake.delimited import DelimitedSource
from vardata.intake.document import DocumentSource
from vardata.intake.filekind import SAVE_PAGE, is_web_page
from vardata.intake.headrow import (
    find_heading_row,
    heading_row,
    own_heading_row,
    wanted_headings,
    with_heading_row,
)
from vardata.intake.jsonlines import LinesSource
from vardata.intake.locales import Locale
from vardata.intake.source import SheetRow, Source
from vardata.intake.textfile import find_encoding
from vardata.intake.worksheet import WorksheetSource
from vardata.problems import Problem, Severity, SheetError, Where, fail

if TYPE_CHECKING:
    from pathlib import Path

    from vardata.job.model import Setup

_WORKBOOKS = (".xlsx", ".xlsm")
_TEXTS = (".csv", ".tsv", ".txt")
_LINES = (".jsonl", ".ndjson")
_DOCUMENT = ".ods"


def open_source(setup: Setup, locale: Locale, faults: list[Problem]) -> Source:
    path, sheet = setup.sheet_file, setup.job.sheet
    suffix = path.suffix.lower()
    if suffix == pooled.SUFFIX:
        return _open_pool(setup, locale, faults)
    if suffix not in (*_WORKBOOKS, *_TEXTS, *_LINES, _DOCUMENT):
        raise SheetError([*faults, _unreadable(path.name, suffix)])
    try:
        if not path.is_file():
            near = difflib.get_close_matches(
                path.name, [p.name for p in path.parent.glob("*") if p.is_file()], 1
            )
            raise fail(
                SheetError, "no-file", "the order sheet is not there",
                f"did you mean {near[0]!r}?" if near else "check file under [sheet]",
                file=str(path),
            )  # fmt: skip
        if path.stat().st_size == 0:
            raise fail(
                SheetError, "empty-file", "the file is empty", "save it again", file=path.name
            )
        if suffix in _WORKBOOKS:
            return WorksheetSource(
                path, sheet.sheet, sheet.header_row, locale,
                locale_stated="locale" in setup.job.model_fields_set,
            )  # fmt: skip
        if suffix == _DOCUMENT:
            return DocumentSource(path, sheet.sheet, sheet.header_row)
        with path.open("rb") as file:
            if file.read(4) == b"PK\x03\x04":
                raise fail(
                    SheetError, "wrong-suffix", f"the file is a workbook, not a {suffix} text",
                    "rename it to end in .xlsx", file=path.name,
                )  # fmt: skip
        if suffix in _LINES:
            return LinesSource(path)
        if is_web_page(path):
            raise fail(
                SheetError, "web-page", "the file is a web page, not a table as text",
                SAVE_PAGE, file=path.name,
            )  # fmt: skip
        encoding = find_encoding(path, sheet.encoding, locale.language)
        return DelimitedSource(path, encoding, sheet.delimiter, sheet.header_row)
    except OSError as error:
        raise fail(
            SheetError, "no-file", f"the order sheet cannot be opened ({error.strerror})",
            "check file under [sheet] and whether you may read it", file=path.name,
        ) from None  # fmt: skip


def _open_pool(setup: Setup, locale: Locale, faults: list[Problem]) -> Source:
    """The sheets of a pool, each with its headings where they are found."""
    stated = "header_row" in setup.job.sheet.model_fields_set

    def open_part(path: Path) -> tuple[Source, SheetRow]:
        alone = setup.model_copy(update={"sheet_file": path})
        source = open_source(alone, locale, faults)
        if (own := own_heading_row(source)) is not None:
            alone = with_heading_row(alone, own)
        elif not stated:
            wanted = wanted_headings(setup.job, frozenset())
            row = find_heading_row(
                alone, source, wanted, lambda again: open_source(again, locale, faults)
            )
            alone = with_heading_row(alone, row)
            source = open_source(alone, locale, faults)
        return source, heading_row(source, alone.job.sheet.header_row, path.name, faults)

    keyed = setup.job.records.line is not None
    row = setup.job.sheet.header_row
    return pooled.PooledSource(setup.sheet_file, row, keyed, open_part)


def _unreadable(name: str, suffix: str) -> Problem:
    kind = {
        ".xls": "an old .xls workbook", ".xlsb": "a binary workbook (.xlsb)",
        ".fods": "a flat OpenDocument sheet (.fods)", ".numbers": "a Numbers sheet",
        ".pdf": "a PDF",
    }.get(suffix, f"a {suffix} file" if suffix else "a file without a suffix")  # fmt: skip
    return Problem(
        "unknown-suffix",
        Severity.ERROR,
        f"{kind} cannot be read as an order sheet",
        "save it as .xlsx, or export it as .csv in UTF-8",
        Where(file=name),
        suffix,
    )
