"""Pictures for eyes: what the items of a bed look like when they are printed.

In: the same display lists as the bed file's. Out: plain PDF that any viewer shows right, for
previews and for the pick list. Each plate becomes a transparency group (ISO 32000-1, 11.6.6)
that is blended as its ink behaves (``view``): white lightens, the process inks filter the light,
gloss shifts it a little. So a picture tells the truth where white is missing under colour, and
a stroke at tint 0 takes ink away as it does on the press.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from pathlib import Path
from typing import BinaryIO

from vardata import __version__
from vardata.dress.drawing import Picture
from vardata.fit.fontbook import FontBook
from vardata.job.model import Bed, Layout
from vardata.marks import Commands, Item, Placement, Statics
from vardata.output.pdf.bed import lay, page_length
from vardata.output.pdf.bedload import PageContent
from vardata.output.pdf.content import PlateContent, paint
from vardata.output.pdf.frames import frame_of, outline
from vardata.output.pdf.objectlist import Body, ObjectList
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.store import Store
from vardata.output.pdf.syntax import number, text_string
from vardata.output.pdf.view import BLENDS, LIT, STATES, View, shown_plates, view_inks
from vardata.problems import OutputError, fail
from vardata.units import PT_PER_MM

PAPER = "#ffffff"
_EDGE = b".7 G .3 w"  # a thin grey line around items shown on paper
_ALL = View()


class LookForms:
    """Pictures of any number of beds that share fonts, art and pictures.

    ``add`` gives the content of a form XObject, the bed's box in points being ``bbox``;
    ``resources`` gives what they all need, as objects for the document they go to. Every bed is
    added before resources are asked for: fonts hold the glyphs of all of them.
    """

    def __init__(
        self,
        *,
        bed: Bed,
        layout: Layout,
        statics: Statics,
        book: FontBook,
        pictures: Callable[[str], Picture],
        substrate: Callable[[Item], str],
        outline: Commands,
        view: View = _ALL,
    ) -> None:
        self._objects = ObjectList()
        self._looks = _Looks(
            self._objects, bed, layout, statics, book, pictures, substrate, outline, view
        )
        self._asked = False

    @property
    def bbox(self) -> tuple[float, float, float, float]:
        return self._looks.bbox

    def add(self, page: PageContent) -> bytes:
        """The content of one bed's picture."""
        if self._asked:
            raise RuntimeError("a bed was added after the pictures' resources were asked for")
        return self._looks.content(page)

    def resources(self) -> tuple[Mapping[int, Body], int]:
        """The objects of all pictures, and the number of the resource dictionary they share."""
        if not self._asked:
            self._asked = True
            self._looks.finish_store()
        return self._objects.bodies, self._looks.resources


def write_look_file(
    target: Path | BinaryIO,
    *,
    bed: Bed,
    layout: Layout,
    pages: Sequence[PageContent],
    statics: Statics,
    book: FontBook,
    pictures: Callable[[str], Picture],
    substrate: Callable[[Item], str],
    outline: Commands,
    plates: Collection[int] | None = None,
    background: str = "#e6e6e6",
    with_gloss_sheen: bool = True,
    lit: bool = False,
    photo: Callable[[Item], str] = lambda item: "",
) -> None:
    """Writes pictures of beds, a page each; ``photo`` gives the key of the picture that an item
    lies on, if any. Raises ``OutputError`` if the disk refuses."""
    view = View(None if plates is None else frozenset(plates), background, with_gloss_sheen, lit)

    def write(out: BinaryIO) -> None:
        looks = _Looks(
            PdfFile(out), bed, layout, statics, book, pictures, substrate, outline, view, photo
        )
        for page in pages:
            looks.page(looks.content(page))
        looks.finish(pages[0].title if pages else "")

    if not isinstance(target, Path):
        write(target)
        return
    try:
        with target.open("wb") as out:
            write(out)
    except OSError as error:
        raise fail(
            OutputError,
            "write-failed",
            f"the picture of a bed cannot be written ({error.strerror or error})",
            "make room or choose another place, then build again",
            file=target.name,
        ) from error


