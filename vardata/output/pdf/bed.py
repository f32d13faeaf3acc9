"""The bed file: one PDF page for each bed load, at exactly the bed's size.

In: dressed items in their places. Out: a file on disk, and where in it each plate is. Plates
lie one over the other, colour first; whatever comes after the first plate of a page
overprints (ISO 32000-1, 8.6.7), so that every plate is the same with or without the others.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import BinaryIO, NamedTuple

from vardata import __version__, marks
from vardata.dress.drawing import Picture
from vardata.fit.fontbook import FontBook
from vardata.impose.facing import mirror_width
from vardata.job.model import Bed, Layout, Output, PrintMode
from vardata.job.platerules import CUT
from vardata.job.surfaces import face_down, mirrored_plates
from vardata.marks import BLACK, Ref, Statics
from vardata.output.pdf.bedload import PageContent
from vardata.output.pdf.content import PlateContent, paint
from vardata.output.pdf.frames import FORM
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.plates import layer_name, page_plates, put_plates
from vardata.output.pdf.standard import (
    DocPart,
    Standard,
    info_entries,
    put_default_rgb,
    put_intent,
    put_metadata,
    put_parts,
)
from vardata.output.pdf.steps import CutLines
from vardata.output.pdf.store import Store
from vardata.output.pdf.syntax import date_string, number, text_string
from vardata.output.pdf.written import Glyphs, written
from vardata.units import MM_PER_INCH, PT_PER_MM

_ANCHOR = 0.3  # mm, the side of an anchor mark
# Both for fills and strokes, and 1 so that a zero part of CMYK leaves that ink alone.
_OVERPRINT = b"/ExtGState<</Over<</Type/ExtGState/OP true/op true/OPM 1>>>>"
_BUFFER = 1 << 16  # bytes; a bed of texts and codes is written at once
_ROUND = b"1 j 1 J"  # round joins and caps, tables 54 and 55


class DocInfo(NamedTuple):
    """What the file says of itself. ``at`` is the run's date; ``beds`` its bed loads, from 1."""

    title: str
    run_id: str
    at: datetime
    beds: tuple[int, ...]


class BedFileFacts(NamedTuple):
    """What was written: size in bytes, sha256 in hex, and for each bed the page (from 1) of
    each plate, by the plate's name in the layout."""

    size: int
    sha256: str
    pages: tuple[dict[str, int], ...]


def write_bed_file(
    path: Path,
    *,
    bed: Bed,
    layout: Layout,
    output: Output,
    pages: Sequence[PageContent],
    statics: Statics,
    book: FontBook,
    pictures: Callable[[str], Picture],
    info: DocInfo,
    mode: PrintMode | None = None,
    standard: Standard | None = None,
    glyphs: Glyphs | None = None,
) -> BedFileFacts:
    """Writes the bed loads of one file, for a machine that prints in ``mode``; as a file of a
    printing standard, if one is asked for.

    Raises ``OSError`` if the disk refuses; the run's folder says it in one line for all files.
    """
    with path.open("wb", buffering=_BUFFER) as out:
        mirror = mirror_width(bed, mode)
        file = _BedFile(
            out, bed, layout, output, statics, book, pictures, half_dot(mode), mirror, standard,
            glyphs,
        )  # fmt: skip
        found = tuple(file.add(page) for page in pages)
        size = file.finish(info)
        return BedFileFacts(size, file.digest(), found)


