"""Cut lines: the outlines of items, on a layer and in an ink of their own.

In: items in their places. Out: the layer, its ink, the lines of a bed. The layer tells that it
is for cutting, as ISO 19593-1 has it.
"""

from __future__ import annotations

from collections.abc import Iterable

from vardata.dress.outline import item_outline
from vardata.job.model import Bed, Layout
from vardata.job.platerules import CUT
from vardata.marks import Item, Placement
from vardata.output.pdf.frames import frame_of, outline
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.plates import machine_name, separation, step_metadata
from vardata.output.pdf.syntax import number, text_string
from vardata.units import PT_PER_MM

_WIDTH = 0.1  # mm; a cutter follows the line's middle (common practice, no source)
_SHOWN = (0.0, 0.9, 0.0, 0.0)  # how a viewer shows it, as CMYK
_SPACE, _LAYER = b"/InkCut", b"/LayerCut"


class CutLines:
    """The cut lines of one file."""

    def __init__(self, pdf: PdfFile, bed: Bed, layout: Layout) -> None:
        called = machine_name(bed, CUT)
        step = step_metadata("cut")
        self.layer = pdf.put(b"<</Type/OCG/Name%b%b>>" % (text_string(called), step))
        self.spaces = b"%b %d 0 R" % (_SPACE, pdf.put(separation(called, _SHOWN)))
        self.layers = b"%b %d 0 R" % (_LAYER, self.layer)
        self._layout = layout
        self._outline = item_outline(layout)

    def stream(self, placements: Iterable[tuple[Placement, Item]], start: bytes) -> bytes:
        """The lines of one bed; ``start`` turns the page round if it is seen from behind."""
        width, height = self._layout.width, self._layout.height
        lines = [outline(self._outline, frame_of(at, width, height)) for at, _ in placements]
        if not lines:
            return b""
        head = b"/OC %b BDC\n%b\n%b CS 1 SCN" % (_LAYER, start, _SPACE)
        return b"%b %b w\n%b S\nQ\nEMC" % (head, number(_WIDTH * PT_PER_MM), b"\n".join(lines))
