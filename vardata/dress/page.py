"""A page of a PDF as art: kept as it is, with its fonts, spot colours and overprint.

In: the bytes of a PDF, which page and which of its boxes. Out: a ``Picture`` whose data is a
PDF of that page alone; what of it is painted is found by rendering it at the machine's dots on
nothing. Layers that are off, fonts that are not there and whatever lies outside the file are
refused, because they would not be printed as they are seen.
"""

from __future__ import annotations

import io
import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from vardata.dress import page_ink, softedge
from vardata.dress.drawing import Picture
from vardata.dress.framing import Framing
from vardata.dress.inklimit import unjudged
from vardata.dress.page_faults import check_layers, check_page, left_out, refused, settle_states
from vardata.dress.page_fonts import settle_fonts
from vardata.dress.picture_outline import WHOLE, Outline, outline
from vardata.problems import Problem, Severity, Where
from vardata.units import MM_PER_INCH

_MOST_PIXELS = 36_000_000  # of a rendered page: 144 MB while it is looked at
_BOXES = {"trim": "/TrimBox", "bleed": "/BleedBox", "media": "/MediaBox"}
_DROPPED = ("/Annots", "/Metadata", "/PieceInfo", "/StructParents", "/Thumb", "/AA", "/B", "/Tabs")


class PageRead(NamedTuple):
    picture: Picture
    notes: tuple[Problem, ...]


def read_page(data: bytes, where: Where, framing: Framing) -> PageRead:
    """The page of a PDF. Raises ``JobError`` (``page-unreadable`` and others)."""
    import pikepdf

    try:
        with pikepdf.open(io.BytesIO(data)) as pdf:
            return _read(pdf, where, framing)
    except pikepdf.PasswordError:
        raise refused("page-locked", "the PDF is locked with a password",
                      "save it without a password", where) from None  # fmt: skip
    except (pikepdf.PdfError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise refused("page-unreadable", "the PDF is damaged", "export it again", where) from None


def _read(pdf: Any, where: Where, framing: Framing) -> PageRead:
    count = len(pdf.pages)
    if not 1 <= framing.page <= count:
        pages = "1 page" if count == 1 else f"{count} pages"
        what = f"the PDF has {pages}, and page {framing.page} is asked for"
        raise refused("page-missing", what, 'mend "page"', where)
    page = pdf.pages[framing.page - 1]
    check_layers(pdf, page.obj, where)
    notes = left_out(page.obj, where)
    data = _alone(page, framing, where)
    pixels = _rendered(data, framing, where)
    height, width, _ = pixels.shape
    alpha = pixels[:, :, 3]
    fades = framing.soft and bool(((alpha > 0) & (alpha < 255)).any())
    painted = alpha >= (softedge.SEEN if fades else 128)
    if framing.ink is not None:  # by the light that it takes away
        painted &= 255 - pixels[:, :, :3].min(axis=2).astype(np.int16) >= max(1, 255 * framing.ink)
    if not painted.any():
        what = "the page shows nothing"
        notes.append(Problem("picture-empty", Severity.WARNING, what,
                             "check that it is the right page", where))  # fmt: skip
    found = Outline(WHOLE) if painted.all() else outline(painted)
    mask = b"" if painted.all() else np.packbits(painted, axis=1).tobytes()
    made = Picture("", width, height, "Page", "None", data, (), mask, found.commands)
    if fades:
        made = made._replace(soft=softedge.soft(alpha))
    if framing.limited:
        ink = page_ink.heaviest(data, framing.profile or framing.judged_by, where)
        made = made._replace(heaviest=ink.heaviest)
        if ink.unjudged:
            notes.append(unjudged("page", where))
    return PageRead(made, tuple(notes))


def _alone(page: Any, framing: Framing, where: Where) -> bytes:
    """A PDF of this page, its box the part that is wanted, the same bytes each time."""
    import pikepdf

    corners = _box(page, framing)
    single = pikepdf.new()
    single.pages.append(page)
    kept = single.pages[0].obj
    for key in (*_DROPPED, *_BOXES.values(), "/CropBox", "/ArtBox"):
        if key in kept:
            del kept[key]
    kept.MediaBox = pikepdf.Array(corners)
    single.remove_unreferenced_resources()
    check_page(kept, where)
    single.pages[0].contents_coalesce()
    settle_states(kept, where)
    settle_fonts(kept, where)
    out = io.BytesIO()
    single.save(out, static_id=True, object_stream_mode=pikepdf.ObjectStreamMode.disable)
    return out.getvalue()


def _box(page: Any, framing: Framing) -> list[float]:
    """The wanted box, cropped. Where it is missing the crop box counts (ISO 32000-1, 14.11.2)."""
    obj, key = page.obj, _BOXES[framing.box]
    found = obj.get(key)
    if found is None and framing.box != "media":
        found = page.cropbox
    x0, y0, x1, y1 = (float(n) for n in (page.mediabox if found is None else found))
    x0, x1, y0, y1 = min(x0, x1), max(x0, x1), min(y0, y1), max(y0, y1)
    if framing.aspect is None:
        return [x0, y0, x1, y1]
    turn = int(obj.get("/Rotate", 0)) % 360
    across, upwards = framing.anchor
    aspect = framing.aspect
    if turn in (90, 270):  # the anchor is of the page as it is seen
        aspect = 1 / aspect
        across, upwards = (1 - upwards, across) if turn == 90 else (upwards, 1 - across)
    elif turn == 180:
        across, upwards = 1 - across, 1 - upwards
    w, h = x1 - x0, y1 - y0
    new_w, new_h = min(w, h * aspect), min(h, w / aspect)
    left, low = x0 + (w - new_w) * across, y0 + (h - new_h) * upwards
    return [left, low, left + new_w, low + new_h]


def _rendered(data: bytes, framing: Framing, where: Where) -> NDArray[np.uint8]:
    """The page on nothing: red, green, blue, alpha."""
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(data)
        page = document[0]
        w, h = page.get_size()
        scale = max(side / MM_PER_INCH / size for side, size in zip(framing.size, (w, h)))
        scale = min(framing.dpi * scale, math.sqrt(_MOST_PIXELS / (w * h)))
        bitmap = page.render(
            scale=scale, fill_color=(255, 255, 255, 0), rev_byteorder=True, maybe_alpha=False,
            force_bitmap_format=pypdfium2.raw.FPDFBitmap_BGRA,
        )  # fmt: skip
        found = np.array(bitmap.to_numpy())
        document.close()
    except pypdfium2.PdfiumError:
        raise refused("page-unreadable", "the PDF cannot be rendered", "export it again",
                       where) from None  # fmt: skip
    return found
