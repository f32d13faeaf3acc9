"""A new job from what is there: an order sheet, a layout, a jig and a bed.

In: a ``Draft``, first with files alone, then with columns. Out: the text of a job file; what the
sheet's columns most likely are. Suggests and never decides: a face asks.
"""

from __future__ import annotations

import difflib
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import takewhile
from pathlib import Path
from typing import NamedTuple

from vardata.intake import locales
from vardata.intake.headrow import find_heading_row, heading_row, with_heading_row
from vardata.intake.safenames import fold, safe_name
from vardata.intake.source import Source
from vardata.intake.sources import open_source
from vardata.job.model import Setup
from vardata.job.toml import quoted
from vardata.newblanks import BlankColumn, blank_tables
from vardata.problems import SheetError, fail

_TOP = 40  # rows of a sheet that are looked at
_NEAR = 0.6
# Headings by which shops call these columns, folded; common practice, no source.
ORDER = ("order", "orderno", "orderno.", "ordernumber", "orderid", "bestellung", "bestellnummer",
         "auftrag", "auftragsnummer", "commande", "pedido", "ordine", "zamówienie")  # fmt: skip
QUANTITY = ("quantity", "qty", "pieces", "pcs", "amount", "count", "anzahl", "menge", "stück",
            "stuck", "quantite", "cantidad", "quantita", "aantal", "ilosc")  # fmt: skip


@dataclass(frozen=True)
class Draft:
    """What a job file says. ``columns`` are headings by the name that templates use."""

    file: Path
    name: str
    layout: str
    jig: Path
    bed: Path
    print_mode: str
    sheet_file: Path
    sheet: str | None = None
    header_row: int = 1
    locale: str | None = None
    surface: str = "dark"
    columns: Mapping[str, str] = field(default_factory=dict)
    order: str | None = None
    quantity: str | None = None
    blanks: BlankColumn | None = None

    def text(self) -> str:
        """The job file. Paths are written relative to it."""
        written = {
            "name": self.name, "layout": self._path(self.layout), "jig": self._path(self.jig),
            "bed": self._path(self.bed), "print_mode": self.print_mode, "locale": self.locale,
            "blank": None if self.blanks else "item",
        }  # fmt: skip
        lines = [f"{key} = {quoted(value)}" for key, value in written.items() if value]
        files = [self._path(path) for path in (self.jig, self.bed, self.sheet_file, self.layout)]
        if any(path.startswith("..") or Path(path).is_absolute() for path in files):
            lines.append("outside = true                  # some files lie in other folders")
        lines += ["", "[sheet]", f"file = {quoted(self._path(self.sheet_file))}"]
        if self.sheet:
            lines.append(f"sheet = {quoted(self.sheet)}")
        if self.header_row > 1:
            lines.append(f"header_row = {self.header_row}")
        if self.columns:
            lines += ["", "[columns]                       # name for templates = heading"]
            lines += [f"{name} = {quoted(head)}" for name, head in self.columns.items()]
        blank = self.blanks.heading if self.blanks else None
        roles = [("order", self.order), ("quantity", self.quantity), ("blank", blank)]
        if any(heading for _, heading in roles):
            lines += ["", "[records]"]
            lines += [f"{role} = {quoted(heading)}" for role, heading in roles if heading]
        if self.blanks:
            lines += blank_tables(self.blanks, self.surface)
        else:
            lines += ["", "[blanks.item]", f"surface = {quoted(self.surface)}"]
        return "\n".join(lines) + "\n"

    def _path(self, path: str | Path) -> str:
        if isinstance(path, str) and not path.endswith(".toml"):
            return path  # a shipped layout
        return Path(os.path.relpath(path, self.file.parent)).as_posix()


class Look(NamedTuple):
    """What a sheet seems to hold. ``others`` are worksheets that nobody has chosen among."""

    header_row: int
    headings: tuple[str, ...]
    others: tuple[str, ...] = ()


def look(setup: Setup, wanted: Iterable[str]) -> Look:
    """The heading row: that with most of the names that templates use, or else the fullest of
    the first rows. Raises ``SheetError``."""
    locale = locales.find(setup.job.locale) or locales.LOCALES["en_US"]
    source = open_source(setup, locale, [])
    names = [frozenset((fold(name), safe_name(name))) for name in wanted]
    row = find_heading_row(setup, source, names, lambda again: open_source(again, locale, []))
    if row == 1:
        top = takewhile(lambda row: row.number <= _TOP, source.rows())
        full = {found.number: sum(bool(cell.strip()) for cell in found.cells) for found in top}
        row = max(full, key=lambda number: (full[number], -number), default=1)
    chosen = setup.job.sheet.sheet is not None
    others = () if chosen else tuple(getattr(source, "others", ()))
    if others and not _has_headings(source, row, names):
        what = "the worksheet has no headings"
        raise fail(SheetError, "no-headings", what, other_sheets(others),
                   file=setup.sheet_file.name, sheet=source.sheet)  # fmt: skip
    stated = with_heading_row(setup, row)
    source = open_source(stated, locale, [])
    cells = heading_row(source, row, setup.sheet_file.name, []).cells
    return Look(row, tuple(cell.strip() for cell in cells if cell.strip()), others)


def other_sheets(names: Iterable[str]) -> str:
    """The remedy where the first worksheet was taken and another may be meant."""
    return f"name another worksheet with --worksheet: {', '.join(map(repr, names))}"


def _has_headings(source: Source, row: int, names: Iterable[frozenset[str]]) -> bool:
    """A single text is the title of a cover, if it is no name that is looked for."""
    found = next((found for found in source.rows() if found.number == row), None)
    cells = [cell for cell in (found.cells if found else ()) if cell.strip()]
    known = {form for cell in cells for form in (fold(cell), safe_name(cell))}
    return len(cells) > 1 or any(not wanted.isdisjoint(known) for wanted in names)


def exact(name: str, headings: Sequence[str]) -> str | None:
    """The heading that templates know by this name, if just one does."""
    found = [heading for heading in headings if safe_name(heading) == name]
    return found[0] if len(found) == 1 else None


def near(name: str, headings: Sequence[str]) -> str | None:
    """The heading that is most likely meant by a name: it holds it, or is spelt nearly so."""
    if known := exact(name, headings):
        return known
    by_name = {safe_name(heading): heading for heading in headings if safe_name(heading)}
    holding = [h for n, h in by_name.items() if name in n.split("_")]
    if len(holding) == 1:
        return holding[0]
    close = difflib.get_close_matches(name, list(by_name), 1, _NEAR)
    return by_name[close[0]] if close else None


def role(words: Sequence[str], headings: Sequence[str]) -> str | None:
    """The column with a meaning of its own, by what shops call it."""
    return next((h for h in headings if fold(h).rstrip(".:#") in words), None)
