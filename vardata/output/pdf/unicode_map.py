"""From glyph ids back to text, so that the text in a file can be searched and copied.

In: the text of each glyph. Out: a ToUnicode map (ISO 32000-1, 9.10.3).
"""

from __future__ import annotations

from collections.abc import Mapping

_AT_ONCE = 100  # entries in one block; from memory: the limit of the CMap specification
_HEAD = b"""/CIDInit/ProcSet findresource begin
12 dict begin
begincmap
/CIDSystemInfo<</Registry(Adobe)/Ordering(UCS)/Supplement 0>>def
/CMapName/Adobe-Identity-UCS def
/CMapType 2 def
1 begincodespacerange
<0000><FFFF>
endcodespacerange
"""
_TAIL = b"""endcmap
CMapName currentdict/CMap defineresource pop
end
end"""


def unicode_map(texts: Mapping[int, str]) -> bytes:
    """The map of glyph ids to texts; a glyph without text is left out."""
    ranges: list[tuple[int, int, str]] = []
    single: list[tuple[int, str]] = []
    for glyph in sorted(texts):
        text = texts[glyph]
        if len(text) == 1 and ord(text) < 0x10000:
            if ranges and _follows(ranges[-1], glyph, text):
                ranges[-1] = (ranges[-1][0], glyph, ranges[-1][2])
            else:
                ranges.append((glyph, glyph, text))
        elif text:
            single.append((glyph, text))
    single += [(first, text) for first, last, text in ranges if first == last]
    chars = [b"<%04X><%b>" % (glyph, _utf16(text)) for glyph, text in sorted(single)]
    spans = [
        b"<%04X><%04X><%b>" % (first, last, _utf16(text))
        for first, last, text in ranges
        if first != last
    ]
    return _HEAD + _blocks(b"bfchar", chars) + _blocks(b"bfrange", spans) + _TAIL


def _follows(span: tuple[int, int, str], glyph: int, text: str) -> bool:
    """Whether a glyph goes on with a range; a range may change the last byte only."""
    first, last, start = span
    return (
        glyph == last + 1
        and ord(text) == ord(start) + glyph - first
        and first >> 8 == glyph >> 8
        and ord(start) >> 8 == ord(text) >> 8
    )


def _utf16(text: str) -> bytes:
    return text.encode("utf-16-be", "replace").hex().upper().encode()


def _blocks(kind: bytes, entries: list[bytes]) -> bytes:
    out = []
    for start in range(0, len(entries), _AT_ONCE):
        block = entries[start : start + _AT_ONCE]
        out.append(b"%d begin%b\n%b\nend%b\n" % (len(block), kind, b"\n".join(block), kind))
    return b"".join(out)
