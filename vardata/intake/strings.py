"""The shared strings of a workbook, kept as packed bytes: a run of any size fits in memory.

In: the part's stream. Out: ``SharedStrings``, indexed like a list. Rich text gives its letters
without their looks; phonetic guides are left out. Rules: ECMA-376 part 1, 18.4; escapes of
characters that XML cannot hold, 22.9.2.19 (ST_Xstring).
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Callable
from typing import IO
from xml.parsers import expat

_ESCAPE = re.compile("_x([0-9A-Fa-f]{4})_")
_PIECE = 1 << 16


class DoctypeError(ValueError):
    """A part declares entities, which no workbook does."""


def new_parser() -> expat.XMLParserType:
    """An XML parser that gives text in whole pieces and refuses declared entities."""
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def refuse(*_: object) -> None:
        raise DoctypeError("it declares a document type")

    parser.StartDoctypeDeclHandler = refuse
    return parser


def listen(
    parser: expat.XMLParserType, start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], None], data: Callable[[str], None],
) -> None:
    """Says who is told of elements and of text."""
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = data


def unescape(text: str) -> str:
    """``_x000D_`` and the like become the characters they stand for."""
    if "_x" not in text:
        return text
    plain = _ESCAPE.sub(lambda match: chr(int(match[1], 16)), text)
    try:
        # Characters beyond U+FFFF are escaped in two halves; a half alone stays as written.
        return plain.encode("utf-16-le", "surrogatepass").decode("utf-16-le")
    except UnicodeDecodeError:
        return text


class SharedStrings:
    """Texts by number. Adding costs 8 bytes and the text's UTF-8."""

    def __init__(self) -> None:
        self._bytes = bytearray()
        self._ends = array("Q", [0])

    def __len__(self) -> int:
        return len(self._ends) - 1

    def __getitem__(self, index: int) -> str:
        if not 0 <= index < len(self._ends) - 1:
            raise IndexError(index)
        return self._bytes[self._ends[index] : self._ends[index + 1]].decode()

    def add(self, text: str) -> None:
        self._bytes += text.encode()
        self._ends.append(len(self._bytes))

    def read(self, stream: IO[bytes]) -> None:
        """Add every string of the part. Raises what expat and the stream raise."""
        parser = new_parser()
        pieces: list[str] = []
        wanted = phonetic = False

        def start(name: str, attributes: dict[str, str]) -> None:
            nonlocal wanted, phonetic
            name = name.rpartition(":")[2]
            if name == "t":
                wanted = not phonetic
            elif name == "rPh":
                phonetic = True

        def end(name: str) -> None:
            nonlocal wanted, phonetic
            name = name.rpartition(":")[2]
            if name == "t":
                wanted = False
            elif name == "si":
                self.add(unescape("".join(pieces)))
                pieces.clear()
            elif name == "rPh":
                phonetic = False

        def data(text: str) -> None:
            if wanted:
                pieces.append(text)

        listen(parser, start, end, data)
        while piece := stream.read(_PIECE):
            parser.Parse(piece, False)
        parser.Parse(b"", True)
