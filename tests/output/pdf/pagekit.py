"""Pages of other programs for tests: made by reportlab, placed on a bed, separated."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pikepdf
from bedkit import FONTS, judge, make_bed, make_layout
from bedkit import write as write_file
from PIL import Image as Pillow
from reportlab.lib.colors import CMYKColor, CMYKColorSep
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from vardata.dress.drawing import Picture
from vardata.dress.framing import Framing
from vardata.dress.page import read_page
from vardata.job.model import Output
from vardata.marks import BLACK, Image, Item, Placement
from vardata.output.pdf.bedload import PageContent
from vardata.problems import Where

HERE = Where("crest.pdf")
W, H = 144.0, 72.0  # points: 50.8 x 25.4 mm
MM = 25.4 / 72
INKS = ("Cyan", "Magenta", "Yellow", "Black", "Emerald", "White")


def made(*, turn: int = 0, trim: bool = False, ground: bool = False) -> bytes:
    """A page with an embedded font, a spot colour, overprint, transparency and bare places."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(W, H), invariant=1)
    pdfmetrics.registerFont(TTFont("Sans", str(FONTS / "NotoSans-Regular.ttf")))
    if ground:
        canvas.setFillColor(CMYKColor(0, 0, 0, 0))
        canvas.rect(0, 0, W, H, stroke=0, fill=1)
    canvas.setFillColor(CMYKColorSep(0.8, 0, 0.6, 0.2, spotName="Emerald"))
    canvas.rect(12, 12, 48, 36, stroke=0, fill=1)
    canvas.setFillOverprint(True)
    canvas.setFillColor(CMYKColor(0, 1, 0, 0))
    canvas.rect(36, 24, 48, 36, stroke=0, fill=1)
    canvas.setFillOverprint(False)
    canvas.setFillColor(CMYKColor(1, 0, 0, 0))
    canvas.setFillAlpha(0.6)
    canvas.circle(108, 36, 24, stroke=0, fill=1)
    canvas.setFillAlpha(1)
    canvas.setFillColor(CMYKColor(0, 0, 0, 1))
    canvas.setFont("Sans", 14)
    canvas.drawString(14, 54, "Fernhollow")
    canvas.showPage()
    canvas.save()
    with pikepdf.open(io.BytesIO(out.getvalue())) as pdf:
        if turn:
            pdf.pages[0].obj.Rotate = turn
        if trim:
            pdf.pages[0].obj.TrimBox = pikepdf.Array([12, 12, 132, 60])
        saved = io.BytesIO()
        pdf.save(saved)
    return saved.getvalue()


def taken(data: bytes, **wanted: object) -> Picture:
    return read_page(data, HERE, Framing(**wanted)).picture._replace(key="page")


def bed_of(path: Path, picture: Picture, w: float, h: float, items: int = 1) -> Path:
    """A bed of 4 x 3 inches; the page lies on it at 1 inch from the left and half from below."""
    mark = Image(0, BLACK, "page", 25.4, 12.7, w, h, 0.0)
    at = Placement(50.8, 38.1, 0.0)
    write_file(
        path, PageContent(tuple((at, Item(f"r{i}", (mark,))) for i in range(items)), ""),
        bed=make_bed(101.6, 76.2), layout=make_layout(101.6, 76.2),
        output=Output(), pictures={"page": picture}.__getitem__,
    )  # fmt: skip
    return path


def plates(path: Path, dpi: int = 288) -> dict[str, np.ndarray]:
    out = path.with_suffix("")
    judge("gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", f"-r{dpi}",
          f"-sOutputFile={out}.tif", path)  # fmt: skip
    found = {}
    for ink in INKS:
        plate = Path(f"{out}({ink}).tif")
        if plate.exists():
            with Pillow.open(plate) as picture:
                found[ink] = 255 - np.asarray(picture)
    return found