class _BedFile:
    """One bed file in the making."""

    def __init__(
        self,
        out: BinaryIO,
        bed: Bed,
        layout: Layout,
        output: Output,
        statics: Statics,
        book: FontBook,
        pictures: Callable[[str], Picture],
        reach: float,
        mirror: float,
        standard: Standard | None,
        glyphs: Glyphs | None,
    ) -> None:
        self._bed = bed
        turned_round = b"q\n-1 0 0 1 %b 0 cm" % page_length(mirror)
        mirrored = mirrored_plates(layout)
        self._starts = [turned_round if i in mirrored else b"q" for i in range(len(layout.plates))]
        self._cut_start = turned_round if face_down(layout) else b"q"
        self._standard = standard
        self._parts: list[DocPart] = []
        self._layout = layout
        self._split = page_plates(layout, output)
        self._pdf = PdfFile(out)
        self._cut = CutLines(self._pdf, bed, layout) if output.cut_lines else None
        steps = standard is not None or output.cut_lines
        cut = self._cut.layer if self._cut else 0
        self._plates = put_plates(self._pdf, bed, layout, reach, steps=steps, cut=cut)
        self._store = Store(self._pdf, self._plates.inks, statics, book, pictures, glyphs)
        self._default_rgb = put_default_rgb(self._pdf) if standard is not None else b""
        self._store.tell_spaces(self._default_rgb)
        self._tree = self._pdf.reserve()
        self._pages: list[int] = []
        box = b"[0 0 %b %b]" % (page_length(bed.width), page_length(bed.height))
        self._page = b"<</Type/Page/Parent %d 0 R/MediaBox%b/TrimBox%b/Resources %b" % (
            self._tree, box, box, self._store.reference,
        )  # fmt: skip
        if standard is not None:
            self._page += b"/BleedBox" + box
        self._run_part = self._pdf.reserve() if standard and standard.parts else 0

    def add(self, page: PageContent) -> dict[str, int]:
        """Writes the pages of one bed load; gives the page of each plate."""
        contents = [self._store.content(plate) for plate in range(len(self._layout.plates))]
        if self._bed.anchor_marks:
            self._anchor(contents)
        lay(contents, page.ground[0])
        paint(contents, page.written(self._layout))
        if page.behind:
            paint(contents, written(page.behind, self._layout.width, self._layout.height))
        lay(contents, page.ground[1])
        found: dict[str, int] = {}
        part = self._pdf.reserve() if self._run_part else 0
        before = len(self._pages)
        cut = self._cut.stream(page.placements, self._cut_start) if self._cut else b""
        for plates in self._split:
            stream = self._stream(plates, contents)
            if cut and len(self._split) == 1:
                stream = b"%b\n/Over gs\n%b" % (stream, cut)
            self._put_page(stream, part)
            for i in plates:  # a plate with several passes is told by its first page
                found.setdefault(self._layout.plates[i].name, len(self._pages))
        if cut:
            if len(self._split) > 1:
                self._put_page(cut, part)
            found[CUT] = len(self._pages)
        if part:
            records = tuple(item.record for _, item in page.placements)
            self._parts.append(DocPart(part, tuple(self._pages[before:]), records))
        return found

    def _put_page(self, stream: bytes, part: int) -> None:
        number = self._pdf.put_stream(b"", stream)
        node = b"/DPart %d 0 R" % part if part else b""
        page = b"%b%b/Contents %d 0 R>>" % (self._page, node, number)
        self._pages.append(self._pdf.put(page))

    def _stream(self, plates: tuple[int, ...], contents: list[PlateContent]) -> bytes:
        parts = [_ROUND]
        for place, plate in enumerate(plates):
            if place == 1:
                parts.append(b"/Over gs")
            stream = contents[plate].stream()
            if stream:
                parts.append(b"/OC %b BDC\n%b" % (layer_name(plate), self._starts[plate]))
                parts.append(stream)
                parts.append(b"Q\nEMC")
        return b"\n".join(parts)

    def _anchor(self, contents: list[PlateContent]) -> None:
        """Tiny marks in the corners on every plate, so that no program crops the page."""
        right, back = self._bed.width - _ANCHOR, self._bed.height - _ANCHOR
        for i, plate in enumerate(self._layout.plates):
            colour: marks.Paint = BLACK if plate.role == "colour" else 1.0
            for x, y in ((0.0, 0.0), (right, 0.0), (right, back), (0.0, back)):
                square = (("re", x, y, _ANCHOR, _ANCHOR),)
                contents[i].path(marks.Path(i, colour, square), FORM)

    def finish(self, info: DocInfo) -> int:
        """Writes what all pages share; gives the size in bytes."""
        pdf, plates = self._pdf, self._plates
        spaces, layers = plates.spaces, plates.layers
        if self._cut:
            spaces, layers = spaces + self._cut.spaces, layers + self._cut.layers
        more = entry = b""
        if self._standard is not None:
            spaces += self._default_rgb
            more, entry = self._as_standard(self._standard, info), info_entries()
        spaces = b"/ColorSpace<<%b>>" % spaces if spaces else b""
        self._store.finish(_OVERPRINT + spaces + b"/Properties<<%b>>" % layers)
        kids = b" ".join(b"%d 0 R" % page for page in self._pages)
        pdf.put(b"<</Type/Pages/Count %d/Kids[%b]>>" % (len(self._pages), kids), self._tree)
        root = pdf.put(b"<</Type/Catalog/Pages %d 0 R%b%b>>" % (self._tree, plates.catalog, more))
        beds = " ".join(map(str, info.beds))
        at = date_string(info.at)
        about = pdf.put(
            b"<</Title%b/Subject%b/Producer%b/CreationDate%b/ModDate%b/Trapped/False%b>>"
            % (
                text_string(info.title),
                text_string(f"run {info.run_id}, bed {beds}"),
                text_string(f"vardata {__version__}"),
                at,
                at,
                entry,
            )
        )
        return pdf.finish(root, about)

    def digest(self) -> str:
        """The sha256 of the finished file, in hex."""
        return self._pdf.digest()

    def _as_standard(self, standard: Standard, info: DocInfo) -> bytes:
        """The catalogue's entries for a printing standard."""
        entries = put_intent(self._pdf, standard)
        entries += put_metadata(
            self._pdf, standard, info.title, info.run_id, info.beds, info.at
        )
        if self._run_part:
            numbered = tuple(zip(info.beds, self._parts))
            entries += put_parts(self._pdf, self._run_part, numbered, info.run_id)
        return entries


def lay(contents: Sequence[PlateContent], refs: Sequence[Ref]) -> None:
    """Puts what is printed on the bed itself on its plates."""
    for ref in refs:
        contents[ref.plate].ref(ref, FORM)


def half_dot(mode: PrintMode | None) -> float:
    """Half a dot in mm, the mean of both axes; 0 for a machine that is not known."""
    return sum(MM_PER_INCH / dpi for dpi in mode.dpi) / 4 if mode else 0.0


def page_length(mm: float) -> bytes:
    """A side of a page in points; 10^-5 pt is 3.5 nm."""
    return number(mm * PT_PER_MM, 5)
