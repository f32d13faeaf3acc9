"""A variable field of a layout, and texts among them.

In: a field's fit. Out: marks on the colour plates, things for the white plates, gloss. What
a field's place means for every record (whether anything is near, whether colour lies below)
is worked out once by the dresser and handed over as ``Surroundings``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple, Protocol, TypeAlias

from vardata.dress.decoration import Edges
from vardata.dress.drawing import Picture
from vardata.dress.framing import Framing
from vardata.dress.gloss import GlossPlate
from vardata.dress.ink import NO_INK, Ink
from vardata.dress.lettering import STAY, Lettering
from vardata.dress.meeting import Role, Thing
from vardata.dress.sheet import Glossy, Sheet, Waiting, WhiteLayer
from vardata.dress.white import Status, WhitePlate
from vardata.fit.result import FieldFit, TextFit
from vardata.marks import Mark, Paint, Placement, RunOnPlates, Share


class Pictures(Protocol):
    """Finds the picture of a path, taken as the framing says."""

    def __call__(self, path: str, framing: Framing, /) -> Picture: ...


_KEPT = 2_000  # texts kept by a field: roles and towns repeat, names do not
Report = Callable[[int, int, float], None]  # field, plate, smallest choke


class InkPlaces(NamedTuple):
    """The same for one of the inks of a field that has several: the numbers of the layers that it
    is ``under`` or ``alone`` on, and its gloss plates."""

    under: frozenset[int]
    alone: frozenset[int]
    gloss: tuple[GlossPlate, ...]


class Surroundings(NamedTuple):
    """What one field's place means on one blank.

    ``under``: (layer number, status) of the white plates that follow its colour. ``alone``:
    the same for white plates it prints on itself (white ink, a ground). ``ground`` is for
    codes. ``gloss`` are the gloss plates that it prints on; ``clear``: no code may come near.
    ``together`` are the plates that a text is printed on as one mark, the choke being whole;
    None where its plates have to be looked at one by one. ``lone``: no choke of another field comes
    near, so that its own may be smaller and come first. ``parts`` are there for a text with
    several inks, one for each.
    """

    under: tuple[tuple[int, Status], ...]
    alone: tuple[tuple[int, Status], ...]
    ground: bool
    gloss: tuple[GlossPlate, ...]
    clear: bool = False
    together: tuple[Share, ...] | None = None
    parts: tuple[InkPlaces, ...] = ()
    lone: bool = False


class Variable:
    """What all variable fields share. ``over_colour``: colour may lie below the field."""

    def __init__(self, index: int, ink: Ink, colour: Sequence[int], over_colour: bool) -> None:
        self.index = index
        self.ink = ink
        self.density = 1.0  # of the white under it, as a tint
        # White ink, and a ground, take out the colour that lies below them.
        self.knocks: tuple[tuple[int, Paint], ...] = (
            tuple((plate, NO_INK) for plate in colour) if over_colour else ()
        )
        self.on: tuple[tuple[int, Paint], ...] = {
            "colour": tuple((plate, ink.paint) for plate in colour),
            "white": self.knocks,
            "gloss": (),
        }[ink.kind]

    def put(
        self,
        sheet: Sheet,
        fit: FieldFit,
        near: Surroundings,
        placement: Placement,
        store: Pictures,
        report: Report,
    ) -> None:
        """Puts one record's marks on the sheet."""
        raise NotImplementedError

    def together(self, near: Surroundings, whites: Sequence[WhitePlate]) -> Surroundings:
        """What a place means, with the plates that are printed as one."""
        return near

    def under(self, layer: WhiteLayer, status: Status, waiting: Waiting, report: Report) -> None:
        """White under a thing: at once if nothing is near, else when all things are known."""
        if status == "apart":
            layer.runs += waiting.runs
            layer.areas += waiting.areas
            if waiting.thing.least < layer.plate.choke:
                report(self.index, layer.plate.index, waiting.thing.least)
        else:
            layer.waiting.append(waiting)

    def alone(self, layer: WhiteLayer, status: Status, thing: Thing, marks: list[Mark]) -> None:
        """White that stands alone, at once or when all things are known."""
        if status == "apart":
            layer.alone += marks
        else:
            layer.waiting.append(Waiting(thing, self.index, [], [], marks))


# A text on all its plates at once: its fit and its shares; its marks, or None if its plates have to
# be looked at one by one; the plates on which its choke is smaller than wanted; whether its ink
# keeps to its box.
_AsOne: TypeAlias = tuple[
    TextFit, tuple[Share, ...], list[RunOnPlates] | None, list[tuple[int, float]], bool
]


