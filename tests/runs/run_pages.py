"""Pages of a bed file as foreign programs see them: pixels by PDFium and Ghostscript, words by
poppler. Copies of a bed file with plates left out are made with pikepdf.
"""

from __future__ import annotations

import html
import re
import tempfile
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pikepdf
import pypdfium2
from numpy.typing import NDArray
from PIL import Image
from run_kit import judge

Pixels = NDArray[np.uint8]
Box = tuple[float, float, float, float]  # x, y, width, height in mm, origin front left
PROCESS = ("Cyan", "Magenta", "Yellow", "Black")
SPOTS = ("White", "Gloss")
MM = 25.4
PT = 72 / MM
_WORD = re.compile(
    r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>'
)


# ------------------------------------------------------------ copies with pikepdf


def layers_off(path: Path, names: Collection[str]) -> bytes:
    """The file with these layers off by default (ISO 32000-1, table 101)."""
    with pikepdf.open(path) as pdf:
        settings = pdf.Root.OCProperties
        groups = list(settings.OCGs)
        assert set(names) <= {str(group.Name) for group in groups}
        settings.D.ON = pikepdf.Array([g for g in groups if str(g.Name) not in names])
        settings.D.OFF = pikepdf.Array([g for g in groups if str(g.Name) in names])
        return _saved(pdf)


def layers_only(path: Path, kept: Collection[str]) -> bytes:
    """The file with nothing painted outside these layers: content is cut out of the pages."""
    with pikepdf.open(path) as pdf:
        for page in pdf.pages:
            named = {key: str(group.Name) for key, group in page.Resources.Properties.items()}
            assert set(kept) <= set(named.values())
            kept_content = []
            depth = 0  # of marked content inside a layer that is cut out
            for operands, operator in pikepdf.parse_content_stream(page):
                if depth or (
                    str(operator) == "BDC"
                    and str(operands[0]) == "/OC"
                    and named[str(operands[1])] not in kept
                ):
                    depth += {"BDC": 1, "BMC": 1, "EMC": -1}.get(str(operator), 0)
                    continue
                kept_content.append((operands, operator))
            page.Contents = pdf.make_stream(pikepdf.unparse_content_stream(kept_content))
        return _saved(pdf)


def cropped(path: Path, page: int, window: Box) -> bytes:
    """One page (from 1), its box cut down to a window in mm."""
    with pikepdf.open(path) as pdf:
        for number in reversed(range(len(pdf.pages))):
            if number != page - 1:
                del pdf.pages[number]
        x, y, w, h = window
        box = [round(mm * PT, 6) for mm in (x, y, x + w, y + h)]
        pdf.pages[0].MediaBox = pdf.pages[0].TrimBox = pikepdf.Array(box)
        return _saved(pdf)


def _saved(pdf: pikepdf.Pdf) -> bytes:
    out = BytesIO()
    pdf.save(out)
    return out.getvalue()


@contextmanager
def _on_disk(pdf: bytes | Path) -> Iterator[Path]:
    """A file of the PDF for programs that want one."""
    if isinstance(pdf, Path):
        yield pdf
        return
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "in.pdf"
        path.write_bytes(pdf)
        yield path


# ------------------------------------------------------------ pixels


def grey_page(pdf: bytes | Path, page: int, dpi: float) -> Pixels:
    """A page (from 1) as PDFium renders it, in greys."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return document[page - 1].render(scale=dpi / 72, grayscale=True).to_numpy().squeeze()
    finally:
        document.close()


def plates(
    pdf: bytes | Path, page: int = 1, dpi: str = "240", spots: tuple[str, ...] = SPOTS
) -> dict[str, Pixels]:
    """The plates of a page as Ghostscript's tiffsep makes them: ink from 0 (none) to 255 (full).

    ``spots`` are those that the file's layout has; one that a page lacks comes back blank, if
    the file has it. Any word from
    Ghostscript, such as that there are too many spots, is a failure.
    """
    with tempfile.TemporaryDirectory() as name, _on_disk(pdf) as source:
        folder = Path(name)
        named = " ".join(f"/{spot}" for spot in spots)
        with pikepdf.open(source) as opened:
            several = len(opened.pages) > 1
        # Asked for the one page that there is, Ghostscript 10.00 loses the spots of some pages
        # with transparency.
        wanted = (f"-dFirstPage={page}", f"-dLastPage={page}") if several else ()
        said = judge(
            "gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", f"-r{dpi}",
            *wanted, f"-sOutputFile={folder}/p.tif", "-c",
            f"<< /SeparationColorNames [{named}] >> setpagedevice", "-f", source,
        )  # fmt: skip
        assert not said, f"Ghostscript says: {said}"
        made = {path.name for path in folder.glob("p(*).tif")}
        assert made == {f"p({plate}).tif" for plate in (*PROCESS, *spots)}, "unexpected plates"
        found = {}
        for plate in (*PROCESS, *spots):
            with Image.open(folder / f"p({plate}).tif") as picture:
                found[plate] = 255 - np.asarray(picture, dtype=np.uint8)
        return found


def part(pixels: Pixels, box: Box, dpi: tuple[float, float], grow: float = 0.0) -> Pixels:
    """The pixels that lie wholly in a box in mm, after it has been grown by so many pixels."""
    x, y, w, h = box
    high = pixels.shape[0]
    left = int(np.ceil(x * dpi[0] / MM - grow - 1e-6))
    right = int(np.floor((x + w) * dpi[0] / MM + grow + 1e-6))
    top = int(np.ceil(high - (y + h) * dpi[1] / MM - grow - 1e-6))
    bottom = int(np.floor(high - y * dpi[1] / MM + grow + 1e-6))
    assert 0 <= left < right <= pixels.shape[1] and 0 <= top < bottom <= high, "off the page"
    return pixels[top:bottom, left:right]


# ------------------------------------------------------------ words


class Word(NamedTuple):
    """A word with the centre of its box in mm, origin lower left."""

    text: str
    x: float
    y: float


def words(pdf: bytes | Path) -> list[list[Word]]:
    """Every page's words, in the order in which poppler reads them."""
    with _on_disk(pdf) as path:
        told = judge("pdftotext", "-bbox", path, "-", quiet=False)  # it says so if it finds none
    pages = []
    for page in told.split("<page ")[1:]:
        size = re.match(r'width="([\d.]+)" height="([\d.]+)"', page)
        assert size
        high = float(size[2])
        found = []
        for *box, text in _WORD.findall(page):
            x0, y0, x1, y1 = map(float, box)
            centre = (x0 + x1) / 2 / PT, (high - (y0 + y1) / 2) / PT
            found.append(Word(html.unescape(text), *centre))
        pages.append(found)
    return pages
