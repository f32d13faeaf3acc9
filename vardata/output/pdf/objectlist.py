"""Objects that wait for a file: what one writer makes and another puts into its own.

In: objects and streams, as ``PdfFile`` takes them. Out: their bytes by number, to be numbered
anew where they go.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import NamedTuple

from vardata.deflated import deflated
from vardata.output.pdf.objects import PdfFile


class Body(NamedTuple):
    """An object's bytes: all that may hold references, and the stream behind it, if any, with
    the words around it."""

    head: bytes
    stream: bytes = b""


class ObjectList(PdfFile):
    """Keeps the objects that it is given."""

    def __init__(self) -> None:
        super().__init__(io.BytesIO())
        self._bodies: dict[int, Body] = {}

    def put(self, body: bytes, number: int = 0) -> int:
        number = number or self.reserve()
        self._bodies[number] = Body(body)
        return number

    def put_stream(self, entries: bytes, data: bytes, number: int = 0, *, raw: bool = False) -> int:
        number = number or self.reserve()
        if not raw:
            data = deflated(data)
            entries += b"/Filter/FlateDecode"
        head = b"<<%b/Length %d>>" % (entries, len(data))
        self._bodies[number] = Body(head, b"stream\n%b\nendstream" % data)
        return number

    @property
    def bodies(self) -> Mapping[int, Body]:
        """By number, in the order in which they came."""
        return self._bodies
