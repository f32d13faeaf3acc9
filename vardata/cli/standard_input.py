"""An order sheet that comes through standard input, kept in a file while the program runs.

In: the bytes of standard input. Out: a path with the suffix that its first bytes speak for.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import click

_HEAD = 4096


def sheet_option(
    _: click.Context, _option: click.Parameter, paths: tuple[Path, ...]
) -> Path | None:
    """The callback of ``--sheet``: "-" stands for standard input, several sheets for a pool."""
    sheets = [_kept() if str(path) == "-" else path for path in paths]
    if len(sheets) < 2:
        return sheets[0] if sheets else None
    from vardata.intake.pooled import make_pool
    from vardata.job.query import kept_for_now

    for path in sheets:
        if not path.is_file():
            return path  # said where the job is read, as of a sheet alone
    return make_pool(sheets, kept_for_now("pool").parent)


def _kept() -> Path:
    from vardata.job.query import kept_for_now

    stream = sys.stdin.buffer
    head = stream.read(_HEAD)
    path = kept_for_now(f"standard-input{_suffix(head)}")
    with path.open("wb") as file:
        file.write(head)
        shutil.copyfileobj(stream, file)
    return path


def _suffix(head: bytes) -> str:
    """By the first bytes: a package of either kind, JSON lines, or a text."""
    if head.startswith(b"PK\x03\x04"):
        return ".ods" if b"opendocument.spreadsheet" in head else ".xlsx"
    bare = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    return ".jsonl" if bare.startswith(b"{") else ".csv"