class _Looks:
    """A file of pictures in the making."""

    def __init__(
        self,
        pdf: PdfFile,
        bed: Bed,
        layout: Layout,
        statics: Statics,
        book: FontBook,
        pictures: Callable[[str], Picture],
        substrate: Callable[[Item], str],
        outline: Commands,
        view: View,
        photo: Callable[[Item], str] = lambda item: "",
    ) -> None:
        self._layout = layout
        self._photo = photo
        self._blends = LIT if view.lit else BLENDS
        self._substrate = substrate
        self._outline = outline
        self._shown = shown_plates(layout, view)
        self._on_paper = not view.lit and view.plates is not None and all(
            layout.plates[i].role != "white" for i in self._shown
        )
        self._pdf = pdf
        inks = view_inks(layout, self._shown, view)
        self._store = Store(self._pdf, inks, statics, book, pictures)
        self.resources = self._store.number
        self._tree = self._pdf.reserve()
        self._pages: list[int] = []
        self.bbox = (0.0, 0.0, bed.width * PT_PER_MM, bed.height * PT_PER_MM)
        self._box = b"[0 0 %b %b]" % (page_length(bed.width), page_length(bed.height))
        size = b"%b %b" % (page_length(bed.width), page_length(bed.height))
        self._everywhere = b"0 0 %b re f" % size
        self._width = bed.width
        self._background = b""
        if view.background:
            self._background = b"%b rg %b" % (_rgb(view.background), self._everywhere)
        self._paths: dict[Placement, bytes] = {}

    def content(self, page: PageContent) -> bytes:
        """One bed: background, blanks, then each plate through a clip along the outlines."""
        parts = [b"q 1 j 1 J"]
        if self._background:
            parts.append(self._background)
        if any(page.ground):
            parts += self._ground(page)
        if page.placements:
            paths = [self._path(at) for at, _ in page.placements]
            contents = self._contents()
            # Items that lie on their face are turned one by one: what lies below cannot follow.
            below, above = ((), ()) if page.turned else page.ground
            lay(contents, below)
            paint(contents, page.written(self._layout))
            lay(contents, above)
            parts += [b"q", *paths, b"W n"]
            parts += self._blanks([item for _, item in page.placements], paths)
            parts += self._photos(page.placements)
            for plate in self._shown:
                parts += self._group(contents[plate].stream(), self._layout.plates[plate].role)
            parts.append(b"Q")
            if self._on_paper:
                parts += [_EDGE, *paths, b"S"]
        parts.append(b"Q")
        return b"\n".join(parts)

    def _contents(self) -> list[PlateContent]:
        return [
            self._store.content(plate, seen=plate in self._shown)
            for plate in range(len(self._layout.plates))
        ]

    def _ground(self, page: PageContent) -> list[bytes]:
        """What is printed on the bed itself, around the items."""
        contents = self._contents()
        for refs in page.ground:
            lay(contents, refs)
        parts = [b"q"]
        for plate in self._shown:
            stream = contents[plate].stream()
            if stream and page.turned:
                stream = b"q -1 0 0 1 %b 0 cm\n%b\nQ" % (page_length(self._width), stream)
            parts += self._group(stream, self._layout.plates[plate].role)
        return [*parts, b"Q"]  # blanks are no ink: they hide what is below them

    def _path(self, at: Placement) -> bytes:
        """The outline of an item; slots repeat from bed to bed."""
        path = self._paths.get(at)
        if path is None:
            frame = frame_of(at, self._layout.width, self._layout.height)
            path = self._paths[at] = outline(self._outline, frame)
        return path

    def _blanks(self, items: Sequence[Item], paths: Sequence[bytes]) -> list[bytes]:
        """The items before they are printed, within the clip."""
        colours = [PAPER if self._on_paper else self._substrate(item) for item in items]
        if len(set(colours)) == 1:
            return [b"%b rg %b" % (_rgb(colours[0]), self._everywhere)]
        return [b"%b rg %b f" % (_rgb(colour), path) for colour, path in zip(colours, paths)]

    def _photos(self, placements: Sequence[tuple[Placement, Item]]) -> list[bytes]:
        """Photos of the blanks, within the clip."""
        width, height = self._layout.width, self._layout.height
        found = []
        for at, item in () if self._on_paper else placements:
            key = self._photo(item)
            if key:
                matrix = frame_of(at, width, height).box_matrix(0.0, 0.0, width, height, 0.0)
                found.append(b"q %b cm %b Do Q" % (matrix, self._store.picture(key)))
        return found

    def _group(self, stream: bytes, role: str) -> list[bytes]:
        """A plate as a group: isolated, so that its own marks cover each other as usual."""
        if not stream:
            return []
        entries = b"/BBox%b/Group<</S/Transparency/I true/CS/DeviceRGB>>" % self._box
        return [b"%b gs %b Do" % (self._blends[role], self._store.add_form(entries, stream))]

    def page(self, content: bytes) -> None:
        """A page with such content."""
        stream = self._pdf.put_stream(b"", content)
        self._pages.append(
            self._pdf.put(
                b"<</Type/Page/Parent %d 0 R/MediaBox%b/Resources %b/Contents %d 0 R"
                b"/Group<</S/Transparency/CS/DeviceRGB>>>>"
                % (self._tree, self._box, self._store.reference, stream)
            )
        )

    def finish_store(self) -> None:
        """Puts what all pictures share."""
        self._store.finish(STATES)

    def finish(self, title: str) -> None:
        pdf = self._pdf
        self.finish_store()
        kids = b" ".join(b"%d 0 R" % page for page in self._pages)
        pdf.put(b"<</Type/Pages/Count %d/Kids[%b]>>" % (len(self._pages), kids), self._tree)
        root = pdf.put(b"<</Type/Catalog/Pages %d 0 R>>" % self._tree)
        producer = text_string(f"vardata {__version__}")
        about = pdf.put(b"<</Title%b/Producer%b>>" % (text_string(title), producer))
        pdf.finish(root, about)


def _rgb(colour: str) -> bytes:
    """#rrggbb as three numbers from 0 to 1."""
    digits = colour.lstrip("#")
    return b" ".join(number(int(digits[i : i + 2], 16) / 255, 4) for i in (0, 2, 4))
