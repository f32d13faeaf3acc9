"""The contact sheet: every bed of a run as it will look, six to a page.

In: beds with their pictures. Out: parts of ``contact.pdf``, and the file. Under each picture
stand the bed's number, how many pieces lie on it, and its first and last record's words.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

from vardata.output.picklist_document import HEIGHT, WIDTH, Paper
from vardata.output.picklist_join import Info, Joiner
from vardata.output.picklist_map import draw_look, look_name
from vardata.output.picklist_paper import BLACK, GREY, INNER, LEFT, TOP, foot
from vardata.output.picklist_places import fit_box
from vardata.output.picklist_values import BedPaper, RunPaper, named
from vardata.output.slotline import telling

KIND = "Contact sheet"
_ACROSS, _DOWN = 2, 3
_GAP = 14.0  # points
_START = TOP - 28.0
_CELL = (INNER - _GAP) / _ACROSS
_HIGH = 232.0
_WORDS = 26.0  # points below a picture
_SIZE = 8.5


def build_contact(beds: Sequence[BedPaper], run: RunPaper) -> bytes:
    """A page with the sheet's head and foot, then a page for each bed, in the sheet's first place.

    ``Sheets`` puts them together: beds come in chunks, and a sheet may hold beds of several.
    """
    paper = Paper(run, KIND)
    seen = ", as seen, not as printed" if run.face_down else ""
    paper.page([
        paper.bold.at(LEFT, TOP - 12, f"{KIND}, {run.job}{seen}", 12.0),
        foot(paper, run, "", kind="contact sheet"),
    ])  # fmt: skip
    for bed in beds:
        forms = [] if bed.look is None else [paper.picture(look_name(bed), bed.look)]
        paper.page([_cell(paper, run, bed, LEFT, _START)], forms)
    return paper.finish()


class Sheets:
    """Six beds to a sheet, whatever part they come in; each sheet is joined when it is full."""

    def __init__(self, out: Path) -> None:
        self._joiner = Joiner(out)
        self._waiting: list[tuple[Path, int]] = []  # part and page

    def add(self, part: Path, beds: int) -> None:
        """The part of some beds."""
        for page in range(1, beds + 1):
            self._waiting.append((part, page))
            if len(self._waiting) == _ACROSS * _DOWN:
                self._put()

    def finish(self, info: Info) -> None:
        if self._waiting:
            self._put()
        self._joiner.finish(info)
        self._joiner.__exit__(None, None, None)

    def _put(self) -> None:
        import pikepdf

        sheet = pikepdf.new()
        page = sheet.add_blank_page(page_size=(WIDTH, HEIGHT))
        places = [(self._waiting[0][0], 0), *self._waiting]
        opened = {part: pikepdf.open(part) for part, _ in places}
        forms, out = pikepdf.Dictionary(), []
        for n, (part, number) in enumerate(places):
            forms[f"/Cell{n}"] = sheet.copy_foreign(opened[part].pages[number].as_form_xobject())
            row, column = divmod(max(0, n - 1), _ACROSS)
            x, y = column * (_CELL + _GAP), -row * (_HIGH + _GAP)
            out.append(f"q 1 0 0 1 {x:.2f} {y:.2f} cm /Cell{n} Do Q")
        page.obj.Resources = pikepdf.Dictionary(XObject=forms)
        page.obj.Contents = sheet.make_stream("\n".join(out).encode("ascii"))
        data = io.BytesIO()
        sheet.save(data, static_id=True)
        self._joiner.add(data.getvalue())
        self._waiting.clear()
        for pdf in opened.values():
            pdf.close()


def _cell(paper: Paper, run: RunPaper, bed: BedPaper, x: float, top: float) -> str:
    """One bed: its picture hangs from ``top``, words stand below it."""
    box = fit_box(run, x, top, _CELL, _HIGH - _WORDS)
    frame = f"{box.x:.2f} {box.y:.2f} {box.width:.2f} {box.height:.2f} re"
    out = draw_look(bed, box)
    out.append(f"0.6 G 0.5 w {frame} S")
    pieces = "1 piece" if len(bed.lines) == 1 else f"{len(bed.lines)} pieces"
    title = f"Bed {named(bed)} of {run.beds}"
    out.append(f"{BLACK} {paper.bold.at(x, box.y - 11, title, _SIZE)}")
    after = x + paper.bold.width(title, _SIZE) + 5
    out.append(f"{GREY} {paper.regular.at(after, box.y - 11, pieces, _SIZE)}")
    if bed.lines:
        told = [
            " / ".join(content for _, content in telling(line.texts, line.codes))
            for line in (bed.lines[0], bed.lines[-1])
        ]
        text = paper.regular.shorten(" to ".join(dict.fromkeys(told)), 7.0, _CELL)
        out.append(paper.regular.at(x, box.y - 21, text, 7.0))
    return "\n".join(out)
