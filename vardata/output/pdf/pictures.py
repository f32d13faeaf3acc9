"""Pictures in a file: each stored once, its stencil too.

In: keys of pictures. Out: names of image XObjects (ISO 32000-1, 8.9.5), or of forms for pages.
A stencil serves twice: as the picture's explicit mask (8.9.6.3) and, painted in a tint, on a
separation.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from vardata.dress import softedge
from vardata.dress.drawing import Picture, Soft
from vardata.marks import Tints
from vardata.output.pdf.inks import Ink
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.pages import put_page
from vardata.output.pdf.syntax import number

_MASK = (
    b"/Type/XObject/Subtype/Image/Width %d/Height %d/ImageMask true/BitsPerComponent 1/Decode[1 0]"
)
_TINTS = (
    b"/Type/XObject/Subtype/Image/Width %d/Height %d/ColorSpace %b/BitsPerComponent 8"
    b"/Decode[0 %b]/Mask %d 0 R"
)


class FilePictures:
    """The pictures of a file, named as they come up."""

    def __init__(self, pdf: PdfFile, find: Callable[[str], Picture]) -> None:
        self._pdf = pdf
        self._find = find
        self.spaces = b""  # colour spaces that pages of other PDFs need
        self._pictures: dict[str, int] = {}
        self._stencils: dict[str, int] = {}  # 0: opaque all over
        self._tints: dict[tuple[str, float, float, bytes, float], int] = {}

    def picture(self, key: str) -> bytes:
        """The name of a picture's image."""
        number = self._pictures.get(key)
        if number is None:
            picture = self._find(key)
            if picture.space == "Page":
                number = put_page(self._pdf, picture.data, self.spaces)
            else:
                number = self._put(picture, self._stencil(key, picture))
            self._pictures[key] = number
        return b"/Im%d" % number

    def stencil(self, key: str) -> bytes | None:
        """The name of a picture's stencil; None if the picture is opaque all over."""
        number = self._stencils.get(key)
        if number is None:
            number = self._stencil(key, self._find(key))
        return b"/Im%d" % number if number else None

    def tints(self, mark: Tints, ink: Ink) -> bytes:
        """The name of a picture's soft edges in an ink: levels of it, choked."""
        soft = self._find(mark.source).soft
        if soft is None:
            raise ValueError(f"the picture {mark.source} has no soft edges")
        across, up = (
            round(mark.choke * levels / mm, 3)
            for levels, mm in ((soft.width, mark.w), (soft.height, mark.h))
        )
        full = mark.paint * ink.density
        key = (mark.source, across, up, ink.space, full)
        number_of = self._tints.get(key)
        if number_of is None:
            data = softedge.choked(soft, across, up)
            entries = _TINTS % (
                soft.width, soft.height, ink.space, number(full, 4), self._shown(soft, data)
            )  # fmt: skip
            number_of = self._tints[key] = self._pdf.put_stream(entries, data)
        return b"/Im%d" % number_of

    def _shown(self, soft: Soft, data: bytes) -> int:
        """A stencil of the places that have any level: what lies below the others stays."""
        levels = np.frombuffer(data, np.uint8).reshape(soft.height, soft.width)
        bits = np.packbits(levels > 0, axis=1)
        return self._pdf.put_stream(_MASK % (soft.width, soft.height), bits.tobytes())

    def resources(self) -> bytes:
        """Entries of the resource dictionary."""
        numbers = (
            *self._pictures.values(), *filter(None, self._stencils.values()),
            *self._tints.values(),
        )  # fmt: skip
        return b"".join(entry(b"/Im%d" % number) for number in numbers)

    def _stencil(self, key: str, picture: Picture) -> int:
        number = self._stencils.get(key)
        if number is None:
            number = 0
            if picture.mask:
                # Decode turns the usual sense round: 1 is painted.
                number = self._pdf.put_stream(
                    _MASK % (picture.width, picture.height), picture.mask
                )
            self._stencils[key] = number
        return number

    def _put(self, picture: Picture, stencil: int) -> int:
        entries = (
            b"/Type/XObject/Subtype/Image/Width %d/Height %d/ColorSpace/%b"
            b"/BitsPerComponent 8/Filter/%b"
        ) % (picture.width, picture.height, picture.space.encode(), picture.filter.encode())
        if picture.decode:
            entries += b"/Decode[%b]" % b" ".join(map(number, picture.decode))
        if stencil:
            entries += b"/Mask %d 0 R" % stencil
        return self._pdf.put_stream(entries, picture.data, raw=True)


def entry(name: bytes) -> bytes:
    """The entry of a resource dictionary for a picture of that name."""
    return b"%b %b 0 R" % (name, name.removeprefix(b"/Im"))
