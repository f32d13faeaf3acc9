"""The pages of a proof: items, as large as the sheets allow, with what is to be said of them.

In: looks of items (PDF pages) and captions, product by product. Out: one PDF, the same bytes each
time. What is chosen and why is ``proofs.hardest``'s, what an approval means ``proofs.approval``'s,
where things lie ``proofs.flow``'s.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from contextlib import ExitStack
from functools import lru_cache
from itertools import chain
from typing import NamedTuple

from vardata.output.picklist_document import Paper
from vardata.output.picklist_paper import (
    BLACK,
    BOTTOM,
    FACT_STEP,
    GREY,
    INNER,
    LEFT,
    RIGHT,
    TOP,
    facts,
    first_head,
    rule,
    tick_boxes,
)
from vardata.output.picklist_text import Pen
from vardata.output.picklist_values import RunPaper
from vardata.proofs.flow import LINE, Caption, Flow, Room, Section, Spot, Strength, flow
from vardata.units import PT_PER_MM

_NAME, _CAPTION = 8.5, 7.5
_HEADING = 11.0
_HEAD = 56.0  # the first page's head, down to its facts
_SIGN_STEP, _SIGN_LABEL, _TICK = 32.0, 96.0, 8.0
_ALL = 40  # caption lines of one text; more than any has


class Shown(NamedTuple):
    """One item: captions, and guides in item mm over it."""

    captions: tuple[Caption, ...]
    guides: tuple[str, ...] = ()


class Part(NamedTuple):
    """The items of one product: their size, a PDF with a page for each, ``room`` mm around it. Of
    two-sided items both sides are shown, one after the other, and there is a PDF for each side."""

    heading: str
    item_mm: tuple[float, float]
    items: tuple[Shown, ...]
    looks: tuple[bytes, ...]
    room: float


class Line(NamedTuple):
    """A line for a person to fill, with boxes to tick before it."""

    label: str
    ticks: tuple[str, ...] = ()


class Sheet(NamedTuple):
    """What a proof says around its items. ``sign`` are lines for a person to fill."""

    kind: str
    title: str
    facts: tuple[tuple[str, str], ...]
    sign: tuple[Line, ...] = ()
    watermark: str = ""
    note: str = ""


class _Pages:
    """Draws a flow on the sheets of a paper."""

    def __init__(self, run: RunPaper, sheet: Sheet, parts: Sequence[Part]) -> None:
        self._run, self._sheet, self._parts = run, sheet, parts
        self._paper = Paper(run, sheet.title)
        signing = _SIGN_STEP * len(sheet.sign) + (26.0 if sheet.note else 8.0)
        top = TOP - _HEAD - FACT_STEP * (len(sheet.facts) + 1) - 8.0
        sections = [
            Section(
                part.heading, _size(part), [shown.captions for shown in part.items],
                len(part.looks),
            )
            for part in parts
        ]
        room = Room(top, signing if sheet.sign else 0.0)
        self._signing = signing
        self.flow: Flow = flow(sections, room, lru_cache(maxsize=20_000)(self._wrap))

    def _wrap(self, text: str, strength: Strength, width: float) -> Sequence[str]:
        pen, size = self._pen(strength)
        return pen.wrap(text, size, width, _ALL)

    def _pen(self, strength: Strength) -> tuple[Pen, float]:
        if strength == "name":
            return self._paper.bold, _NAME
        return self._paper.regular, _CAPTION

    def pdf(self) -> bytes:
        """All sheets but for the pictures."""
        pages: list[list[str]] = [[] for _ in range(self.flow.pages)]
        pages[0] += self._head()
        for part, spots, (page, base) in zip(self._parts, self.flow.spots, self.flow.headings):
            if part.heading:
                pages[page] += [BLACK, self._paper.bold.at(LEFT, base, part.heading, _HEADING)]
            for shown, spot in zip(part.items, spots):
                pages[spot.page] += self._item(part, shown, spot)
        if self._sheet.sign:
            pages[-1] += self._sign()
        for number, out in enumerate(pages, 1):
            if self._sheet.watermark:
                out.append(self._watermark())
            out.append(self._foot(f"page {number} of {len(pages)}"))
            self._paper.page(out)
        return self._paper.finish()

    def _head(self) -> list[str]:
        sheet = self._sheet
        scale = f"{self.flow.scale * 100:.0f} % of true size"
        told = (*sheet.facts, ("shown at", scale))
        return [
            first_head(self._paper, self._run, sheet.kind, sheet.title, "", RIGHT),
            facts(self._paper, told, LEFT, TOP - _HEAD, INNER),
        ]

    def _item(self, part: Part, shown: Shown, spot: Spot) -> list[str]:
        out = []
        if shown.guides:
            unit = PT_PER_MM * self.flow.scale
            left, low = spot.x + part.room * unit, spot.y + part.room * unit
            out += [f"q {unit:.6f} 0 0 {unit:.6f} {left:.3f} {low:.3f} cm", *shown.guides, "Q"]
        x, y = spot.words
        for line in spot.lines:
            pen, size = self._pen(line.strength)
            ink = GREY if line.strength == "grey" else BLACK
            out.append(f"{ink} {pen.at(x, y, line.text, size)}")
            y -= LINE
        return out

    def _foot(self, right: str) -> str:
        mark = f", proof {self._run.run}" if self._run.run else ""
        left = f"{self._sheet.kind}, job {self._run.job}, layout {self._run.layout}{mark}"
        pen = self._paper.regular
        return "\n".join((
            rule(33.0), GREY, pen.at(LEFT, 22.5, pen.shorten(left, 7.5, INNER - 100), 7.5),
            pen.at_right(RIGHT, 22.5, right, 7.5),
        ))  # fmt: skip

    def _sign(self) -> list[str]:
        """The lines at the foot of a sheet, each with its boxes to tick."""
        pen, y = self._paper.regular, BOTTOM + self._signing - 14.0
        out = [BLACK, pen.at(LEFT, y, self._sheet.note, 9.0)] if self._sheet.note else []
        y = BOTTOM + _SIGN_STEP * (len(self._sheet.sign) - 1) + 10.0
        for line in self._sheet.sign:
            x = LEFT + _SIGN_LABEL
            out += [BLACK, pen.at(LEFT, y, line.label, 9.0)]
            for tick in line.ticks:
                out += [tick_boxes([(x, y - 0.5)], _TICK), BLACK, pen.at(x + 12.0, y, tick, 8.0)]
                x += 12.0 + pen.width(tick, 8.0) + 14.0
            out.append(f"0.3 G 0.6 w {x:.2f} {y:.2f} m {RIGHT:.2f} {y:.2f} l S")
            y -= _SIGN_STEP
        return out

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


def _size(part: Part) -> tuple[float, float]:
    """A picture's width and height in points at true size."""
    wide, high = part.item_mm
    return (wide + 2 * part.room) * PT_PER_MM, (high + 2 * part.room) * PT_PER_MM


