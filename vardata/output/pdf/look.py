"""Pictures for eyes: what the items of a bed look like when they are printed.

In: the same display lists as the bed file's. Out: plain PDF that any viewer shows right, for
previews and for the pick list. Each plate becomes a transparency group (ISO 32000-1, 11.6.6)
that is blended as its ink behaves (``view``): white lightens, the process inks filter the light,
gloss shifts it a little. So a picture tells the truth where white is missing under colour, and
a stroke at tint 0 takes ink away as it does on the press.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import BinaryIO

from vardata import __version__
from vardata.deflated import deflated
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
from vardata.output.pdf.pictures import entry
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

    ``add`` gives the number of a form XObject, the bed's box in points being ``bbox``;
    ``objects`` gives all of them and what they need, for the document they go to. Every bed is
    added before they are asked for: fonts hold the glyphs of all of them.
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

    def add(self, page: PageContent) -> int:
        """The number of one bed's picture among the objects."""
        if self._asked:
            raise RuntimeError("a bed was added after the pictures' objects were asked for")
        return self._looks.form(page)

    def objects(self) -> Mapping[int, Body]:
        """The objects of all pictures, by number."""
        if not self._asked:
            self._asked = True
            self._looks.finish_store()
        return self._objects.bodies


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
    photo: Callable[[Item], str] | None = None,
) -> None:
    """Writes pictures of beds, a page each; ``photo`` gives the key of the picture that an item
    lies on, if any. Raises ``OutputError`` if the disk refuses."""
    view = View(None if plates is None else frozenset(plates), background, with_gloss_sheen, lit)

    def write(out: BinaryIO) -> None:
        looks = _Looks(
            PdfFile(out), bed, layout, statics, book, pictures, substrate, outline, view, photo
        )
        for page in pages:
            looks.page(page)
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
        photo: Callable[[Item], str] | None = None,
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
        self._states = pdf.put(STATES)
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

    def _content(self, page: PageContent) -> tuple[bytes, bytes]:
        """One bed: background, blanks, then each plate through a clip along the outlines; and the
        entries of its resource dictionary. Beds that differ in their plates only have the same
        content: the resources tell which plates are meant."""
        shown = _Shown()
        parts = [b"q 1 j 1 J"]
        if self._background:
            parts.append(self._background)
        if any(page.ground):
            parts += self._ground(page, shown)
        if page.placements:
            paths, joined = self._paths(page)
            contents = self._contents()
            # Items that lie on their face are turned one by one: what lies below cannot follow.
            below, above = ((), ()) if page.turned else page.ground
            lay(contents, below)
            paint(contents, page.written(self._layout))
            lay(contents, above)
            parts += [b"q", joined, b"W n"]
            parts += self._blanks([item for _, item in page.placements], paths)
            parts += self._photos(page.placements, shown)
            for plate in self._shown:
                parts += self._group(contents[plate].stream(), plate, shown)
            parts.append(b"Q")
            if self._on_paper:
                parts += [_EDGE, joined, b"S"]
        parts.append(b"Q")
        entries = b"/ExtGState %d 0 R/XObject<<%b>>" % (self._states, b"".join(shown.entries))
        return b"\n".join(parts), entries

    def _contents(self) -> list[PlateContent]:
        return [
            self._store.content(plate, seen=plate in self._shown)
            for plate in range(len(self._layout.plates))
        ]

    def _ground(self, page: PageContent, shown: _Shown) -> list[bytes]:
        """What is printed on the bed itself, around the items."""
        contents = self._contents()
        for refs in page.ground:
            lay(contents, refs)
        parts = [b"q"]
        for plate in self._shown:
            stream = contents[plate].stream()
            if stream and page.turned:
                stream = b"q -1 0 0 1 %b 0 cm\n%b\nQ" % (page_length(self._width), stream)
            parts += self._group(stream, plate, shown)
        return [*parts, b"Q"]  # blanks are no ink: they hide what is below them

    def _paths(self, page: PageContent) -> tuple[list[bytes], bytes]:
        places = tuple([at for at, _ in page.placements])
        return _edges(self._outline, places, self._layout.width, self._layout.height)

    def _blanks(self, items: Sequence[Item], paths: Sequence[bytes]) -> list[bytes]:
        """The items before they are printed, within the clip."""
        colours = [PAPER] if self._on_paper else [self._substrate(item) for item in items]
        if len(set(colours)) == 1:
            return [b"%b rg %b" % (_rgb(colours[0]), self._everywhere)]
        return [b"%b rg %b f" % (_rgb(colour), path) for colour, path in zip(colours, paths)]

    def _photos(
        self, placements: Sequence[tuple[Placement, Item]], shown: _Shown
    ) -> list[bytes]:
        """Photos of the blanks, within the clip."""
        if self._photo is None or self._on_paper:
            return []
        width, height = self._layout.width, self._layout.height
        found = []
        for at, item in placements:
            key = self._photo(item)
            if key:
                matrix = frame_of(at, width, height).box_matrix(0.0, 0.0, width, height, 0.0)
                found.append(b"q %b cm %b Do Q" % (matrix, shown.picture(self._store, key)))
        return found

    def _group(self, stream: bytes, plate: int, shown: _Shown) -> list[bytes]:
        """A plate as a group: isolated, so that its own marks cover each other as usual."""
        if not stream:
            return []
        entries = b"/BBox%b/Group<</S/Transparency/I true/CS/DeviceRGB>>" % self._box
        name = shown.plate(self._store.put_form(entries, stream))
        return [b"%b gs %b Do" % (self._blends[self._layout.plates[plate].role], name)]

    def page(self, page: PageContent) -> None:
        """A page with one bed."""
        content, entries = self._content(page)
        stream = self._pdf.put_stream(b"/Filter/FlateDecode", _squeezed(content), raw=True)
        self._pages.append(
            self._pdf.put(
                b"<</Type/Page/Parent %d 0 R/MediaBox%b/Resources<<%b>>/Contents %d 0 R"
                b"/Group<</S/Transparency/CS/DeviceRGB>>>>"
                % (self._tree, self._box, entries, stream)
            )
        )

    def form(self, page: PageContent) -> int:
        """A form XObject with one bed; gives its number."""
        content, entries = self._content(page)
        head = b"/Type/XObject/Subtype/Form/BBox%b/Resources<<%b>>/Filter/FlateDecode"
        return self._pdf.put_stream(head % (self._box, entries), _squeezed(content), raw=True)

    def finish_store(self) -> None:
        """Puts what all pictures share."""
        self._store.finish()

    def finish(self, title: str) -> None:
        pdf = self._pdf
        self.finish_store()
        kids = b" ".join(b"%d 0 R" % page for page in self._pages)
        pdf.put(b"<</Type/Pages/Count %d/Kids[%b]>>" % (len(self._pages), kids), self._tree)
        root = pdf.put(b"<</Type/Catalog/Pages %d 0 R>>" % self._tree)
        producer = text_string(f"vardata {__version__}")
        about = pdf.put(b"<</Title%b/Producer%b>>" % (text_string(title), producer))
        pdf.finish(root, about)


