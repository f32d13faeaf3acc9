"""Files of static art: there, and what their suffix says.

In: a name as the layout writes it. Out: the file's path, or a ``PathFault``. Pictures are not
opened here; only their first bytes are looked at.
"""

from __future__ import annotations

from pathlib import Path

from vardata.job.found import clipped
from vardata.job.paths import PathFault, find_file

_ART = {  # what a file's first bytes must be, by its suffix
    ".svg": (b"<", b"\xef\xbb\xbf<", b"\xff\xfe", b"\xfe\xff"),
    ".png": (b"\x89PNG\r\n\x1a\n",),  # PNG specification, 5.2
    ".jpg": (b"\xff\xd8\xff",),  # ISO/IEC 10918-1, B.1.1.3: SOI, then a marker
    ".jpeg": (b"\xff\xd8\xff",),
    ".tif": (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"),  # TIFF 6.0, section 2
    ".tiff": (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"),
    ".webp": (b"RIFF",),  # RFC 9649, 2.4
    ".heic": (b"\0\0",),  # ISO/IEC 14496-12, 4.2: the size of a small box
    ".heif": (b"\0\0",),
    ".pdf": (b"%PDF-",),  # ISO 32000-1, 7.5.2
    ".eps": (b"%!PS", b"\xc5\xd0\xd3\xc6"),  # bare, or with a preview in front
}


def tile_file(name: str, base: Path, inside: Path | None) -> Path:
    """A tile of a pattern that exists and is an SVG by its name."""
    if Path(name).suffix.lower() != ".svg":
        raise PathFault("bad-art", f"{clipped(name)} is no SVG", "draw the tile as SVG")
    return find_file(name, base, inside)


def art_file(name: str, base: Path, inside: Path | None) -> Path:
    """Static art that exists and is what its suffix says."""
    suffix = Path(name).suffix.lower()
    if suffix not in _ART:
        what = f"{clipped(name)} is not a picture file that can be placed"
        raise PathFault("bad-art", what, f"allowed: {', '.join(_ART)}")
    path = find_file(name, base, inside)
    with path.open("rb") as file:
        head = file.read(256).lstrip()
    if not head.startswith(_ART[suffix]):
        what = f"{clipped(name)} does not hold what its suffix {suffix} says"
        raise PathFault("bad-art", what, "save the picture again in the program it was made with")
    return path
