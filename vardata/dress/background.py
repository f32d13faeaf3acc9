"""What is printed on the bed itself: a guide, or a sheet of stock that is printed through.

In: the jig's background entries, the slots that it keeps off. Out: marks in bed mm, put once into
a file, and what is wrong with them. Colour and gloss are painted before the items, white after
them: a choke of an item's white, drawn as a line without ink, would eat it otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from vardata.dress import choke as chokes
from vardata.dress import geometry, outline
from vardata.dress.art import drawn, picture_parts
from vardata.dress.drawing import Drawing, PlacedPicture
from vardata.dress.ink import NO_INK, Plates
from vardata.dress.inklimit import over_limit
from vardata.dress.piece import Piece, of_drawings
from vardata.impose.facing import from_behind, mirror_width
from vardata.impose.slots import placement, usable_slots
from vardata.job.layout import CodeField
from vardata.job.model import Background, Setup
from vardata.job.placing import Art
from vardata.job.surfaces import mirrored_plates
from vardata.marks import Commands, Mark, Path, Placement, Ref, Within
from vardata.problems import JobError, Problem, Severity, VardataError, Where

_NEAR = 0.005  # mm: twice what flattening may be off
_COMMON = ("rotation", "fit", "anchor", "page", "page_box", "white_by", "ink_from",
           "soft_edges", "close_holes", "drop_specks", "min_ppi")  # fmt: skip


class Ground(NamedTuple):
    """The marks of a bed's background, as references to ``statics``: what lies ``below`` the
    items on each plate and what comes ``above`` them."""

    below: tuple[Ref, ...]
    above: tuple[Ref, ...]
    statics: dict[str, tuple[Mark, ...]]
    pictures: tuple[PlacedPicture, ...]


NO_GROUND = Ground((), (), {}, ())


def file_key(name: str) -> str:
    """What a background's file is called among the files of a setup."""
    return f"background {name}"


def load_ground(setup: Setup) -> Ground:
    """The background of a job's beds. Raises ``JobError`` with every error."""
    if not setup.jig.background:
        return NO_GROUND
    drawings, problems = _read(setup)
    errors = [problem for problem in problems if problem.severity == Severity.ERROR]
    if errors:
        raise JobError(errors)
    return _Maker(setup).make(drawings)


def check_ground(setup: Setup) -> list[Problem]:
    """All problems of the background: errors, warnings and notes. Raises nothing."""
    if not setup.jig.background:
        return []
    drawings, problems = _read(setup)
    if any(problem.severity == Severity.ERROR for problem in problems):
        return problems
    try:
        problems += _Maker(setup).problems(drawings)
    except VardataError as error:
        problems += error.problems
    file = setup.layout_file.name
    codes = any(isinstance(field, CodeField) for field in setup.layout.fields)
    if codes and any(entry.under_items for entry, _ in drawings):
        what = "codes of the items may lie on the background"
        remedy = 'print one and scan it, or leave "under_items" out'
        problems.append(Problem("code-background", Severity.WARNING, what, remedy, Where(file)))
    return problems


def _read(setup: Setup) -> tuple[list[tuple[Background, Drawing]], list[Problem]]:
    found: list[tuple[Background, Drawing]] = []
    problems: list[Problem] = []
    for entry in setup.jig.background:
        try:
            art = _as_art(entry, setup)
            drawing, notes = drawn(art, setup.files.get(file_key(entry.file)), setup, {})
        except VardataError as error:
            problems += error.problems
            continue
        found.append((entry, drawing))
        problems += notes
    return found, problems


def _as_art(entry: Background, setup: Setup) -> Art:
    """The entry as art of an item that is as large as the bed."""
    box = entry.box or (0.0, 0.0, setup.bed.width, setup.bed.height)
    return Art(file=entry.file, box=box, **{key: getattr(entry, key) for key in _COMMON})