class _Shown:
    """What one picture shows by name, as entries of its resource dictionary."""

    def __init__(self) -> None:
        self.entries: list[bytes] = []
        self._pictures: set[bytes] = set()
        self._plates = 0

    def plate(self, number: int) -> bytes:
        """The name of a plate, the same for the same place of every picture."""
        self._plates += 1
        name = b"/Plate%d" % self._plates
        self.entries.append(b"%b %d 0 R" % (name, number))
        return name

    def picture(self, store: Store, key: str) -> bytes:
        """The name of a photo."""
        name = store.picture(key)
        if name not in self._pictures:
            self._pictures.add(name)
            self.entries.append(entry(name))
        return name


@lru_cache(maxsize=64)
def _edges(
    commands: Commands, places: tuple[Placement, ...], width: float, height: float
) -> tuple[list[bytes], bytes]:
    """The outlines of a bed's items, one by one and joined; nearly all beds are filled alike."""
    paths = [outline(commands, frame_of(at, width, height)) for at in places]
    return paths, b"\n".join(paths)


@lru_cache(maxsize=8)
def _squeezed(content: bytes) -> bytes:
    """Of a bed's picture without its plates: full beds have the same."""
    return deflated(content)


@lru_cache(maxsize=256)
def _rgb(colour: str) -> bytes:
    """#rrggbb as three numbers from 0 to 1."""
    digits = colour.lstrip("#")
    return b" ".join(number(int(digits[i : i + 2], 16) / 255, 4) for i in (0, 2, 4))
