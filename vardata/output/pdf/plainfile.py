"""A plain PDF file in the making: numbered objects one after another, and a table of them.

In: objects as written PDF syntax. Out: a PDF 1.7 file with a classic cross-reference table
(ISO 32000-1, 7.5.4) on a binary stream. Memory holds where the objects lie and nothing else.
The same objects give the same bytes, the file's ID included (14.4: a digest of what is in it).
"""

from __future__ import annotations

import hashlib
from array import array
from typing import BinaryIO

_HEADER = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"  # four bytes above 127 say that the file is binary


class PlainFile:
    """Writes numbered objects and keeps where each lies."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self._digest = hashlib.sha256()
        self._place = 0
        self._places = array("Q", [0])
        self._write(_HEADER)

    def _write(self, data: bytes) -> None:
        self._file.write(data)
        self._digest.update(data)
        self._place += len(data)

    def reserve(self, count: int = 1) -> int:
        """Numbers for so many objects more; the first of them."""
        first = len(self._places)
        self._places.extend([0] * count)
        return first

    def put(self, data: bytes, number: int = 0) -> int:
        """An object, its stream included; gives its number."""
        number = number or self.reserve()
        self._places[number] = self._place
        self._write(b"%d 0 obj\n%b\nendobj\n" % (number, data))
        return number

    def end(self, root: int, info: int) -> None:
        """Cross-reference table and trailer (7.5.4 and 7.5.5)."""
        start = self._place
        file_id = self._digest.hexdigest()[:32].encode()
        count = len(self._places)
        self._write(b"xref\n0 %d\n0000000000 65535 f \n" % count)
        for number in range(1, count):
            place = self._places[number]
            self._write(b"%010d 00000 n \n" % place if place else b"0000000000 65535 f \n")
        self._write(
            b"trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R /ID [<%b> <%b>] >>\n"
            b"startxref\n%d\n%%%%EOF\n" % (count, root, info, file_id, file_id, start)
        )

    def digest(self) -> tuple[int, str]:
        """Bytes and sha256 of all that was written."""
        return self._place, self._digest.hexdigest()


def utf16_text(text: str) -> bytes:
    """A text string in UTF-16 (7.9.2.2), written in hexadecimal."""
    return b"<FEFF%b>" % text.encode("utf-16-be", "replace").hex().upper().encode()
