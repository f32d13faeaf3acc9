"""The contact sheet: every bed of a run as it will look, six to a page, or larger if they are few.

In: beds with their pictures. Out: parts of ``contact.pdf``, and the file. Under each picture
stand the bed's number, how many pieces lie on it, and its first and last record's words.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from vardata.output.picklist_document import HEIGHT, WIDTH, Paper
from vardata.output.picklist_join import Info, Joiner
from vardata.output.picklist_map import draw_look, draw_outlines, look_name
from vardata.output.picklist_paper import BLACK, GREY, INNER, LEFT, TOP, foot
from vardata.output.picklist_places import fit_box
from vardata.output.picklist_values import BedPaper, RunPaper, named
from vardata.output.slotline import telling

KIND = "Contact sheet"
_GAP = 14.0  # points
_START = TOP - 28.0
_HIGH = 724.0  # of all rows of cells
_WORDS = 26.0  # points below a picture
_SIZE = 8.5


class Grid(NamedTuple):
    """How many pictures a page has, in columns and rows."""

    across: int
    down: int

    @property
    def cell(self) -> tuple[float, float]:
        """Width and height of one, in points."""
        wide, high = INNER - _GAP * (self.across - 1), _HIGH - _GAP * (self.down - 1)
        return wide / self.across, high / self.down


def grid_of(beds: int, sides: int) -> Grid:
    """The grid for a run of so many beds, each seen from so many sides."""
    if beds == 1:
        return Grid(1, sides)
    return Grid(1, 2) if beds == 2 else Grid(2, 3)


def build_contact(beds: Sequence[BedPaper], grid: Grid, run: RunPaper, *more: RunPaper) -> bytes:
    """A page with the sheet's head and foot, then a page for each bed, in the sheet's first place.

    ``more`` is what the sheets of further sides say. ``Sheets`` puts the pages together: beds come
    in chunks, and a sheet may hold beds of several.
    """
    paper = Paper(run, KIND)
    seen = ", as seen, not as printed" if run.face_down else ""
    paper.page([
        paper.bold.at(LEFT, TOP - 12, f"{KIND}, {run.job}{seen}", 12.0),
        foot(paper, run, "", kind="contact sheet"),
    ])  # fmt: skip
    by_side = {one.side: one for one in (run, *more)}
    for bed in beds:
        forms = [] if bed.look is None else [paper.picture(look_name(bed), bed.look)]
        cell, outline = _cell(paper, by_side.get(bed.side, run), bed, grid)
        paper.page([cell], [*forms, outline])
    return paper.finish()


class Sheets:
    """As many beds to a sheet as its grid takes, whatever part they come in; each sheet is joined
    when it is full."""

    def __init__(self, out: Path, grid: Grid) -> None:
        self._grid = grid
        self._joiner = Joiner(out)
        self._waiting: list[tuple[Path, int]] = []  # part and page

    def add(self, part: Path, beds: int) -> None:
        """The part of some beds."""
        for page in range(1, beds + 1):
            self._waiting.append((part, page))
            if len(self._waiting) == self._grid.across * self._grid.down:
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
        wide, high = self._grid.cell
        for n, (part, number) in enumerate(places):
            forms[f"/Cell{n}"] = sheet.copy_foreign(opened[part].pages[number].as_form_xobject())
            row, column = divmod(max(0, n - 1), self._grid.across)
            x, y = column * (wide + _GAP), -row * (high + _GAP)
            out.append(f"q 1 0 0 1 {x:.2f} {y:.2f} cm /Cell{n} Do Q")
        page.obj.Resources = pikepdf.Dictionary(XObject=forms)
        page.obj.Contents = sheet.make_stream("\n".join(out).encode("ascii"))
        data = io.BytesIO()
        sheet.save(data, static_id=True)
        self._joiner.add(data.getvalue())
        self._waiting.clear()
        for pdf in opened.values():
            pdf.close()


def _cell(paper: Paper, run: RunPaper, bed: BedPaper, grid: Grid) -> tuple[str, str]:
    """One bed, its picture with words below it, and the name of the form that it shows besides."""
    wide, high = grid.cell
    x, box = LEFT, fit_box(run, LEFT, _START, wide, high - _WORDS)
    frame = f"{box.x:.2f} {box.y:.2f} {box.width:.2f} {box.height:.2f} re"
    outlines, form = draw_outlines(paper, run, bed, box)
    out = [*draw_look(bed, box), outlines]
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
        text = paper.regular.shorten(" to ".join(dict.fromkeys(told)), 7.0, wide)
        out.append(paper.regular.at(x, box.y - 21, text, 7.0))
    return "\n".join(out), form
