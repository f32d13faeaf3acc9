"""One font taken out of a collection: what is embedded is always a single font.

In: the bytes of a collection (OpenType 1.9, "Font collections"). Out: those of a font file.
"""

from __future__ import annotations

import struct

_ENTRY = 16  # bytes of a table's entry: tag, checksum, offset, length


def taken_out(data: bytes, member: int) -> bytes:
    """A font file with the tables of one member; ``data`` as it is if it is no collection."""
    if data[:4] != b"ttcf":
        return data
    (start,) = struct.unpack_from(">I", data, 12 + 4 * member)
    (count,) = struct.unpack_from(">H", data, start + 4)
    head = bytearray(data[start : start + 12 + _ENTRY * count])
    body = bytearray()
    for entry in range(12, 12 + _ENTRY * count, _ENTRY):
        offset, length = struct.unpack_from(">II", head, entry + 8)
        struct.pack_into(">I", head, entry + 8, len(head) + len(body))
        body += data[offset : offset + length]
        body += b"\0" * (-length % 4)
    return bytes(head + body)
