"""What a file stores once and uses often: fonts, pictures, static marks.

In: the first use of each. Out: resource names, and at the end one resource dictionary
(ISO 32000-1, 7.8.3) that all pages and forms of the file share.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from vardata.dress.drawing import Picture
from vardata.fit.fontbook import FontBook
from vardata.marks import Statics
from vardata.output.pdf.content import PlateContent, Unseen
from vardata.output.pdf.fonts import FileFonts
from vardata.output.pdf.frames import FORM
from vardata.output.pdf.inks import Ink
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.pictures import FilePictures
from vardata.output.pdf.shadings import FileShadings
from vardata.output.pdf.written import Glyphs

# Static marks are clipped to a box around them (8.10.2). They may pass the item by a bleed,
# and nothing is larger than a page may be: 14,400 points.
_ANYWHERE = b"[-14400 -14400 14400 14400]"


class Store:
    """The shared part of one file; ``inks`` has one ink for each plate of the layout, ``glyphs``
    are those that fonts get besides the ones that are shown."""

    def __init__(
        self,
        pdf: PdfFile,
        inks: Sequence[Ink],
        statics: Statics,
        book: FontBook,
        pictures: Callable[[str], Picture],
        glyphs: Glyphs | None = None,
    ) -> None:
        self._pdf = pdf
        self._inks = inks
        self._statics = statics
        self.fonts = FileFonts(book, glyphs)
        self._pictures = FilePictures(pdf, pictures)
        self._shadings = FileShadings(pdf)
        self._forms: dict[tuple[str, int], int] = {}  # 0: no marks
        self.number = pdf.reserve()
        self.reference = b"%d 0 R" % self.number
        self._form = b"/Type/XObject/Subtype/Form/Resources %b" % self.reference
        self._ready: list[int] = []  # forms that came compressed
        self.picture = self._pictures.picture
        self.stencil = self._pictures.stencil
        self.tints = self._pictures.tints
        self.shading = self._shadings.name

    def tell_spaces(self, spaces: bytes) -> None:
        """Colour spaces that pages of other PDFs are to have among their own."""
        self._pictures.spaces = spaces

    def content(self, plate: int, *, seen: bool = True) -> PlateContent:
        """Content to be painted in a plate's ink, or to be left out."""
        return (PlateContent if seen else Unseen)(self._inks[plate], self)

    def form(self, key: str, plate: int) -> bytes | None:
        """The name of the static marks of a plate; None if there are none."""
        number = self._forms.get((key, plate))
        if number is None:
            number = self._forms[key, plate] = self._put_form(key, plate)
        return b"/Form%d" % number if number else None

    def ready_form(self, squeezed: bytes) -> bytes:
        """Puts a form whose content is compressed already; gives its name."""
        head = b"%b/BBox%b/Filter/FlateDecode" % (self._form, _ANYWHERE)
        number = self._pdf.put_stream(head, squeezed, raw=True)
        self._ready.append(number)
        return b"/Form%d" % number

    def put_form(self, entries: bytes, content: bytes) -> int:
        """Puts a form of the caller's making, who names it; gives its number."""
        return self._pdf.put_stream(self._form + entries, content)

    def finish(self, others: bytes = b"") -> None:
        """Puts fonts and resources; ``others`` are entries that the caller answers for."""
        numbers = (*filter(None, self._forms.values()), *self._ready)
        forms = b"".join(b"/Form%d %d 0 R" % (n, n) for n in numbers)
        objects = forms + self._pictures.resources()
        entries = others
        fonts = self.fonts.resources(self._pdf)
        if fonts:
            entries += b"/Font<<%b>>" % fonts
        shadings = self._shadings.resources()
        if shadings:
            entries += b"/Shading<<%b>>" % shadings
        if objects:
            entries += b"/XObject<<%b>>" % objects
        self._pdf.put(b"<<%b>>" % entries, self.number)

    def _put_form(self, key: str, plate: int) -> int:
        content = self.content(plate)
        for mark in self._statics.refs.get(key, ()):
            if mark.plate == plate:
                content.mark(mark, FORM)
        stream = content.stream()
        return self.put_form(b"/BBox" + _ANYWHERE, stream) if stream else 0
