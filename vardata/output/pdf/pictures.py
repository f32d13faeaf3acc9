"""Pictures in a file: each stored once, its stencil too.

In: keys of pictures. Out: names of image XObjects (ISO 32000-1, 8.9.5), or of forms for pages.
A stencil serves twice: as the picture's explicit mask (8.9.6.3) and, painted in a tint, on a
separation.
"""

from __future__ import annotations

from collections.abc import Callable

from vardata.dress.drawing import Picture
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.pages import put_page
from vardata.output.pdf.syntax import number


class FilePictures:
    """The pictures of a file, named as they come up."""

    def __init__(self, pdf: PdfFile, find: Callable[[str], Picture]) -> None:
        self._pdf = pdf
        self._find = find
        self.spaces = b""  # colour spaces that pages of other PDFs need
        self._pictures: dict[str, int] = {}
        self._stencils: dict[str, int] = {}  # 0: opaque all over

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

    def resources(self) -> bytes:
        """Entries of the resource dictionary."""
        numbers = (*self._pictures.values(), *filter(None, self._stencils.values()))
        return b"".join(b"/Im%d %d 0 R" % (number, number) for number in numbers)

    def _stencil(self, key: str, picture: Picture) -> int:
        number = self._stencils.get(key)
        if number is None:
            number = 0
            if picture.mask:
                # Decode turns the usual sense round: 1 is painted.
                number = self._pdf.put_stream(
                    b"/Type/XObject/Subtype/Image/Width %d/Height %d"
                    b"/ImageMask true/BitsPerComponent 1/Decode[1 0]"
                    % (picture.width, picture.height),
                    picture.mask,
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
