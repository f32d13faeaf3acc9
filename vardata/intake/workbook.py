"""A workbook's package: its parts, worksheets, number formats and date system.

In: the path of an .xlsx or .xlsm file. Out: a ``Workbook``, which knows where things are but
holds no cells. Raises ``SheetError`` with one line for what is not a workbook, is protected or
is built to burst. Rules: ECMA-376 part 2 (packages), part 1, 18.2 (workbook), 18.8 (styles);
names are compared without their namespace, so that Strict workbooks are read as well.
"""

from __future__ import annotations

import posixpath
from pathlib import Path
from typing import IO, NamedTuple
from xml.etree import ElementTree

from vardata.intake import numfmt
from vardata.intake.locales import Locale
from vardata.intake.package import ZIP_ERRORS, opened_package
from vardata.problems import SheetError, VardataError, fail

_MOST_SMALL_PART = 64 << 20


class SheetPart(NamedTuple):
    name: str
    part: str
    hidden: bool


class Workbook:
    """An opened workbook. ``formats`` are the number format codes of the cell styles."""

    def __init__(self, path: Path, locale: Locale) -> None:
        self.path = path
        self.zip = opened_package(path)
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
