"""A workbook's package, checked from its directory before anything is unpacked.

In: the path of a zip file. Out: the opened zip. Raises ``SheetError`` with one line for what is
no package, is protected or is built to burst.
"""

from __future__ import annotations

import zipfile
import zlib
from pathlib import Path

from vardata.intake.filekind import SAVE_PAGE, is_text_table, is_web_page
from vardata.problems import SheetError, VardataError, fail

_OLE2 = bytes.fromhex("D0CF11E0A1B11AE1")  # [MS-CFB], 2.2: header signature
# Common sense, no source: real sheets pack 10 to 30 times, and none unpacks to 4 GiB.
_MOST_UNPACKED = 4 << 30
_SUSPICIOUS_UNPACKED = 200 << 20
_SUSPICIOUS_RATIO = 200
# What zipfile and its decompressors raise for damaged, encrypted or unusual entries.
ZIP_ERRORS = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, KeyError)


def opened_package(path: Path, kind: str = ".xlsx") -> zipfile.ZipFile:
    """The package, checked from its directory before anything is unpacked."""

    def refuse(kind: str, what: str, remedy: str) -> VardataError:
        return fail(SheetError, kind, what, remedy, file=path.name)

    with path.open("rb") as file:
        head = file.read(8)
    if head == _OLE2:
        raise refuse(
            "protected-workbook",
            "the workbook is protected with a password, or is an old .xls under a new name",
            f"take the password off, or save it as {kind}",
        )
    try:
        package = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, OSError):
        if is_web_page(path):
            what = f"the file is a web page, not an {kind} workbook"
            raise refuse("wrong-suffix", what, SAVE_PAGE) from None
        if is_text_table(path):
            what = f"the file is a table as text, not an {kind} workbook"
            raise refuse("wrong-suffix", what, "rename it to end in .csv") from None
        raise refuse(
            "damaged-workbook",
            f"the file is not an {kind} workbook, or is damaged",
            "open it in a spreadsheet program and save it again",
        ) from None
    entries = package.infolist()
    if any(entry.flag_bits & 1 for entry in entries):
        raise refuse("protected-workbook", "the file is encrypted", "take the password off")
    unpacked = sum(entry.file_size for entry in entries)
    packed = sum(entry.compress_size for entry in entries) or 1
    if unpacked > _MOST_UNPACKED or (
        unpacked > _SUSPICIOUS_UNPACKED and unpacked > _SUSPICIOUS_RATIO * packed
    ):
        raise refuse(
            "bursting-workbook",
            f"the workbook would unpack from {packed:,} to {unpacked:,} bytes",
            "check where the file comes from; save the sheet as .csv if it is genuine",
        )
    if any(entry.filename.endswith("workbook.bin") for entry in entries):
        raise refuse("not-a-workbook", "the file is a binary workbook (.xlsb)", "save it as .xlsx")
    return package
