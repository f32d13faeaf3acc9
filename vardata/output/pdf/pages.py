"""Pages of other PDFs in a bed file: each becomes one form XObject.

In: a PDF of one page, as ``dress.page`` gives it. Out: the form's number (ISO 32000-1, 8.10),
its box mapped to the unit square as that of an image is, with all that it needs copied object
by object: fonts, spot colours, overprint and transparency stay what they are.
"""

from __future__ import annotations

import io
from decimal import Decimal
from typing import Any

from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.syntax import number

_DROPPED = frozenset(("/Length", "/Metadata", "/PieceInfo", "/StructParent", "/StructParents",
                      "/LastModified"))  # fmt: skip
_FINE = 7  # decimals; a page of 841 pt is mapped to within 10^-4 pt


def put_page(pdf: PdfFile, data: bytes, spaces: bytes = b"") -> int:
    """Copies the first page of a PDF; gives the number of its form.

    ``spaces`` are colour spaces that every resource dictionary is to have, such as the one
    that tells what plain RGB means (8.6.5.6); a page's own of the same name stay.
    """
    import pikepdf

    with pikepdf.open(io.BytesIO(data)) as source:
        page = source.pages[0]
        copier = _Copier(pdf, spaces)
        obj = page.obj
        box = [float(n) for n in page.mediabox]
        page.contents_coalesce()
        content = obj.Contents.read_bytes() if "/Contents" in obj else b""
        entries = b"/Type/XObject/Subtype/Form/BBox[%b]/Matrix[%b]" % (
            b" ".join(number(n, 5) for n in box),
            _to_unit(box, int(obj.get("/Rotate", 0)) % 360),
        )
        entries += copier.resources(obj.get("/Resources", pikepdf.Dictionary()))
        if "/Group" in obj:
            entries += b"/Group %b" % copier.written(obj.Group)
        copier.copy()
        return pdf.put_stream(entries, content)


def _to_unit(box: list[float], turn: int) -> bytes:
    """From the page's own space to the unit square, turned clockwise as the page asks."""
    x0, y0, x1, y1 = box
    w, h = x1 - x0, y1 - y0
    matrix = {
        0: (1 / w, 0, 0, 1 / h, -x0 / w, -y0 / h),
        90: (0, -1 / w, 1 / h, 0, -y0 / h, x1 / w),
        180: (-1 / w, 0, 0, -1 / h, x1 / w, y1 / h),
        270: (0, 1 / w, -1 / h, 0, y1 / h, -x0 / w),
    }[turn]
    return b" ".join(b"%.10f" % part for part in matrix)


class _Copier:
    """Copies objects of one source; each is written once."""

    def __init__(self, pdf: PdfFile, spaces: bytes) -> None:
        self._pdf = pdf
        self._spaces = spaces
        self._numbers: dict[tuple[int, int], int] = {}
        self._waiting: list[tuple[int, Any]] = []

    def written(self, value: Any) -> bytes:
        """A value, or the reference to it where it is an object of its own."""
        import pikepdf

        if isinstance(value, pikepdf.Object) and value.is_indirect:
            place = self._numbers.get(value.objgen)
            if place is None:
                place = self._numbers[value.objgen] = self._pdf.reserve()
                self._waiting.append((place, value))
            return b"%d 0 R" % place
        return self._direct(value)

    def _direct(self, value: Any) -> bytes:
        import pikepdf

        if value is None:
            return b"null"
        if isinstance(value, bool):
            return b"true" if value else b"false"
        if isinstance(value, int):
            return b"%d" % value
        if isinstance(value, Decimal | float):
            return format(value, "f").encode()
        if isinstance(value, pikepdf.Array):
            return b"[%b]" % b" ".join(self.written(part) for part in value)
        if isinstance(value, pikepdf.Dictionary):
            return b"<<%b>>" % self._entries(value)
        return bytes(pikepdf.Object.unparse(value))

    def _entries(self, value: Any) -> bytes:
        import pikepdf

        return b" ".join(
            self.resources(value[key]) if key == "/Resources" else
            b"%b %b" % (pikepdf.Name(key).unparse(), self.written(value.get(key)))
            for key in sorted(value.keys())
            if key not in _DROPPED
        )  # fmt: skip

    def resources(self, found: Any) -> bytes:
        """A resource dictionary with its key, the wanted colour spaces among its own."""
        if not self._spaces:
            return b"/Resources %b" % self.written(found)
        name = self._spaces.split(b"[")[0].decode()
        own = found.get("/ColorSpace")
        inner = self._entries(own) if own is not None else b""
        spaces = inner if own is not None and name in own else inner + self._spaces
        rest = b" ".join(
            b"%b %b" % (key.encode(), self.written(found.get(key)))
            for key in sorted(found.keys())
            if key != "/ColorSpace"
        )
        return b"/Resources<</ColorSpace<<%b>>%b>>" % (spaces, rest)

    def copy(self) -> None:
        """Writes everything that was referred to, and what that refers to."""
        import pikepdf

        while self._waiting:
            place, value = self._waiting.pop()
            if isinstance(value, pikepdf.Stream):
                data = value.read_raw_bytes()
                self._pdf.put_stream(self._entries(value), data, place, raw=True)
            else:
                self._pdf.put(self._direct(value), place)
