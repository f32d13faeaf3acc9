"""A paper in the making: a reportlab document of A4 pages whose contents are ready operators.

In: pages as PDF operators. Out: the bytes of a part of the pick list. Here live the measures
that all sheets share, their heads and feet. The same pages give the same bytes (reportlab's
invariant mode); no font is used but the ones given, and all of them are embedded.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any, TypeAlias

from reportlab import rl_config
from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from vardata.deflated import deflated
from vardata.output import picklist_code
from vardata.output.pdf.objectlist import Body
from vardata.output.pdf.references import renumbered
from vardata.output.picklist_fonts import load_fonts, settle_fonts
from vardata.output.picklist_text import Pen
from vardata.output.picklist_values import Look, RunPaper

WIDTH, HEIGHT = 595.28, 841.89  # A4, ISO 216, in points
LEFT = 36.0
RIGHT = WIDTH - 36.0
TOP = HEIGHT - 34.0
BOTTOM = 42.0  # the content ends here; the foot stands below
INNER = RIGHT - LEFT
_MEDIA_BOX = f"[0 0 {WIDTH:g} {HEIGHT:g}]"
FACT_LABEL, FACT_SIZE, FACT_STEP = 44.0, 9.5, 13.0  # of the lines under a title
GREY = "0.4 g"
BLACK = "0 g"
ZEBRA = "0.945 g"
RULE = "0.6 G 0.5 w"

Box: TypeAlias = tuple[float, float, float, float]  # left, bottom, right, top
SHEET: Box = (0.0, 0.0, WIDTH, HEIGHT)


class _Stream(pdfdoc.PDFObject):  # type: ignore[misc]  # reportlab carries no types
    """A compressed stream with its dictionary ready as bytes; made here because reportlab
    builds and formats every entry of every page anew, which takes as long as all the rest."""

    __RefOnly__ = 1  # reportlab: stands by itself, is referred to

    def __init__(self, content: str, entries: str = "") -> None:
        self._data = deflated(content.encode("ascii"))
        self._entries = entries

    def format(self, document: Any) -> bytes:
        head = f"<< {self._entries}/Filter /FlateDecode /Length {len(self._data)} >>\nstream\n"
        return head.encode("ascii") + self._data + b"\nendstream\n"


class _Ready(pdfdoc.PDFObject):  # type: ignore[misc]
    """An object whose bytes are ready."""

    __RefOnly__ = 1

    def __init__(self, data: bytes = b"") -> None:
        self.data = data

    def format(self, document: Any) -> bytes:
        return self.data


class Paper:
    """Collects pages and gives the bytes of a PDF."""

    def __init__(self, run: RunPaper, title: str) -> None:
        weights = load_fonts(run.fonts)
        self._buffer = io.BytesIO()
        self._canvas: Any = Canvas(
            self._buffer,
            pagesize=(WIDTH, HEIGHT),
            pageCompression=1,
            invariant=1,
            initialFontName=weights.regular[0].fontName,  # so that no Helvetica comes in
        )
        self._canvas.setTitle(title)
        self._canvas.setCreator("vardata")
        self._doc: Any = self._canvas._doc
        self._forms: dict[Hashable, str] = {}
        self._made: dict[Hashable, str] = {}
        self._shared: dict[Hashable, bytes] = {}  # resources of pictures
        self._fonts = self._reference("BasicFonts")  # reportlab's name for the fonts in use
        self.regular = Pen(weights.regular, self._doc)
        self.bold = Pen(weights.bold, self._doc)

    def _reference(self, name: str) -> str:
        """What stands in the file for an object of the document."""
        reference: bytes = pdfdoc.PDFObjectReference(name).format(self._doc)
        return reference.decode("ascii")

    def _resources(self, forms: Sequence[str]) -> str:
        shown = " ".join([f"/{form} {self._reference(form)}" for form in forms])
        return f"<< /Font {self._fonts} /XObject << {shown} >> >>"

    def stored(self, key: Hashable, box: Box, make: Callable[[], tuple[str, Sequence[str]]]) -> str:
        """The name of a form XObject, made once for a key, stored once, shown by ``Do``.

        ``make`` gives its operators and the names of the forms that they show.
        """
        name = self._forms.get(key)
        if name is None:
            operators, inner = make()
            name = self._forms[key] = f"P{len(self._forms)}"
            corners = " ".join(f"{corner:g}" for corner in box)
            self._doc.Reference(
                _Stream(
                    operators,
                    f"/Type /XObject /Subtype /Form /BBox [{corners}] "
                    f"/Resources {self._resources(inner)} ",
                ),
                name,
            )
        return name

    def picture(self, name: str, look: Look) -> str:
        """The name of the form that is a bed's picture: the one that is given."""
        shared = self._shared.get(look.resources)
        if shared is None:
            shared = self._shared[look.resources] = self._adopted(*look.resources())
        corners = b" ".join(b"%g" % corner for corner in look.bbox)
        data = deflated(look.content)
        self._doc.Reference(_Ready(
            b"<< /Type /XObject /Subtype /Form /BBox [%b] /Resources %b /Filter /FlateDecode "
            b"/Length %d >>\nstream\n%b\nendstream" % (corners, shared, len(data), data)
        ), name)  # fmt: skip
        return name

    def _adopted(self, bodies: Mapping[int, Body], root: int) -> bytes:
        """Puts objects of another writer into this document; what refers to one of them."""
        source = len(self._shared)
        taken = {number: _Ready() for number in bodies}
        for number, ready in taken.items():  # each has its number before one refers to it
            self._doc.Reference(ready, f"Taken{source}.{number}")

        def reference(number: int) -> bytes:
            return self._reference(f"Taken{source}.{number}").encode("ascii")

        for number, body in bodies.items():
            head = renumbered(body.head, reference)
            taken[number].data = b"%b\n%b" % (head, body.stream) if body.stream else head
        return reference(root)

    def once(self, key: Hashable, make: Callable[[], str]) -> str:
        """Operators that many sheets of this paper share, made once."""
        made = self._made.get(key)
        if made is None:
            made = self._made[key] = make()
        return made

    def page(self, operators: Sequence[str], forms: Sequence[str] = ()) -> None:
        """Adds a page; ``forms`` are the names of the stored ones that it shows."""
        page = pdfdoc.PDFPage()
        page.MediaBox = _MEDIA_BOX
        page.Resources = self._resources(forms)
        page.Contents = _Stream("\n".join(operators))
        self._doc.addPage(page)

    def finish(self) -> bytes:
        """The PDF."""
        settle_fonts(self._doc)
        with _binary_streams():
            self._canvas.save()
        return self._buffer.getvalue()


