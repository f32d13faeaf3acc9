"""What the markers of a JPEG say, as far as a PDF needs to know before it takes it as it is.

In: the bytes of a file. Out: ``Jpeg``, or None where the markers make no sense. Marker codes
are those of ITU-T T.81, table B.1.
"""

from __future__ import annotations

import re
from typing import NamedTuple

_SOI, _EOI, _SOS, _APP14 = 0xD8, 0xD9, 0xDA, 0xEE
_BARE = frozenset({0x01, *range(0xD0, 0xD8)})  # TEM and RSTn have no length
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}  # SOFn, without DHT, JPG, DAC
# In coded data FF is followed by 0 or RSTn; further FF are fill bytes.
_NEXT = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")


class Jpeg(NamedTuple):
    """``adobe`` is the transform that an Adobe marker names, or None without one. ``end`` is
    the length up to the end of the first picture: phones append others."""

    precision: int
    components: tuple[int, ...]
    adobe: int | None
    process: int  # the SOFn: 0 baseline, 1 extended, 2 progressive
    end: int

    @property
    def plain_rgb(self) -> bool:
        """RGB that only its component names betray; PDF readers would take it for YCbCr."""
        return self.adobe is None and self.components == (82, 71, 66)

    @property
    def printable(self) -> bool:
        """Whether DCTDecode takes it: 8 bits, baseline to progressive (ISO 32000-1, 7.4.8)."""
        return self.precision == 8 and self.process in (0, 1, 2) and not self.plain_rgb


def scan(data: bytes) -> Jpeg | None:
    """Read the markers up to the end of the picture."""
    frame: tuple[int, int, tuple[int, ...]] | None = None
    adobe: int | None = None
    at = 2
    while data[:2] == bytes((0xFF, _SOI)) and at + 4 <= len(data) and data[at] == 0xFF:
        code = data[at + 1]
        if code == 0xFF:
            at += 1
            continue
        if code == _EOI:
            break
        size = 2 if code in _BARE else 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        body = data[at + 4 : at + size]
        if code in _FRAMES and frame is None and len(body) >= 6:
            frame = (code & 0x0F, body[0], tuple(body[6 : 6 + 3 * body[5] : 3]))
        elif code == _APP14 and body[:5] == b"Adobe" and len(body) >= 12:
            adobe = body[11]
        at += size
        if code == _SOS:
            following = _NEXT.search(data, at)
            if following is None:
                return None
            at = following.start()
    if frame is None or data[at : at + 2] != bytes((0xFF, _EOI)):
        return None
    process, precision, components = frame
    return Jpeg(precision, components, adobe, process, at + 2)
