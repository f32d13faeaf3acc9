"""A page of a PDF as a PNG for people, with a label below it.

In: a PDF, how finely, what to write below. Out: a PNG. pdfium renders.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from vardata.job.shipped import fonts_dir
from vardata.output.wholefile import write_whole
from vardata.problems import CallError, fail
from vardata.units import MM_PER_INCH

if TYPE_CHECKING:
    from PIL.Image import Image

_STRIP = 4.0  # mm, the height of a label
_MOST_PIXELS = 200_000_000
Colour = tuple[int, int, int]


def draw_page(
    pdf: bytes, out: Path, dpi: int, label: str, *, mirror: bool = False
) -> tuple[int, int]:
    """Writes the first page of a PDF as the PNG ``out``, whole or not at all, with a strip below
    it that says ``label``; gives its size. Raises ``CallError`` where it would be too large."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    width, height = (side * dpi / 72 for side in page.get_size())
    if width * height > _MOST_PIXELS:
        raise fail(
            CallError, "too-many-pixels",
            f"a picture of {width:.0f} x {height:.0f} pixels is too large",
            "choose a smaller --dpi",
        )
    image = page.render(scale=dpi / 72).to_pil()
    if mirror:
        from PIL import ImageOps

        image = ImageOps.mirror(image)
    if label:
        image = labelled(image, [(label, None)], dpi)
    data = io.BytesIO()
    image.save(data, "PNG", dpi=(dpi, dpi))
    write_whole(out, data.getvalue())
    return image.size[0], image.size[1]


def labelled(image: Image, words: Sequence[tuple[str, Colour | None]], dpi: int) -> Image:
    """The picture with a strip below it that says what it shows; words that tell what a colour
    means stand behind a square of it. Words for which there is no room are left out."""
    from PIL import Image as Pillow
    from PIL import ImageDraw, ImageFont

    strip = max(12, round(_STRIP * dpi / MM_PER_INCH))
    sheet = Pillow.new("RGB", (image.width, image.height + strip), "white")
    sheet.paste(image)
    font = ImageFont.truetype(str(fonts_dir() / "NotoSans-Regular.ttf"), strip * 0.7)
    draw = ImageDraw.Draw(sheet)
    x, top, size = strip * 0.3, image.height, strip * 0.6
    for text, colour in words:
        wide = font.getlength(text) + (size * 1.5 if colour else 0.0)
        if x > strip and x + wide > image.width:
            break
        if colour is not None:
            low = top + (strip - size) / 2
            draw.rectangle((x, low, x + size, low + size), fill=colour)
            x += size * 1.5
        draw.text((x, top + strip / 2), text, "black", font, anchor="lm")
        x += font.getlength(text) + strip
    return sheet
