"""The file itself: objects as they come, then where each of them lies.

In: objects as written PDF syntax, streams. Out: a PDF 1.6 file on a binary stream: header,
streams in the order in which they were put, small objects gathered in object streams
(ISO 32000-1, 7.5.7), a cross-reference stream (7.5.8). Memory does not grow with the streams.
"""

from __future__ import annotations

import hashlib
import struct
from itertools import chain
from typing import BinaryIO

from vardata.deflated import deflated

# The comment says that the file is binary: four bytes above 127 (7.5.2).
_HEADER = b"%PDF-1.6\n%\xe2\xe3\xcf\xd3\n"
_GATHERED = 100  # small objects in one object stream
_LARGE = 1_000_000  # bytes of a stream
_END = b"\nendstream\nendobj\n"
_AT, _WITHIN = 1, 2  # types of cross-reference entries (table 18)


class PdfFile:
    """A PDF in the making. Numbers of objects are given out by ``reserve`` or as they are put."""

    def __init__(self, out: BinaryIO) -> None:
        self._out = out
        self._hash = hashlib.sha256()
        self._size = 0
        self._places: list[tuple[int, int, int]] = [(0, 0, 0xFFFF)]
        self._small: list[tuple[int, bytes]] = []
        self._write(_HEADER)

    def reserve(self) -> int:
        """A number for an object that will be put later."""
        self._places.append((0, 0, 0))
        return len(self._places) - 1

    def put(self, body: bytes, number: int = 0) -> int:
        """An object that is no stream; gives its number."""
        number = number or self.reserve()
        self._small.append((number, body))
        if len(self._small) >= _GATHERED:
            self._gather()
        return number

    def put_stream(self, entries: bytes, data: bytes, number: int = 0, *, raw: bool = False) -> int:
        """A stream with these dictionary entries; ``raw`` data is written as it is."""
        number = number or self.reserve()
        self._places[number] = (_AT, self._size, 0)
        self._write_stream(number, entries, data, raw)
        return number

    def finish(self, root: int, info: int) -> int:
        """Writes what is left and gives the size of the file in bytes."""
        if self._small:
            self._gather()
        number = self.reserve()
        start = self._size
        self._places[number] = (_AT, start, 0)
        width, code = (4, "I") if start < 1 << 32 else (8, "Q")
        form = f">{f'B{code}H' * len(self._places)}"
        table = struct.pack(form, *chain.from_iterable(self._places))
        # The file's identity is its content: the same input gives the same bytes.
        identity = self._hash.hexdigest()[:32].upper().encode()
        entries = b"/Type/XRef/Size %d/W[1 %d 2]/Root %d 0 R/Info %d 0 R/ID[<%b><%b>]" % (
            len(self._places), width, root, info, identity, identity,
        )  # fmt: skip
        self._write_stream(number, entries, table, False)
        self._write(b"startxref\n%d\n%%%%EOF\n" % start)
        return self._size

    def digest(self) -> str:
        """The sha256 of all that was written, in hex."""
        return self._hash.hexdigest()

    def _gather(self) -> None:
        """Puts the small objects that wait into one object stream."""
        number = self.reserve()
        heads, bodies, at = [], [], 0
        for index, (member, body) in enumerate(self._small):
            self._places[member] = (_WITHIN, number, index)
            heads.append(b"%d %d" % (member, at))
            bodies.append(body)
            at += len(body) + 1
        head = b" ".join(heads) + b"\n"
        entries = b"/Type/ObjStm/N %d/First %d" % (len(self._small), len(head))
        self._small = []
        self.put_stream(entries, head + b"\n".join(bodies), number)

    def _write_stream(self, number: int, entries: bytes, data: bytes, raw: bool) -> None:
        if not raw:
            data = deflated(data)
            entries += b"/Filter/FlateDecode"
        head = b"%d 0 obj\n<<%b/Length %d>>stream\n" % (number, entries, len(data))
        if len(data) > _LARGE:  # not joined: that would be a copy
            for part in (head, data, _END):
                self._write(part)
        else:
            self._write(head + data + _END)

    def _write(self, data: bytes) -> None:
        self._out.write(data)
        self._hash.update(data)
        self._size += len(data)
