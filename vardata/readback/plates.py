"""Plates of a bed file, each rendered alone.

In: the bytes of a bed file. Out: grey crops of one plate, 255 where it has no ink. The other
plates' layers are switched off in a copy in memory, and inks of their own are shown as black.
pdfium renders; it did not write the file.
"""

from __future__ import annotations

import ctypes
import io
import math
from collections.abc import Sequence
from typing import Any, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt
import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium

from vardata.job.model import Bed, Layout
from vardata.units import PT_PER_MM

Grey: TypeAlias = npt.NDArray[np.uint8]


class Window(NamedTuple):
    """What is looked at: ``w`` x ``h`` mm about a centre on the bed, turned back by ``angle``
    degrees so that what was printed at that angle stands upright; and its pixels."""

    cx: float
    cy: float
    w: float
    h: float
    angle: float
    columns: int
    rows: int


class BedUnreadable(Exception):
    """Why a bed file cannot be looked at, as a part of a sentence."""


class BedView:
    """One bed file, seen a plate at a time. Raises ``BedUnreadable``.

    Where items lie on their face the bed is seen from behind, mirrored within ``mirror`` mm.
    """

    def __init__(self, data: bytes, bed: Bed, layout: Layout, mirror: float | None = None) -> None:
        self._mirror = mirror
        self._data = data
        self._size = (bed.width * PT_PER_MM, bed.height * PT_PER_MM)
        self._layers = [bed.plate_names.get(plate.name, plate.name) for plate in layout.plates]
        self._open: dict[int, pypdfium2.PdfDocument] = {}
        self._pages: dict[tuple[int, int], Any] = {}

    def plate(self, plate: int, page: int, window: Window) -> Grey:
        """One plate of one page (from 1), as grey."""
        shown = self._page(plate, page)
        pixels = np.full((window.rows, window.columns), 255, np.uint8)
        where = pixels.ctypes.data_as(ctypes.c_void_p)
        bitmap = pdfium.FPDFBitmap_CreateEx(
            window.columns, window.rows, pdfium.FPDFBitmap_Gray, where, window.columns
        )
        clip = pdfium.FS_RECTF(0, 0, window.columns, window.rows)
        pdfium.FPDF_RenderPageBitmapWithMatrix(
            bitmap,
            shown.raw,
            _matrix(window, self._size[1], self._mirror),
            clip,
            pdfium.FPDF_GRAYSCALE,
        )
        pdfium.FPDFBitmap_Destroy(bitmap)
        return pixels

    def _page(self, plate: int, page: int) -> Any:
        found = self._pages.get((plate, page))
        if found is None:
            try:
                if plate not in self._open:
                    self._open[plate] = pypdfium2.PdfDocument(self._alone(plate))
                document = self._open[plate]
                if not 1 <= page <= len(document):
                    raise BedUnreadable(f"it has no page {page}")
                found = document[page - 1]
                width, height = found.get_size()
            except pypdfium2.PdfiumError as error:
                raise BedUnreadable(f"it cannot be rendered ({error})") from None
            if math.dist((width, height), self._size) > 0.1:
                raise BedUnreadable(
                    f"page {page} is {width / PT_PER_MM:.1f} x {height / PT_PER_MM:.1f} mm, "
                    "not the size of the bed"
                )
            self._pages[plate, page] = found
        return found

    def _alone(self, plate: int) -> bytes:
        """The file with one plate's layer left on, its ink shown as black (ISO 32000-1, 8.11
        and 8.6.6.4)."""
        try:
            with pikepdf.open(io.BytesIO(self._data)) as pdf:
                _leave_on(pdf, self._layers, plate)
                _show_inks_black(pdf)
                out = io.BytesIO()
                pdf.save(out, compress_streams=False)
                return out.getvalue()
        except (pikepdf.PdfError, ValueError, TypeError, AttributeError, KeyError):
            raise BedUnreadable("it is damaged") from None

    def close(self) -> None:
        for page in self._pages.values():
            page.close()
        for document in self._open.values():
            document.close()
        self._pages, self._open = {}, {}


def _leave_on(pdf: pikepdf.Pdf, layers: Sequence[str], plate: int) -> None:
    properties = pdf.Root.get("/OCProperties")
    if properties is None:
        raise BedUnreadable("it has no layers for its plates")
    groups = list(properties.OCGs)
    named = [group for group in groups if str(group.Name) == layers[plate]]
    # Two plates of a layout may have one name on the machine: the first is the first.
    place = layers[:plate].count(layers[plate])
    if place >= len(named):
        raise BedUnreadable(f"it has no layer for the plate {layers[plate]!r}")
    kept = named[place]
    others = [group for group in groups if group.objgen != kept.objgen]
    properties.D.ON = pikepdf.Array([kept])
    properties.D.OFF = pikepdf.Array(others)


def _show_inks_black(pdf: pikepdf.Pdf) -> None:
    for found in pdf.objects:
        if isinstance(found, pikepdf.Array) and len(found) == 4 and found[0] == "/Separation":
            found[2] = pikepdf.Name.DeviceGray
            found[3] = pikepdf.Dictionary(
                FunctionType=2, Domain=[0, 1], C0=[1], C1=[0], N=1
            )


def _matrix(window: Window, height: float, mirror: float | None) -> pdfium.FS_MATRIX:
    """From the page as pdfium lays it out (points, y down) to the window's pixels.

    A whole number of pixels a module falls on whole pixels as long as nothing is turned by
    other than quarters; quarter turns are kept exact.
    """
    sx, sy = window.columns / (window.w * PT_PER_MM), window.rows / (window.h * PT_PER_MM)
    quarter = window.angle / 90.0
    if quarter == int(quarter):
        cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    else:
        cos, sin = math.cos(math.radians(window.angle)), math.sin(math.radians(window.angle))
    cx, cy = window.cx * PT_PER_MM, height - window.cy * PT_PER_MM
    # With y down, turning back what stands counter-clockwise by the angle is clockwise.
    a, b, c, d = cos * sx, sin * sy, -sin * sx, cos * sy
    e = window.columns / 2 - a * cx - c * cy
    f = window.rows / 2 - b * cx - d * cy
    if mirror is not None:  # x of the page becomes mirror - x first
        e, f = e + a * mirror * PT_PER_MM, f + b * mirror * PT_PER_MM
        a, b = -a, -b
    return pdfium.FS_MATRIX(a, b, c, d, e, f)