class _Maker:
    def __init__(self, setup: Setup) -> None:
        self._setup = setup
        self._layout = setup.layout
        self._plates = Plates(setup.layout, setup.layout_file.name, setup.colours_by)
        self._bed = geometry.rectangle((0.0, 0.0, setup.bed.width, setup.bed.height))
        self._behind = mirrored_plates(setup.layout)

    def problems(self, drawings: Sequence[tuple[Background, Drawing]]) -> Iterable[Problem]:
        """Ink beyond the bed, and more ink than the print mode takes."""
        allowed = chokes.grow(self._bed, _NEAR)
        for entry, drawing in drawings:
            found = self._pieces(entry, drawing)
            area = geometry.union(piece.area for piece in found)
            if not allowed.covers(area):
                x0, y0, x1, y1 = area.bounds
                over = max(-x0, -y0, x1 - self._setup.bed.width, y1 - self._setup.bed.height)
                what = f"the background passes the bed by {over:.1f} mm"
                remedy = 'make its "box" smaller, or mend its place'
                yield Problem("ink-outside", Severity.ERROR, what, remedy, Where(entry.file))
            yield from over_limit(self._setup.mode.ink_limit, found, (), self._setup.job.jig)

    def make(self, drawings: Sequence[tuple[Background, Drawing]]) -> Ground:
        below: dict[int, list[Mark]] = {}
        above: dict[int, list[Mark]] = {}
        for entry, drawing in drawings:
            found = self._pieces(entry, drawing)
            named = self._named(entry)
            coloured = any(i in self._plates.colour for i in named)
            for i in named:
                role = self._layout.plates[i].role
                if role == "white":
                    marks = self._white(i, found, coloured)
                elif role == "colour":
                    marks = _colour(i, found)
                else:
                    marks = tuple(piece.mark(i, 1.0) for piece in found)
                if marks and not entry.under_items:
                    marks = (Within(i, self._around(i), marks),)
                (above if role == "white" else below).setdefault(i, []).extend(marks)
        statics = {f"p{i}-below": tuple(marks) for i, marks in below.items() if marks}
        statics |= {f"p{i}-above": tuple(marks) for i, marks in above.items() if marks}
        pictures = tuple(part for _, drawing in drawings for part in picture_parts(drawing))
        return Ground(
            tuple(Ref(i, f"p{i}-below") for i in sorted(below) if below[i]),
            tuple(Ref(i, f"p{i}-above") for i in sorted(above) if above[i]),
            statics, pictures,
        )  # fmt: skip

    def _named(self, entry: Background) -> tuple[int, ...]:
        """The plates that an entry is printed on: as it says, else the process inks."""
        names = [plate.name for plate in self._layout.plates]
        return tuple(names.index(name) for name in entry.plates) or self._plates.colour

    def _pieces(self, entry: Background, drawing: Drawing) -> tuple[Piece, ...]:
        return of_drawings([(_as_art(entry, self._setup), drawing)], self._plates)

    def _white(self, plate: int, found: Sequence[Piece], coloured: bool) -> tuple[Mark, ...]:
        """White under colour, choked; without colour over it, it stands alone."""
        choke = self._layout.plates[plate].inwards if coloured else 0.0
        tints = [(p, p.tints(plate, 1.0, choke)) for p in found if p.ink.kind == "colour"]
        soft = tuple(mark for _, marks in tints for mark in marks)
        ink = geometry.union(p.area for p, marks in tints if not marks)
        alone = geometry.union(p.area for p in found if p.ink.kind == "white")
        shape = self._layout.plates[plate]
        if coloured:
            white = chokes.choked(ink, alone, shape.inwards, holes=shape.inwards_at_holes).white
        else:
            white = geometry.union((ink, alone))
        commands = geometry.commands(geometry.areas(white.intersection(self._bed)))
        return soft + ((Path(plate, 1.0, commands),) if commands else ())

    def _around(self, plate: int) -> Commands:
        """The bed without the items' outlines and bleeds in every slot, by the even-odd rule."""
        bed, layout = self._setup.bed, self._layout
        item = outline.flood(layout, layout.bleed, self._setup.layout_file.name)[0]
        centred = geometry.moved(item, -layout.width / 2, -layout.height / 2)
        found: list[tuple[str | float, ...]] = [("re", 0.0, 0.0, bed.width, bed.height)]
        for at in self._places(plate):
            found += geometry.moved(centred, at.cx, at.cy, at.angle)
        return tuple(found)

    def _places(self, plate: int) -> tuple[Placement, ...]:
        """The slots as the plate's page has them."""
        places = tuple(map(placement, usable_slots(self._setup.jig)))
        if plate not in self._behind:
            return places
        width = mirror_width(self._setup.bed, self._setup.mode)
        return tuple(from_behind(place, width) for place in places)


def _colour(plate: int, found: Sequence[Piece]) -> tuple[Mark, ...]:
    """Process inks; white paint takes out what lies below it."""
    return tuple(
        piece.mark(plate, piece.ink.paint if piece.ink.kind == "colour" else NO_INK)
        for piece in found
    )
