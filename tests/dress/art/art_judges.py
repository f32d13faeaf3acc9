"""Foreign judges for the art tests: two renderers of other people, and a measure between them.

The parts that the project makes of an SVG are drawn by reportlab and rendered by PDFium; the
SVG itself is rendered by resvg. Neither shares code with the project or with svglib.
"""

from __future__ import annotations

import io
import zlib
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import resvg_py
from numpy.typing import NDArray
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from scipy.ndimage import maximum_filter, minimum_filter

from vardata.dress import colour, svg
from vardata.dress.drawing import Picture, PlacedPicture, Shape
from vardata.problems import Where
from vardata.svg.values import Matrix

CORPUS = Path(__file__).parent / "corpus"
FINE = 3  # our side is rendered this much larger and averaged, for smooth edges
AT = Where("photo.png")
Pixels = NDArray[np.int16]


def judged(text: str, across: int = 400) -> Pixels:
    """What resvg makes of an SVG, on white."""
    data = resvg_py.svg_to_bytes(
        svg_string=text, width=across, background="#ffffff", skip_system_fonts=True, dpi=96
    )
    return np.asarray(Image.open(io.BytesIO(bytes(data))).convert("RGB")).astype(np.int16)


def ours(text: str, size: tuple[int, int]) -> Pixels:
    """What the project makes of an SVG that fills a page of ``size`` points, on white."""
    across, up = size
    art = svg.read(text.encode(), "judged.svg")
    parts = svg.parts(art, Matrix(across / art.width, 0, 0, up / art.height, 0, 0))
    return drawn(parts, size)


def drawn(parts: tuple[svg.Part, ...], size: tuple[int, int]) -> Pixels:
    """Parts drawn on a page whose unit is one pixel."""
    page = io.BytesIO()
    canvas = Canvas(page, pagesize=size)
    for part in parts:
        if isinstance(part, Shape):
            _shape(canvas, part)
        else:
            _picture(canvas, part)
    canvas.showPage()
    canvas.save()
    image = pypdfium2.PdfDocument(page.getvalue())[0].render(scale=FINE).to_pil().convert("RGB")
    return np.asarray(image.resize(size, Image.Resampling.BOX)).astype(np.int16)


def _shape(canvas: Canvas, shape: Shape) -> None:
    rgb = (255, 255, 255) if shape.paint is None else colour.to_srgb(shape.paint)
    canvas.setFillColorRGB(*(v / 255 for v in rgb))
    canvas.setStrokeColorRGB(*(v / 255 for v in rgb))
    canvas.setLineWidth(shape.stroke)
    canvas.setLineCap(shape.cap)
    canvas.setLineJoin(shape.join)
    canvas.setMiterLimit(shape.miter)
    path = canvas.beginPath()
    draw = {"m": path.moveTo, "l": path.lineTo, "c": path.curveTo, "h": path.close}
    for kind, *numbers in shape.commands:
        draw[str(kind)](*numbers)
    stroked = shape.stroke > 0
    canvas.drawPath(path, stroked, not stroked, fillMode=0 if shape.even_odd else 1)


def _picture(canvas: Canvas, placed: PlacedPicture) -> None:
    canvas.saveState()
    canvas.translate(placed.x + placed.w / 2, placed.y + placed.h / 2)
    canvas.rotate(placed.angle)
    canvas.drawImage(
        ImageReader(seen(placed.picture)), -placed.w / 2, -placed.h / 2, placed.w, placed.h,
        mask="auto",
    )  # fmt: skip
    canvas.restoreState()


def seen(picture: Picture) -> Image.Image:
    """A picture as Pillow sees it, with its mask as alpha."""
    if picture.filter == "DCTDecode":
        return Image.open(io.BytesIO(picture.data)).convert("RGB")
    mode = {"DeviceGray": "L", "DeviceRGB": "RGB", "DeviceCMYK": "CMYK"}[picture.space]
    size = (picture.width, picture.height)
    image = Image.frombytes(mode, size, zlib.decompress(picture.data)).convert("RGB")
    if picture.mask:
        image.putalpha(Image.frombytes("1", size, picture.mask).convert("L"))
    return image


def picture_pdf(picture: Picture) -> bytes:
    """A page of the picture's pixels as points that shows it as its fields say."""
    pdf = pikepdf.new()
    pdf.add_blank_page(page_size=(picture.width, picture.height))
    image = pikepdf.Stream(pdf, picture.data)
    image.Type, image.Subtype = pikepdf.Name.XObject, pikepdf.Name.Image
    image.Width, image.Height, image.BitsPerComponent = picture.width, picture.height, 8
    image.ColorSpace = pikepdf.Name("/" + picture.space)
    image.Filter = pikepdf.Name("/" + picture.filter)
    if picture.decode:
        image.Decode = pikepdf.Array(list(picture.decode))
    if picture.mask:
        # ISO 32000-1, 8.9.6.3: in a mask 1 hides, unless Decode turns it round.
        mask = pikepdf.Stream(pdf, picture.mask)
        mask.Type, mask.Subtype = pikepdf.Name.XObject, pikepdf.Name.Image
        mask.Width, mask.Height, mask.BitsPerComponent = picture.width, picture.height, 1
        mask.ImageMask, mask.Decode = True, pikepdf.Array([1, 0])
        image.Mask = pdf.make_indirect(mask)
    page = pdf.pages[0]
    page.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(Im0=pdf.make_indirect(image)))
    page.Contents = pdf.make_stream(f"{picture.width} 0 0 {picture.height} 0 0 cm /Im0 Do".encode())
    out = io.BytesIO()
    pdf.save(out)
    return out.getvalue()


def rendered(pdf: bytes) -> NDArray[np.uint8]:
    """The first page as PDFium shows it, one pixel a point."""
    return np.asarray(pypdfium2.PdfDocument(pdf)[0].render(scale=1).to_pil().convert("RGB"))


def strays(a: Pixels, b: Pixels, depth: int = 40) -> int:
    """Pixels of either picture that have no like in the other within one pixel."""
    return int((_lost(a, b, depth) | _lost(b, a, depth)).sum())


def _lost(a: Pixels, b: Pixels, depth: int) -> NDArray[np.bool_]:
    low, high = minimum_filter(b, size=(3, 3, 1)), maximum_filter(b, size=(3, 3, 1))
    return ((a < low - depth) | (a > high + depth)).any(axis=-1)


def saved(image: Image.Image, kind: str = "PNG", **options) -> bytes:
    """A file that Pillow writes."""
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def photo(mode: str = "RGB", size: tuple[int, int] = (48, 32)) -> Image.Image:
    """A smooth picture with four corners that cannot be mistaken for one another."""
    y, x = np.mgrid[0 : size[1], 0 : size[0]]
    parts = [x * 255 // size[0], y * 255 // size[1], 255 - x * 200 // size[0]]
    return Image.fromarray(np.dstack(parts).astype(np.uint8)).convert(mode)


def shown(picture: Picture) -> NDArray[np.int64]:
    """What a PDF shows of a picture."""
    return rendered(picture_pdf(picture)).astype(int)