def build_proof(run: RunPaper, sheet: Sheet, parts: Sequence[Part]) -> bytes:
    """The PDF of a proof; there is an item at least."""
    import pikepdf

    pages = _Pages(run, sheet, parts)
    with pikepdf.open(io.BytesIO(pages.pdf())) as pdf:
        number = 0
        for part, spots in zip(parts, pages.flow.spots):
            with ExitStack() as opened:
                sources = [
                    opened.enter_context(pikepdf.open(io.BytesIO(looks))) for looks in part.looks
                ]
                pages_of = zip(*(source.pages for source in sources))
                for look, spot in zip(chain.from_iterable(pages_of), spots):
                    form = pdf.copy_foreign(look.as_form_xobject())
                    name = pikepdf.Name(f"/Look{number}")
                    page = pdf.pages[spot.page]
                    page.add_resource(form, pikepdf.Name.XObject, name)
                    scale = _size(part)[0] * pages.flow.scale / float(form.BBox[2])
                    at = f"{scale:.6f} 0 0 {scale:.6f} {spot.x:.3f} {spot.y:.3f} cm"
                    page.contents_add(f"q {at} {name} Do Q".encode(), prepend=True)
                    number += 1
        out = io.BytesIO()
        pdf.save(out, deterministic_id=True)
        return out.getvalue()


def joined(papers: Sequence[bytes]) -> bytes:
    """Several PDFs as one."""
    import pikepdf

    if len(papers) == 1:
        return papers[0]
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        for paper in papers:
            with pikepdf.open(io.BytesIO(paper)) as source:
                pdf.pages.extend(source.pages)
        pdf.save(out, deterministic_id=True)
    return out.getvalue()
