"""Parts of the pick list, joined into one PDF that streams to the disk.

In: parts, as files or bytes, in order. Out: ``picklist.pdf``. Each part is cut into its objects,
they get new numbers and are written at once; nothing of it stays in memory but where its
objects lie. Streams that parts have in common, above all fonts, are written once. The same
parts give the same bytes, the file's ID included (ISO 32000-1, 14.4: a digest of what is in it).
"""

from __future__ import annotations

import hashlib
import re
from array import array
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import BinaryIO, NamedTuple

from vardata.output.pdf.objectlist import Body
from vardata.output.pdf.references import refers, renumbered
from vardata.output.pdf.slices import sliced, text_entry

_OUTLINES_OF = re.compile(rb"/Outlines (\d+) 0 R")
_PAGES_OF = re.compile(rb"/Pages (\d+) 0 R")
_KIDS = re.compile(rb"/Kids\s*\[\s*(\d+) 0 R")
_COUNT = re.compile(rb"/Count (\d+)")
_SHARED_LEAST = 256  # bytes of a stream that is worth sharing
_SHARED_MOST = 4096  # streams to remember
_CATALOG, _PAGES, _INFO, _OUTLINES = 1, 2, 3, 4


class Info(NamedTuple):
    """What the file says of itself."""

    title: str
    subject: str
    at: datetime


