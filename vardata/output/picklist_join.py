"""Parts of the pick list, joined into one PDF that streams to the disk.

In: parts, as files or bytes, in order. Out: ``picklist.pdf``. Each part is cut into its objects,
they get new numbers and are written at once; nothing of it stays in memory but where its
objects lie. Streams that parts have in common, above all fonts, are written once. The same
parts give the same bytes.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from datetime import datetime
from itertools import chain
from pathlib import Path
from typing import NamedTuple

from vardata.output.pdf.objectlist import Body
from vardata.output.pdf.plainfile import PlainFile, utf16_text
from vardata.output.pdf.references import may_refer, renumbered
from vardata.output.pdf.slices import sliced, text_entry

_OUTLINES_OF = re.compile(rb"/Outlines (\d+) 0 R")
_PAGES_OF = re.compile(rb"/Pages (\d+) 0 R")
_KIDS = re.compile(rb"/Kids\s*\[\s*(\d+) 0 R")
_COUNT = re.compile(rb"/Count (\d+)")
_SHARED_LEAST = 256  # bytes of a stream that is worth sharing
_SHARED_MOST = 4096  # streams to remember
_CATALOG, _PAGES, _INFO, _OUTLINES = 1, 2, 3, 4
FRONT, MIDDLE, END = range(3)  # where the pages of a part stand, whenever it is added


class Info(NamedTuple):
    """What the file says of itself."""

    title: str
    subject: str
    at: datetime


class _Part(NamedTuple):
    """A part that has been written: its node of the page tree, first page, number of pages."""

    node: int
    first_page: int
    pages: int
    title: str


class Joiner:
    """The joined file in the making: parts are written as they come.

    ``add`` takes a part as a file or as bytes; its pages come after those that were added for the
    same place before it. Made for a ``with`` block. Raises ``OSError``.
    """

    def __init__(self, out: Path) -> None:
        self._file = out.open("wb")
        self._writer = PlainFile(self._file)
        self._writer.reserve(_OUTLINES)
        self._shared: dict[bytes, int] = {}
        self._parts: tuple[list[_Part], ...] = ([], [], [])

    def __enter__(self) -> Joiner:
        return self

    def __exit__(self, *exc: object) -> None:
        self._file.close()

    def add(self, part: Path | bytes, place: int = MIDDLE) -> None:
        written = _copy(
            self._writer, self._shared, part if isinstance(part, bytes) else part.read_bytes()
        )
        self._parts[place].append(written)

    def finish(self, info: Info) -> int:
        """Writes what all parts share; gives the number of pages."""
        writer, parts = self._writer, list(chain(*self._parts))
        pages = sum(part.pages for part in parts)
        kids = b" ".join(b"%d 0 R" % part.node for part in parts)
        writer.put(b"<< /Type /Pages /Count %d /Kids [ %b ] >>" % (pages, kids), _PAGES)
        _outlines(writer, parts)
        writer.put(_info(info), _INFO)
        writer.put(
            b"<< /Type /Catalog /Pages %d 0 R /Outlines %d 0 R /PageMode /UseOutlines /Lang (en) "
            b"/ViewerPreferences << /DisplayDocTitle true >> >>" % (_PAGES, _OUTLINES),
            _CATALOG,
        )
        writer.end(_CATALOG, _INFO)
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


def _copy(writer: PlainFile, shared: dict[bytes, int], data: bytes) -> _Part:
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
        if not _share(shared, number, body, numbers)
    ]  # fmt: skip

    def reference(number: int) -> bytes:
        """What the part itself does not have is null (ISO 32000-1, 7.3.10)."""
        new = numbers.get(number)
        return b"null" if new is None else b"%d 0 R" % new

    for number, body in later:
        head = renumbered(body.head, reference)
        if number == tree:
            head = head.replace(b"<<", b"<< /Parent %d 0 R" % _PAGES, 1)
        writer.put(b"%b\n%b" % (head, body.stream) if body.stream else head, numbers[number])
    return _Part(
        numbers[tree], numbers[_number(_KIDS, pages)], _number(_COUNT, pages), title
    )


def _number(pattern: re.Pattern[bytes], data: bytes) -> int:
    """The number that a pattern finds, 0 for none."""
    found = pattern.search(data)
    return int(found.group(1)) if found else 0


def _share(shared: dict[bytes, int], number: int, body: Body, numbers: dict[int, int]) -> bool:
    """Points to an equal stream of an earlier part; only streams that refer to nothing else."""
    if len(body.stream) < _SHARED_LEAST or may_refer(body.head):
        return False
    digest = hashlib.sha256(b"\n".join(body)).digest()
    known = shared.get(digest)
    if known is not None:
        numbers[number] = known
        return True
    if len(shared) < _SHARED_MOST:
        shared[digest] = numbers[number]
    return False


def _outlines(writer: PlainFile, parts: list[_Part]) -> None:
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
            b"<< /Title %b /Parent %d 0 R /Dest [%d 0 R /Fit]%b >>"
            % (utf16_text(part.title), _OUTLINES, part.first_page, around),
            number,
        )
    ends = b" /First %d 0 R /Last %d 0 R /Count %d" % (first, last, len(parts)) if parts else b""
    writer.put(b"<< /Type /Outlines%b >>" % ends, _OUTLINES)


def _info(info: Info) -> bytes:
    date = b"(%b)" % info.at.strftime("D:%Y%m%d%H%M%S").encode()
    return b"<< /Title %b /Subject %b /Creator (vardata) /CreationDate %b /ModDate %b >>" % (
        utf16_text(info.title),
        utf16_text(info.subject),
        date,
        date,
    )