@contextmanager
def _binary_streams() -> Iterator[None]:
    """reportlab would write streams as ASCII, a quarter larger, unless its setting says no."""
    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def first_head(paper: Paper, run: RunPaper, kind: str, title: str, of: str, right: float) -> str:
    """The kind of sheet, small, its title, large, and the date, which ends at ``right``."""

    def same() -> str:
        date = run.at.strftime("%Y-%m-%d")
        shown = paper.bold.show(kind.upper(), 7.5)
        return (
            f"{GREY} BT 0.5 Tc {LEFT} {TOP - 8:.2f} Td {shown} 0 Tc ET\n"
            + paper.regular.at_right(right, TOP - 36, date, 11.0)
        )

    after = LEFT + paper.bold.width(title, 26.0) + 7
    return "\n".join(
        (
            paper.once((kind, right), same),
            paper.regular.at(after, TOP - 36, of, 14.0),
            BLACK,
            paper.bold.at(LEFT, TOP - 36, title, 26.0),
        )
    )


def facts(paper: Paper, pairs: Sequence[tuple[str, str]], x: float, y: float, width: float) -> str:
    """Label and value on a line, at most so wide; the value shrinks before it is shortened."""
    out = []
    for label, value in pairs:
        room = width - FACT_LABEL
        size = paper.regular.fit_size(value, room, FACT_SIZE, 6.5)
        shown = paper.regular.shorten(value, size, room)
        out.append(f"{GREY} {paper.regular.at(x, y, label, 8.0)} {BLACK}")
        out.append(paper.regular.at(x + FACT_LABEL, y, shown, size))
        y -= FACT_STEP
    return "\n".join(out)


def foot(
    paper: Paper, run: RunPaper, right: str, note: str = "", kind: str = "pick list"
) -> str:
    """The foot: job and run on the left, a note below, which sheet this is on the right."""

    def same() -> str:
        left = f"vardata {kind}, job {run.job}, run {run.run_named}"
        left = paper.regular.shorten(left, 7.5, INNER - 150)
        return f"{RULE} {LEFT} 33 m {RIGHT:.2f} 33 l S {GREY}\n" + paper.regular.at(
            LEFT, 22.5, left, 7.5
        )

    out = [paper.once("foot", same), paper.regular.at_right(RIGHT, 22.5, right, 7.5)]
    if note:
        out.append(paper.regular.at(LEFT, 13.5, note, 7.0))
    out.append(BLACK)
    return "\n".join(out)


def rule(y: float) -> str:
    """A thin line across the sheet."""
    return f"{RULE} {LEFT} {y:.2f} m {RIGHT:.2f} {y:.2f} l S"


def tick_boxes(places: Sequence[tuple[float, float]], size: float) -> str:
    """Empty squares to be ticked, their lower left corners given."""
    boxes = "\n".join(f"{x:.2f} {y:.2f} {size:g} {size:g} re" for x, y in places)
    return f"0.3 G 0.7 w\n{boxes} S" if places else ""


def code(paper: Paper, run: RunPaper, bed: int, size: float) -> tuple[str, str]:
    """The sheet's code in the upper right corner, ``size`` points without its quiet zone;
    and the name of the form that holds it."""
    text = picklist_code.sheet_text(run.run, bed, run.side)
    form = paper.stored(
        ("code", text), (0.0, 0.0, 1.0, 1.0), lambda: (picklist_code.draw(text), ())
    )
    return f"q {size:g} 0 0 {size:g} {RIGHT - size:.2f} {TOP - size:.2f} cm /{form} Do Q", form
