"""A workbook's package: its parts, worksheets, number formats and date system.

In: the path of an .xlsx or .xlsm file. Out: a ``Workbook``, which knows where things are but
holds no cells. Raises ``SheetError`` with one line for what is not a workbook, is protected or
is built to burst. Rules: ECMA-376 part 2 (packages), part 1, 18.2 (workbook), 18.8 (styles);
names are compared without their namespace, so that Strict workbooks are read as well.
"""

from __future__ import annotations

import posixpath
import zipfile
import zlib
from pathlib import Path
from typing import IO, NamedTuple
from xml.etree import ElementTree

from vardata.intake import numfmt
from vardata.intake.locales import Locale
from vardata.problems import SheetError, VardataError, fail

_OLE2 = bytes.fromhex("D0CF11E0A1B11AE1")  # [MS-CFB], 2.2: header signature
# Common sense, no source: real sheets pack 10 to 30 times, and none unpacks to 4 GiB.
_MOST_UNPACKED = 4 << 30
_SUSPICIOUS_UNPACKED = 200 << 20
_SUSPICIOUS_RATIO = 200
_MOST_SMALL_PART = 64 << 20
# What zipfile and its decompressors raise for damaged, encrypted or unusual entries.
ZIP_ERRORS = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, KeyError)


class SheetPart(NamedTuple):
    name: str
    part: str
    hidden: bool


class Workbook:
    """An opened workbook. ``formats`` are the number format codes of the cell styles."""

    def __init__(self, path: Path, locale: Locale) -> None:
        self.path = path
        self.zip = _opened(path)
        main = self._related("", "officeDocument") or self._missing_main()
        root = self.xml(main)
        targets = self._targets(main)
        properties = next((e for e in root if _local(e) == "workbookPr"), None)
        self.date1904 = properties is not None and true_value(properties.get("date1904"))
        calculation = next((e for e in root if _local(e) == "calcPr"), None)
        self.stale = calculation is not None and true_value(calculation.get("fullCalcOnLoad"))
        self.sheets = [
            SheetPart(e.get("name", ""), targets.get(_relation(e), ("", ""))[1], _hidden(e))
            for e in root.iter()
            if _local(e) == "sheet" and targets.get(_relation(e), ("", ""))[0] == "worksheet"
        ]
        self.strings_part = self._related(main, "sharedStrings")
        styles = self._related(main, "styles")
        self.formats: list[str | numfmt.FormatFault] = (
            _formats(self.xml(styles), locale) if styles else ["General"]
        )

    def damaged(self, what: str) -> VardataError:
        return fail(
            SheetError,
            "damaged-workbook",
            f"the workbook is damaged: {what}",
            "open it in a spreadsheet program and save it again",
            file=self.path.name,
        )

    def open(self, part: str) -> IO[bytes]:
        try:
            return self.zip.open(part)
        except ZIP_ERRORS as error:
            raise self.damaged(f"{part} cannot be read ({error})") from None

    def xml(self, part: str) -> ElementTree.Element:
        """A small part as a tree."""
        try:
            data = self.open(part).read(_MOST_SMALL_PART + 1)
            if len(data) > _MOST_SMALL_PART or b"<!DOCTYPE" in data:
                raise self.damaged(f"{part} is not what a workbook holds")
            return ElementTree.fromstring(data)
        except ElementTree.ParseError as error:
            raise self.damaged(f"{part} is not well-formed ({error})") from None
        except ZIP_ERRORS as error:
            raise self.damaged(f"{part} cannot be read ({error})") from None

    def _targets(self, part: str) -> dict[str, tuple[str, str]]:
        """Relations of a part: id -> (the last word of its type, the target's name)."""
        folder, name = posixpath.split(part)
        relations = posixpath.join(folder, "_rels", f"{name}.rels")
        if relations not in self.zip.NameToInfo:
            return {}
        return {
            e.get("Id", ""): (
                e.get("Type", "").rpartition("/")[2],
                posixpath.normpath(posixpath.join("/", folder, e.get("Target", ""))).lstrip("/"),
            )
            for e in self.xml(relations)
            if e.get("TargetMode") != "External"
        }

    def _related(self, part: str, kind: str) -> str:
        return next((name for k, name in self._targets(part).values() if k == kind), "")

    def _missing_main(self) -> str:
        names = self.zip.NameToInfo
        kind = "an OpenDocument file" if "mimetype" in names else "no workbook at all"
        raise fail(
            SheetError, "not-a-workbook", f"the file is {kind}", "save the sheet as .xlsx or .csv",
            file=self.path.name,
        )  # fmt: skip


def _opened(path: Path) -> zipfile.ZipFile:
    """The package, checked from its directory before anything is unpacked."""

    def refuse(kind: str, what: str, remedy: str) -> VardataError:
        return fail(SheetError, kind, what, remedy, file=path.name)

    with path.open("rb") as file:
        head = file.read(8)
    if head == _OLE2:
        raise refuse(
            "protected-workbook",
            "the workbook is protected with a password, or is an old .xls under a new name",
            "take the password off, or save it as .xlsx",
        )
    try:
        package = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, OSError):
        raise refuse(
            "damaged-workbook",
            "the file is not an .xlsx workbook, or is damaged",
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


def _formats(root: ElementTree.Element, locale: Locale) -> list[str | numfmt.FormatFault]:
    """The code of each cell style; a fault where the code is not known."""
    codes: dict[int, str] = {}
    styles: list[str | numfmt.FormatFault] = []
    for group in root:
        if _local(group) == "numFmts":
            for e in group:
                codes[_number(e.get("numFmtId"))] = e.get("formatCode", "General")
    for group in root:
        if _local(group) != "cellXfs":
            continue
        for e in group:
            number = _number(e.get("numFmtId"))
            try:
                styles.append(codes.get(number) or numfmt.builtin(number, locale))
            except numfmt.FormatFault as fault:
                styles.append(fault)
    return styles or ["General"]


def _number(text: str | None) -> int:
    return int(text) if text and text.isdecimal() else 0


def _local(element: ElementTree.Element) -> str:
    return element.tag.rpartition("}")[2]


def _relation(element: ElementTree.Element) -> str:
    return next((v for k, v in element.attrib.items() if k.endswith("}id")), "")


def _hidden(element: ElementTree.Element) -> bool:
    return element.get("state", "visible") != "visible"


def true_value(text: str | None) -> bool:
    """xsd:boolean."""
    return text in ("1", "true", "on")
