"""A finished PDF cut into its objects, by its own cross-reference table.

In: a file made by reportlab or qpdf without object streams: a classic table (ISO 32000-1,
7.5.4), lengths of streams written in place. Out: the bytes of each object, ready to be numbered
anew. Not a reader of any PDF: foreign files are read with pikepdf.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from vardata.output.pdf.objectlist import Body

_ENTRY = 20  # bytes of the table
_COMMENT = re.compile(rb"\s*(?:%[^\n]*\n\s*)*")
_STREAM = re.compile(rb">>\s*stream\r?\n")
_LENGTH = re.compile(rb"/Length (\d+)")
_ROOT, _INFO = re.compile(rb"/Root (\d+) 0 R"), re.compile(rb"/Info (\d+) 0 R")
_TEXT = rb"\s*(\((?:\\.|[^\\()])*\)|<[0-9A-Fa-f\s]*>)"
_ESCAPED = re.compile(rb"\\([0-7]{1,3}|.)", re.DOTALL)
_CONTROLS = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}


class Sliced(NamedTuple):
    """A file's objects by number, and which of them are its catalogue and its description (0:
    none)."""

    bodies: dict[int, Body]
    root: int
    info: int


def sliced(data: bytes) -> Sliced:
    """The objects of a file. Raises ``ValueError`` for one that is not as it should be."""
    start = int(data[data.rindex(b"startxref") + 9 :].split(None, 1)[0])
    table, _, trailer = data[start:].partition(b"trailer")
    words = table.split(None, 3)
    if words[:2] != [b"xref", b"0"]:
        raise ValueError("the file has no plain cross-reference table")
    first = table.index(words[3][:10], len(words[0]) + 3)
    places = []
    for number in range(int(words[2])):
        entry = table[first + number * _ENTRY : first + (number + 1) * _ENTRY]
        if entry[17:18] == b"n":
            places.append((int(entry[:10]), number))
    places.sort()
    bodies = {}
    for (place, number), (end, _) in zip(places, [*places[1:], (start, 0)]):
        begin = data.index(b"obj", place) + 3
        bodies[number] = _body(data[begin : data.rindex(b"endobj", begin, end)])
    root, info = _ROOT.search(trailer), _INFO.search(trailer)
    if root is None:
        raise ValueError("the file has no catalogue")
    return Sliced(bodies, int(root.group(1)), int(info.group(1)) if info else 0)


def _body(data: bytes) -> Body:
    head = _COMMENT.match(data)
    begin = head.end() if head else 0
    stream = _STREAM.search(data, begin)
    if stream is None:
        return Body(data[begin:].rstrip())
    entries = data[begin : stream.start() + 2]
    length = _LENGTH.search(entries)
    if length is None:
        raise ValueError("a stream does not say how long it is")
    raw = data[stream.end() : stream.end() + int(length.group(1))]
    return Body(entries, b"stream\n%b\nendstream" % raw)


def text_entry(key: bytes, entries: bytes) -> str:
    """A text of a dictionary, "" where it has none (ISO 32000-1, 7.3.4 and 7.9.2.2)."""
    found = re.search(b"/" + key + _TEXT, entries)
    if found is None:
        return ""
    written = found.group(1)
    if written.startswith(b"<"):
        plain = bytes.fromhex(written[1:-1].decode("ascii"))
    else:
        plain = _ESCAPED.sub(_unescaped, written[1:-1])
    if plain.startswith(b"\xfe\xff"):
        return plain[2:].decode("utf-16-be", "replace")
    return plain.decode("latin-1")


def _unescaped(found: re.Match[bytes]) -> bytes:
    letter = found.group(1)
    if letter.isdigit():
        return bytes((int(letter, 8) & 255,))
    return _CONTROLS.get(letter, letter)
