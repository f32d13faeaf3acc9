"""A paper in the making: a document of A4 pages whose contents are ready operators.

In: pages, forms and pictures as PDF operators. Out: the bytes of a part of the pick list. The
same pages give the same bytes; no font is used but the ones given, and all of them are embedded.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import TypeAlias

from vardata.deflated import deflated
from vardata.output.pdf.objectlist import Body
from vardata.output.pdf.plainfile import PlainFile, utf16_text
from vardata.output.pdf.references import renumbered
from vardata.output.picklist_embed import FontsOfDocument
from vardata.output.picklist_fonts import load_fonts
from vardata.output.picklist_text import Pen
from vardata.output.picklist_values import Look, RunPaper

WIDTH, HEIGHT = 595.28, 841.89  # A4, ISO 216, in points
Box: TypeAlias = tuple[float, float, float, float]  # left, bottom, right, top
_PAGE = b"<< /Type /Page /Parent %%d 0 R /MediaBox [0 0 %g %g] /Resources %%b /Contents %%d 0 R >>"
_PAGE %= (WIDTH, HEIGHT)


class Paper:
    """Collects pages and gives the bytes of a PDF."""

    def __init__(self, run: RunPaper, title: str) -> None:
        weights = load_fonts(run.fonts)
        self._title = title
        self._buffer = io.BytesIO()
        self._file = PlainFile(self._buffer)
        self._fonts, self._tree = self._file.reserve(), self._file.reserve()
        self._pages: list[int] = []
        self._forms: dict[Hashable, str] = {}
        self._numbers: dict[str, int] = {}  # of forms and pictures
        self._made: dict[Hashable, str] = {}
        self._taken: dict[Hashable, Mapping[int, int]] = {}  # objects of pictures
        self._embedded = FontsOfDocument(weights)
        first, second = self._embedded.firsts
        self.regular = Pen(weights.regular, self._embedded, first)
        self.bold = Pen(weights.bold, self._embedded, second)

    def _stream(self, content: str, entries: bytes = b"") -> int:
        data = deflated(content.encode("latin-1"))
        return self._file.put(
            b"<< %b/Filter /FlateDecode /Length %d >>\nstream\n%b\nendstream"
            % (entries, len(data), data)
        )

    def _resources(self, forms: Sequence[str]) -> bytes:
        shown = " ".join([f"/{form} {self._numbers[form]} 0 R" for form in forms])
        return b"<< /Font %d 0 R /XObject << %b >> >>" % (self._fonts, shown.encode("ascii"))

    def stored(self, key: Hashable, box: Box, make: Callable[[], tuple[str, Sequence[str]]]) -> str:
        """The name of a form XObject, made once for a key, stored once, shown by ``Do``.

        ``make`` gives its operators and the names of the forms that they show.
        """
        name = self._forms.get(key)
        if name is None:
            operators, inner = make()
            name = self._forms[key] = f"P{len(self._forms)}"
            entries = b"/Type /XObject /Subtype /Form /BBox [%g %g %g %g] /Resources %b " % (
                *box, self._resources(inner)
            )  # fmt: skip
            self._numbers[name] = self._stream(operators, entries)
        return name

    def picture(self, name: str, look: Look) -> str:
        """The name of the form that is a bed's picture: the one that is given."""
        numbers = self._taken.get(look.objects)
        if numbers is None:
            numbers = self._taken[look.objects] = self._adopted(look.objects(), {})
        self._numbers[name] = numbers[look.form]
        return name

    def _adopted(self, bodies: Mapping[int, Body], given: Mapping[int, int]) -> Mapping[int, int]:
        """Puts objects of another writer into this document, some under numbers that are
        ``given``; their numbers here by those there."""
        numbers = {n: given[n] if n in given else self._file.reserve() for n in bodies}

        def reference(number: int) -> bytes:
            return b"%d 0 R" % numbers[number]

        for number, body in bodies.items():
            head = renumbered(body.head, reference)
            self._file.put(
                b"%b\n%b" % (head, body.stream) if body.stream else head, numbers[number]
            )
        return numbers

    def once(self, key: Hashable, make: Callable[[], str]) -> str:
        """Operators that many sheets of this paper share, made once."""
        made = self._made.get(key)
        if made is None:
            made = self._made[key] = make()
        return made

    def page(self, operators: Sequence[str], forms: Sequence[str] = ()) -> None:
        """Adds a page; ``forms`` are the names of the stored ones that it shows."""
        content = self._stream("\n".join(operators))
        shown = self._resources(forms)
        self._pages.append(self._file.put(_PAGE % (self._tree, shown, content)))

    def finish(self) -> bytes:
        """The PDF."""
        file, pages = self._file, self._pages
        bodies, entries = self._embedded.objects()
        self._adopted(bodies, {entries: self._fonts})
        kids = b" ".join([b"%d 0 R" % page for page in pages])
        file.put(b"<< /Type /Pages /Count %d /Kids [ %b ] >>" % (len(pages), kids), self._tree)
        root = file.put(b"<< /Type /Catalog /Pages %d 0 R >>" % self._tree)
        file.end(root, file.put(
            b"<< /Title %b /Creator (vardata) >>" % utf16_text(self._title)
        ))  # fmt: skip
        return self._buffer.getvalue()
