"""What there is to say of the texts of many records, counted while they are fitted.

In: fitted records, one by one. Out: ``Remark`` values for each chunk: letters that run into those
of another field, texts that other fonts than the first had to set, the smallest and largest
size. No record is judged here, and nothing is put into words: ``remarked`` does that.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

from vardata.dress.textpairs import TextPairs
from vardata.fit.fontbook import FontBook
from vardata.fit.result import FieldFit, TextFit
from vardata.job.fonts import style_chain, text_chain
from vardata.job.model import Layout, Setup, TextField


class Remark(NamedTuple):
    """``kind`` says what ``other`` and ``value`` are: the other field (met), the first font of a
    field that others had to stand in for (set), one of those (font), the size in points
    (smallest, largest). ``row`` is that of the first record."""

    kind: Literal["met", "font", "set", "smallest", "largest"]
    file: str
    field: str
    other: str
    records: int
    row: int
    value: float = 0.0


class _Text:
    """One text field: its first fonts, and what was seen of it."""

    def __init__(self, layout: Layout, field: TextField, book: FontBook) -> None:
        chains = [text_chain(layout, field)]
        chains += [style_chain(layout, field, style) for style in field.styles.values()]
        self.name, self.first = field.name, chains[0][0]
        self.own = book.chain([self.first])[0].index
        self.alike = field.one_size is not None
        self._book, self._chains = book, chains
        self._others: dict[int, str] = {}
        self.forget()

    def forget(self) -> None:
        self.small, self.large, self.small_row, self.large_row = 1e9, 0.0, 0, 0

    def others(self, fit: TextFit) -> list[str]:
        """The fonts of a text that are not the first of the field or of a style, each once, as
        the layout names them."""
        found: dict[str, None] = {}
        for font, *_ in fit.runs:
            name = self._others.get(font)
            if name is None:
                name = self._others[font] = self._other(font)
            if name:
                found[name] = None
        return list(found)

    def _other(self, font: int) -> str:
        """The name of a font; empty for a first one. Faces of one font in several sizes have its
        name."""
        wanted, book = self._book.face(font).postscript_name, self._book
        for chain in self._chains:
            if book.chain(chain[:1])[0].postscript_name == wanted:
                return ""
        names = (name for chain in self._chains for name in chain)
        return next((n for n in names if book.chain([n])[0].postscript_name == wanted), wanted)


class Remarks:
    """Counts for one layout."""

    def __init__(self, setup: Setup, book: FontBook, pairs: TextPairs) -> None:
        self._file, self._pairs = setup.layout_file.name, pairs
        self._texts = tuple(
            (n, text, text.own)
            for n, field in enumerate(setup.layout.fields) if isinstance(field, TextField)
            for text in (_Text(setup.layout, field, book),)
        )  # fmt: skip
        self._counted: dict[tuple[Literal["met", "font", "set"], str, str], tuple[int, int]] = {}

    def add(self, row: int, fits: Sequence[FieldFit]) -> None:
        """One record that is printed."""
        for n, text, own in self._texts:
            fit = fits[n]
            if type(fit) is not TextFit:
                continue
            size = fit.size_pt
            if size < text.small:
                text.small, text.small_row = size, row
            if size > text.large:
                text.large, text.large_row = size, row
            for run in fit.runs:
                if run[0] != own:
                    self._other_fonts(text, fit, row)
                    break
        if self._pairs:
            for name, below in self._pairs.met(fits):
                self._count("met", name, below, row)

    def _other_fonts(self, text: _Text, fit: TextFit, row: int) -> None:
        others = text.others(fit)
        if others:
            self._count("set", text.name, text.first, row)
        for font in others:
            self._count("font", text.name, font, row)

    def _count(self, kind: Literal["met", "font", "set"], name: str, other: str, row: int) -> None:
        records, first = self._counted.get((kind, name, other), (0, row))
        self._counted[kind, name, other] = records + 1, first

    def take(self) -> list[Remark]:
        """What was counted since the last call; forgets it."""
        found = [
            Remark(kind, self._file, name, other, *counted)
            for (kind, name, other), counted in self._counted.items()
        ]
        self._counted.clear()
        for _, text, _ in self._texts:
            if text.large and not text.alike:
                found += [
                    Remark("smallest", self._file, text.name, "", 0, text.small_row, text.small),
                    Remark("largest", self._file, text.name, "", 0, text.large_row, text.large),
                ]
            text.forget()
        return found