class _Writer:
    """Writes numbered objects and keeps where each lies."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self._digest = hashlib.sha256()
        self._place = 0
        self.offsets = array("Q", [0] * (_OUTLINES + 1))
        self.shared: dict[bytes, int] = {}
        self.write(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")

    def write(self, data: bytes) -> None:
        self._file.write(data)
        self._digest.update(data)
        self._place += len(data)

    def reserve(self, count: int) -> int:
        """Room for so many objects more; the number of the first."""
        first = len(self.offsets)
        self.offsets.extend([0] * count)
        return first

    def put(self, number: int, data: bytes) -> None:
        self.offsets[number] = self._place
        self.write(b"%d 0 obj\n%b\nendobj\n" % (number, data))

    def end(self) -> None:
        """Cross-reference table and trailer (ISO 32000-1, 7.5.4 and 7.5.5)."""
        start = self._place
        file_id = self._digest.hexdigest()[:32].encode()
        count = len(self.offsets)
        self.write(b"xref\n0 %d\n0000000000 65535 f \n" % count)
        for number in range(1, count):
            place = self.offsets[number]
            self.write(b"%010d 00000 n \n" % place if place else b"0000000000 65535 f \n")
        self.write(
            b"trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R /ID [<%b> <%b>] >>\n"
            b"startxref\n%d\n%%%%EOF\n" % (count, _CATALOG, _INFO, file_id, file_id, start)
        )

    def digest(self) -> tuple[int, str]:
        return self._place, self._digest.hexdigest()


class _Part(NamedTuple):
    """A part that has been written: its node of the page tree, first page, number of pages."""

    node: int
    first_page: int
    pages: int
    title: str


class Joiner:
    """The joined file in the making: parts are written as they come.

    ``add`` takes a part as a file or as bytes; ``first`` puts its pages before all others. Made
    for a ``with`` block. Raises ``OSError``.
    """

    def __init__(self, out: Path) -> None:
        self._file = out.open("wb")
        self._writer = _Writer(self._file)
        self._parts: list[_Part] = []

    def __enter__(self) -> Joiner:
        return self

    def __exit__(self, *exc: object) -> None:
        self._file.close()

    def add(self, part: Path | bytes, *, first: bool = False) -> None:
        written = _copy(self._writer, part if isinstance(part, bytes) else part.read_bytes())
        self._parts.insert(0 if first else len(self._parts), written)

    def finish(self, info: Info) -> int:
        """Writes what all parts share; gives the number of pages."""
        writer, parts = self._writer, self._parts
        pages = sum(part.pages for part in parts)
        kids = b" ".join(b"%d 0 R" % part.node for part in parts)
        writer.put(_PAGES, b"<< /Type /Pages /Count %d /Kids [ %b ] >>" % (pages, kids))
        _outlines(writer, parts)
        writer.put(_INFO, _info(info))
        writer.put(
            _CATALOG,
            b"<< /Type /Catalog /Pages %d 0 R /Outlines %d 0 R /PageMode /UseOutlines /Lang (en) "
            b"/ViewerPreferences << /DisplayDocTitle true >> >>" % (_PAGES, _OUTLINES),
        )
        writer.end()
        return pages

    def digest(self) -> tuple[int, str]:
        """Bytes and sha256 of the finished file."""
        return self._writer.digest()


def join(parts: Iterable[Path | bytes], out: Path, info: Info) -> int:
    """Writes the joined file and gives its number of pages. Raises ``OSError``."""
    with Joiner(out) as joiner:
        for part in parts:
            joiner.add(part)
        return joiner.finish(info)


def _copy(writer: _Writer, data: bytes) -> _Part:
    """Writes all of a part but its catalogue, outlines and description."""
    part = sliced(data)
    bodies, catalog = part.bodies, part.bodies[part.root].head
    title = text_entry(b"Title", bodies[part.info].head) if part.info in bodies else ""
    tree = _number(_PAGES_OF, catalog)
    pages = bodies[tree].head
    for left_out in (part.root, part.info, _number(_OUTLINES_OF, catalog)):
        bodies.pop(left_out, None)
    before = writer.reserve(max(bodies)) - 1
    numbers = {number: before + number for number in bodies}
    later = [
        (number, body) for number, body in bodies.items()
        if not _share(writer, number, body, numbers)
    ]  # fmt: skip

    def reference(number: int) -> bytes:
        """What the part itself does not have is null (ISO 32000-1, 7.3.10)."""
        new = numbers.get(number)
        return b"null" if new is None else b"%d 0 R" % new

    for number, body in later:
        head = renumbered(body.head, reference)
        if number == tree:
            head = head.replace(b"<<", b"<< /Parent %d 0 R" % _PAGES, 1)
        writer.put(numbers[number], b"%b\n%b" % (head, body.stream) if body.stream else head)
    return _Part(
        numbers[tree], numbers[_number(_KIDS, pages)], _number(_COUNT, pages), title
    )


def _number(pattern: re.Pattern[bytes], data: bytes) -> int:
    """The number that a pattern finds, 0 for none."""
    found = pattern.search(data)
    return int(found.group(1)) if found else 0


def _share(writer: _Writer, number: int, body: Body, numbers: dict[int, int]) -> bool:
    """Points to an equal stream of an earlier part; only streams that refer to nothing else."""
    if len(body.stream) < _SHARED_LEAST or refers(body.head):
        return False
    digest = hashlib.sha256(b"\n".join(body)).digest()
    known = writer.shared.get(digest)
    if known is not None:
        numbers[number] = known
        return True
    if len(writer.shared) < _SHARED_MOST:
        writer.shared[digest] = numbers[number]
    return False


def _outlines(writer: _Writer, parts: list[_Part]) -> None:
    """A bookmark for each part, at its first page (ISO 32000-1, 12.3.3)."""
    first = writer.reserve(len(parts))
    last = first + len(parts) - 1
    for number, part in enumerate(parts, first):
        around = b""
        if number > first:
            around += b" /Prev %d 0 R" % (number - 1)
        if number < last:
            around += b" /Next %d 0 R" % (number + 1)
        writer.put(
            number,
            b"<< /Title %b /Parent %d 0 R /Dest [%d 0 R /Fit]%b >>"
            % (_text(part.title), _OUTLINES, part.first_page, around),
        )
    ends = b" /First %d 0 R /Last %d 0 R /Count %d" % (first, last, len(parts)) if parts else b""
    writer.put(_OUTLINES, b"<< /Type /Outlines%b >>" % ends)


def _info(info: Info) -> bytes:
    date = b"(%b)" % info.at.strftime("D:%Y%m%d%H%M%S").encode()
    return b"<< /Title %b /Subject %b /Creator (vardata) /CreationDate %b /ModDate %b >>" % (
        _text(info.title),
        _text(info.subject),
        date,
        date,
    )


def _text(text: str) -> bytes:
    """A text string in UTF-16 (ISO 32000-1, 7.9.2.2), written in hexadecimal."""
    return b"<FEFF%b>" % text.encode("utf-16-be", "replace").hex().upper().encode()