class TextVariable(Variable):
    """A text in a box: a text field, or the human-readable line of a code. ``edges`` is what is
    drawn round its letters."""

    edges = Edges()

    def __init__(
        self,
        index: int,
        lettering: Lettering,
        ink: Ink,
        colour: Sequence[int],
        over_colour: bool,
    ) -> None:
        super().__init__(index, ink, colour, over_colour)
        self.lettering = lettering
        self._kept: dict[tuple[int, int], _AsOne] = {}

    def put(
        self,
        sheet: Sheet,
        fit: FieldFit,
        near: Surroundings,
        placement: Placement,
        store: Pictures,
        report: Report,
    ) -> None:
        if not isinstance(fit, TextFit) or not fit.runs:
            return
        shares = near.together
        if shares is not None and not sheet.mixed:
            # A text that repeats is one object: it is known by its identity, and kept alive.
            found = self._kept.get((id(fit), id(shares))) or self._as_one(fit, shares, near)
            _, _, marks, thin, inside = found
            if not inside:
                sheet.loose = True
            if marks is not None:  # the way of nearly every text
                sheet.colour += marks
                for plate, least in thin:
                    report(self.index, plate, least)
                return
        elif not self.lettering.inside(fit.ink):
            sheet.loose = True
        self.write(sheet, fit, near, report)

    def _as_one(self, fit: TextFit, shares: tuple[Share, ...], near: Surroundings) -> _AsOne:
        """A text as one mark for all its plates, if it can be."""
        if len(self._kept) >= _KEPT:
            self._kept.clear()
        marks = self.lettering.on_plates(shares, fit)
        thin: list[tuple[int, float]] = []
        if marks and marks[0].shares is not shares:
            pairs = zip(marks[0].shares, shares)
            thin = [(plate, least) for (plate, _, least), wanted in pairs if least < wanted[2]]
            marks = marks if near.lone else None
        found = (fit, shares, marks, thin, self.lettering.inside(fit.ink))
        self._kept[id(fit), id(shares)] = found
        return found

    def together(self, near: Surroundings, whites: Sequence[WhitePlate]) -> Surroundings:
        """Colour, white that follows it and gloss are one mark where nothing comes between:
        white with the whole choke is painted before all other white, and such gloss alone."""
        if self.ink.kind != "colour" or near.alone:
            return near
        shares: list[Share] = [(plate, paint, 0.0) for plate, paint in self.on]
        for number, status in near.under:
            plate = whites[number]
            if status == "covered":
                continue
            if status != "apart" or plate.cover == "knockout":
                return near
            shares.append((plate.index, self.density, plate.choke_texts))
        for gloss in near.gloss:
            if not gloss.bare or not near.clear:
                return near
            shares.append((gloss.index, 1.0, 0.0))
        return near._replace(together=tuple(shares))

    def write(
        self,
        sheet: Sheet,
        fit: TextFit,
        near: Surroundings,
        report: Report,
        shift: tuple[float, float] = STAY,
    ) -> None:
        """The text, moved by ``shift`` mm in its box."""
        lettering = self.lettering
        for plate, paint in self.on:
            sheet.colour += lettering.ink(plate, paint, fit, shift)
        for number, status in near.under:
            if sheet.mixed:
                status = "mixed"
            if status != "covered":
                self._under(sheet.layer(number), status, fit, report, shift)
        for number, status in near.alone:
            layer = sheet.layer(number)
            marks = lettering.ink(layer.plate.index, 1.0, fit, shift)
            thing = self._thing("alone", fit, shift, layer.plate.choke)
            self.alone(layer, "mixed" if sheet.mixed else status, thing, marks)
        for gloss in near.gloss:
            tint = 1.0 if self.ink.kind == "gloss" else gloss.tint
            marks = lettering.ink(gloss.index, tint, fit, shift)
            bounds = lettering.bounds(fit.ink, shift)
            sheet.glossy.append(Glossy(gloss, marks, bounds, lambda: lettering.area(fit, shift)))

    def _under(
        self,
        layer: WhiteLayer,
        status: Status,
        fit: TextFit,
        report: Report,
        shift: tuple[float, float],
    ) -> None:
        index, choke = layer.plate.index, layer.plate.choke_texts
        if layer.plate.cover == "knockout":
            runs: list[Mark] = []
            areas, least = self.lettering.cores(index, fit, choke, shift), choke
        else:
            runs, areas, least = self.lettering.white(index, fit, choke, shift)
        if status == "apart":
            layer.runs += runs
            layer.areas += areas
            if least < choke:
                report(self.index, index, least)
        else:
            thing = self._thing("under", fit, shift, least)
            layer.waiting.append(Waiting(thing, self.index, runs, areas, [], choke))

    def _thing(self, role: Role, fit: TextFit, shift: tuple[float, float], least: float) -> Thing:
        lettering = self.lettering
        bounds = lettering.bounds(fit.ink, shift)
        return Thing(
            role,
            bounds,
            lambda within: lettering.area(fit, shift, within),
            lambda: lettering.boxes(fit, shift),
            least,
        )
