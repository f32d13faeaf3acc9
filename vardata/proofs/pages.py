"""The pages of a proof: items at true size with what is to be said of them.

In: looks of items (PDF pages) and captions. Out: one PDF, the same bytes each time. What is
chosen and why is ``proofs.hardest``'s, what an approval means ``proofs.approval``'s.
"""

from __future__ import annotations

import io
import textwrap
from collections.abc import Sequence
from typing import NamedTuple

from vardata.output.picklist_paper import (
    BLACK,
    BOTTOM,
    GREY,
    INNER,
    LEFT,
    RIGHT,
    TOP,
    Paper,
    facts,
    first_head,
    rule,
)
from vardata.output.picklist_values import RunPaper
from vardata.units import PT_PER_MM

_GAP = 14.0  # points between items
_LINE = 10.0  # from caption line to caption line
_CAPTION = 7.5
_CHARACTERS = 0.52  # of the size: a letter of a caption is not wider than this on average
_HEAD = 96.0  # the first page's head with its facts
_NEXT_HEAD = 20.0
_SIGN_STEP = 34.0


class Shown(NamedTuple):
    """One item: its picture's page in the looks, captions under it, guides in item mm over it."""

    look: int
    captions: tuple[str, ...]
    guides: tuple[str, ...] = ()


class Sheet(NamedTuple):
    """What a proof says around its items. ``sign`` are lines for a person to fill."""

    kind: str
    title: str
    facts: tuple[tuple[str, str], ...]
    sign: tuple[str, ...] = ()
    watermark: str = ""
    note: str = ""


class _Placed(NamedTuple):
    look: int
    page: int
    box: tuple[float, float, float, float]


class _Pages:
    """Lays items out in rows, page after page."""

    def __init__(self, run: RunPaper, sheet: Sheet, room: float) -> None:
        self._run, self._sheet, self._room = run, sheet, room
        self._paper = Paper(run, sheet.title)
        self.pages: list[list[str]] = []
        self.placed: list[_Placed] = []
        self._begin()

    def _begin(self) -> None:
        out: list[str] = []
        if not self.pages:
            sheet = self._sheet
            out.append(first_head(self._paper, self._run, sheet.kind, sheet.title, "", RIGHT))
            out.append(facts(self._paper, sheet.facts, LEFT, TOP - 56.0, INNER))
            self._y = TOP - 56.0 - 14.0 * len(sheet.facts) - 16.0
        else:
            self._y = TOP - _NEXT_HEAD
        self._x, self._row = LEFT, 0.0
        self.pages.append(out)

    def add(self, shown: Shown) -> None:
        w, h = (side * PT_PER_MM for side in self._run.item_mm)
        room = self._room * PT_PER_MM
        scale = min(1.0, INNER / (w + 2 * room), (TOP - BOTTOM - _HEAD) / (h + 2 * room))
        wide, high = (w + 2 * room) * scale, (h + 2 * room) * scale
        lines = [
            line
            for caption in shown.captions
            for line in textwrap.wrap(caption, max(20, int(wide / (_CAPTION * _CHARACTERS))))
        ]
        if scale < 1.0:
            lines.append(f"shown at {scale * 100:.0f} %")
        below = _LINE * len(lines) + 6.0
        if self._x > LEFT and self._x + wide > RIGHT:
            self._x, self._y, self._row = LEFT, self._y - self._row - _GAP, 0.0
        if self._y - high - below < BOTTOM + 12.0:
            self._begin()
        x, y = self._x, self._y - high
        self.placed.append(_Placed(shown.look, len(self.pages) - 1, (x, y, x + wide, y + high)))
        out = self.pages[-1]
        if shown.guides:
            unit = PT_PER_MM * scale
            left, low = x + room * scale, y + room * scale
            out.append(f"q {unit:.6f} 0 0 {unit:.6f} {left:.3f} {low:.3f} cm")
            out += [*shown.guides, "Q"]
        out.append(BLACK)
        out += [
            self._paper.regular.at(x, y - _LINE * number, line, _CAPTION)
            for number, line in enumerate(lines, 1)
        ]
        self._x += wide + _GAP
        self._row = max(self._row, high + below)

    def finish(self) -> bytes:
        if self._sheet.sign or self._sheet.note:
            self._signing()
        for number, out in enumerate(self.pages, 1):
            if self._sheet.watermark:
                out.append(self._watermark())
            out.append(self._foot(f"page {number} of {len(self.pages)}"))
            self._paper.page(out)
        return self._paper.finish()

    def _foot(self, right: str) -> str:
        mark = f", proof {self._run.run}" if self._run.run else ""
        left = f"{self._sheet.kind}, job {self._run.job}, layout {self._run.layout}{mark}"
        pen = self._paper.regular
        return "\n".join((
            rule(33.0), GREY, pen.at(LEFT, 22.5, pen.shorten(left, 7.5, INNER - 100), 7.5),
            pen.at_right(RIGHT, 22.5, right, 7.5),
        ))  # fmt: skip

    def _signing(self) -> None:
        sheet = self._sheet
        needed = _SIGN_STEP * len(sheet.sign) + 24.0
        y = self._y - self._row - 24.0
        if y - needed < BOTTOM:
            self._begin()
            y = self._y - 12.0
        out = self.pages[-1]
        if sheet.note:
            out += [BLACK, self._paper.regular.at(LEFT, y, sheet.note, 9.0)]
        for number, line in enumerate(sheet.sign, 1):
            at = y - _SIGN_STEP * number
            out += [f"0.3 G 0.6 w {LEFT + 120} {at:.2f} m {RIGHT} {at:.2f} l S",
                    BLACK, self._paper.regular.at(LEFT, at, line, 9.0)]  # fmt: skip

    def _watermark(self) -> str:
        size = 96.0
        width = self._paper.bold.width(self._sheet.watermark, size)
        shown = self._paper.bold.show(self._sheet.watermark, size)
        # Outlined letters, turned by 45 degrees about the middle of the page.
        c = 0.70710678
        return (
            f"q 0.75 G 1 w {c} {c} {-c} {c} {(LEFT + RIGHT) / 2:.2f} {(TOP + BOTTOM) / 2:.2f} cm "
            f"BT 1 Tr {-width / 2:.2f} {-size / 3:.2f} Td {shown} 0 Tr ET Q\n{GREY}"
        )


def build_proof(
    run: RunPaper, sheet: Sheet, items: Sequence[Shown], looks: bytes, room: float
) -> bytes:
    """The PDF. ``looks`` has a page for each picture, ``room`` mm of it around the item."""
    import pikepdf

    pages = _Pages(run, sheet, room)
    for item in items:
        pages.add(item)
    with (
        pikepdf.open(io.BytesIO(pages.finish())) as pdf,
        pikepdf.open(io.BytesIO(looks)) as source,
    ):
        for number, (look, page, (x0, y0, x1, _)) in enumerate(pages.placed):
            form = pdf.copy_foreign(source.pages[look].as_form_xobject())
            name = pikepdf.Name(f"/Look{number}")
            pdf.pages[page].add_resource(form, pikepdf.Name.XObject, name)
            scale = (x1 - x0) / float(form.BBox[2])
            shown = f"q {scale:.6f} 0 0 {scale:.6f} {x0:.3f} {y0:.3f} cm {name} Do Q"
            pdf.pages[page].contents_add(shown.encode(), prepend=True)
        out = io.BytesIO()
        pdf.save(out, deterministic_id=True)
        return out.getvalue()
