"""What each kind of blank makes of a layout: its white plates, its grounds, its refusals.

In: a layout's places and a blank. Out: ``OnBlank``: for each white plate its static white,
for each variable field what is near it, and why it cannot be printed on this blank, if so.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from vardata.dress import outline
from vardata.dress.contrast import WHITE, Contrast, blank_seen, contrast, grade, ink_seen
from vardata.dress.gloss import GlossPlate
from vardata.dress.ink import Ink, Plates
from vardata.dress.meeting import Role
from vardata.dress.piece import Piece
from vardata.dress.places import Places
from vardata.dress.unseen import unseen
from vardata.dress.variable import InkPlaces, Surroundings
from vardata.dress.white import Inwards, Kept, Reach, WhitePlate
from vardata.job import model
from vardata.job.symbologies import SYMBOLOGIES
from vardata.marks import Mark
from vardata.problems import Problem, Severity, Where
from vardata.units import percent


class OnBlank(NamedTuple):
    """A layout on one kind of blank; fields are numbered as in ``Places``. ``idle`` is the static
    white of all its plates."""

    whites: tuple[WhitePlate, ...]
    near: tuple[Surroundings, ...]
    refused: tuple[Problem | None, ...]
    idle: tuple[Mark, ...]


class Blanks:
    """Makes ``OnBlank`` values, one for all blanks that ask for the same."""

    def __init__(
        self,
        layout: model.Layout,
        plates: Plates,
        pieces: Sequence[Piece],
        places: Places,
        gloss: Sequence[GlossPlate],
        file: str,
    ) -> None:
        self._layout, self._plates, self._file = layout, plates, file
        self._pieces, self._places, self._gloss = pieces, places, gloss
        self._kept: Kept = {}
        self._made: dict[tuple[bool, str], OnBlank] = {}

    def on(self, blank: model.Blank) -> OnBlank:
        """The layout on a blank. Only its surface and its wish for white change what is printed;
        what is refused also names it."""
        kind = (blank.surface == "light", blank.white)
        if kind not in self._made:
            self._made[kind] = self._make(blank)
        made = self._made[kind]
        refused = (self._refusal(n, blank, near.ground) for n, near in enumerate(made.near))
        return made._replace(refused=tuple(refused))

    def warning(self, n: int, blank: model.Blank, on: OnBlank) -> Problem | None:
        """What a person should know of field n on a blank before it is printed."""
        if on.refused[n] is not None:
            return None
        field = self._places.fields[n]
        if isinstance(field, model.TextField):
            return self._unseen(n, field, blank)
        return _only(Severity.WARNING, self.judged(n, blank, on.near[n].ground))

    def _unseen(self, n: int, field: model.TextField, blank: model.Blank) -> Problem | None:
        """A warning of letters that hardly differ from what lies round them."""
        if self._places.over_colour[n] or self._over_white(n):
            return None  # art is around them
        covers = self._plates.covers(blank)
        lined = any(
            cover != "knockout" and (
                cover == "flood" or "under" in self._roles(n, index, cover, blank, False)
            )
            for index, cover in covers.items()
        )  # fmt: skip
        return unseen(field, self._places.inks[n], blank, covers, "white" if lined else "blank")

    def judged(self, n: int, blank: model.Blank, ground: bool) -> Problem | None:
        """How well scanners see a code on a blank; None: well, or nobody can tell."""
        field, ink = self._places.fields[n], self._places.inks[n]
        if not isinstance(field, model.CodeField) or ink.kind == "gloss":
            return None
        bare = blank_seen(blank.substrate)
        covers = self._plates.covers(blank)
        flooded = any(cover in ("flood", "knockout") for cover in covers.values())
        unknown = self._places.over_colour[n] or self._over_white(n) or blank.surface == "clear"
        if not ground and unknown:
            return None  # art, or whatever lies behind, is around it
        around = WHITE if ground or flooded else bare
        if ink.kind == "white":
            modules = WHITE
        else:
            lined = ground or flooded or any(
                "under" in self._roles(n, index, cover, blank, ground)
                for index, cover in covers.items()
            )
            modules = ink_seen(ink.paint, WHITE if lined else bare)
        label = blank.label or f"{blank.surface} surface"
        return _judged(field, contrast(modules, around), label)

    def _over_white(self, n: int) -> bool:
        """Whether static white ink lies below field n somewhere."""
        reach = self._places.reaches[n]
        return any(
            p.ink.kind == "white" and p.after <= n and p.area.intersects(reach)
            for p in self._pieces
        )

    def _make(self, blank: model.Blank) -> OnBlank:
        numbers = range(len(self._places.fields))
        grounds = [self._wants_ground(n, blank) for n in numbers]
        whites = [self._white(index, blank, grounds) for index in self._plates.white]
        return OnBlank(
            tuple(whites),
            tuple(self._near(n, whites, grounds[n], blank) for n in numbers),
            (),
            tuple(mark for white in whites for mark in white.idle),
        )

    def _wants_ground(self, n: int, blank: model.Blank) -> bool:
        field = self._places.fields[n]
        if not isinstance(field, model.CodeField):
            return False
        if field.ground == "auto":
            return blank.surface != "light" and self._places.inks[n].kind == "colour"
        return field.ground == "always"

    def _white(self, index: int, blank: model.Blank, grounds: Sequence[bool]) -> WhitePlate:
        plate, cover = self._layout.plates[index], self._plates.covers(blank)[index]
        reaches = [
            Reach(n, role, self._places.reaches[n], self._places.fields[n].white_density / 100)
            for n, ground in enumerate(grounds)
            for role in self._roles(n, index, cover, blank, ground)
        ]
        return WhitePlate(
            index,
            cover,
            Inwards(plate.inwards, plate.inwards_at_texts, plate.inwards_at_holes),
            outline.flood(self._layout, plate.bleed, self._file),
            self._followed(index),
            index in self._plates.inked(blank),
            blank.white == "none",
            reaches,
            self._kept,
        )

    def _followed(self, index: int) -> tuple[Piece, ...]:
        """The static pieces, those that a white plate does not follow marked so."""
        return tuple(
            piece if self._plates.takes(index, piece.colour, text=False)
            else piece._replace(white=False)
            for piece in self._pieces
        )

    def _roles(
        self, n: int, index: int, cover: str, blank: model.Blank, ground: bool
    ) -> tuple[Role, ...]:
        """What field n is to a white plate: coloured ink over it, white alone, both or nothing."""
        found = (
            self._role(n, ink, index, cover, blank, ground) for ink in self._places.all_inks(n)
        )
        return tuple(dict.fromkeys(role for role in found if role))

    def _role(
        self, n: int, ink: Ink, index: int, cover: str, blank: model.Blank, ground: bool
    ) -> Role | None:
        """The same of one of its inks."""
        field = self._places.fields[n]
        if ground:
            return "alone" if index in self._plates.inked(blank) else None
        if ink.kind == "white":
            return "alone" if index in self._plates.white_plates(ink, blank) else None
        follows = ink.kind == "colour" and field.white and cover in ("art", "knockout")
        paint = None if isinstance(field, model.PictureField) else ink.paint
        text = isinstance(field, model.TextField)
        follows = follows and self._plates.takes(index, paint, text=text)
        return "under" if follows else None

    def _near(
        self, n: int, whites: Sequence[WhitePlate], ground: bool, blank: model.Blank
    ) -> Surroundings:
        field, ink = self._places.fields[n], self._places.inks[n]
        roles: tuple[Role, Role] = ("under", "alone")
        under, alone = (
            tuple(
                (number, white.status[n, role])
                for number, white in enumerate(whites)
                if (n, role) in white.status
            )
            for role in roles
        )
        paint = None if isinstance(field, model.PictureField) else ink.paint
        gloss = tuple(g for g in self._gloss if g.takes(field.gloss, ink, paint))
        return Surroundings(
            under,
            alone,
            ground,
            () if isinstance(field, model.CodeField) else gloss,
            self._places.clear_of_codes(n),
            lone=all(n in whites[number].lone for number, _ in under),
            parts=tuple(
                self._ink_places(n, one, whites, blank) for one in self._places.all_inks(n)
            ) if self._places.parts[n] else (),
        )

    def _ink_places(
        self, n: int, ink: Ink, whites: Sequence[WhitePlate], blank: model.Blank
    ) -> InkPlaces:
        """The plates of one ink of a text that has several."""
        roles = [self._role(n, ink, one.index, one.cover, blank, False) for one in whites]
        under, alone = (
            frozenset(at for at, one in enumerate(roles) if one == role)
            for role in ("under", "alone")
        )
        wished = self._places.fields[n].gloss
        gloss = tuple(g for g in self._gloss if g.takes(wished, ink, ink.paint))
        return InkPlaces(under, alone, gloss)

    def _refusal(self, n: int, blank: model.Blank, ground: bool) -> Problem | None:
        """Why a field cannot be printed on a blank: white is missing, or no scanner reads it."""
        field, ink = self._places.fields[n], self._places.inks[n]
        label = blank.label or f"{blank.surface} surface"
        if ground and not self._plates.inked(blank):
            return Problem(
                "no-ground",
                Severity.HOLD,
                f"the code needs a white ground, and no white is printed on this blank ({label})",
                'give the layout a white plate and the blank another "white" than "none", or '
                'set ground = "never" for the field',
                Where(field=field.name),
            )
        for part, other in self._places.parts[n].items():
            bare = not self._plates.white_plates(other, blank) and not self._places.amid_colour(n)
            if other.kind == "white" and bare:
                return _no_white(f"its {part}", field.name, label)
        if ink.kind != "white":
            return _only(Severity.HOLD, self.judged(n, blank, ground))
        # Amid colour, white ink takes out what lies below: bare material shows its shape.
        amid = self._places.amid_colour(n)
        if isinstance(field, model.CodeField):
            unread = _unread(field, blank.surface == "light" and not amid, label)
            if unread is not None:
                return unread
        if amid:
            return None
        if not self._plates.white_plates(ink, blank):
            return _no_white("the field", field.name, label)
        return _only(Severity.HOLD, self.judged(n, blank, ground))


def _no_white(what: str, field: str, label: str) -> Problem:
    return Problem(
        "no-white",
        Severity.HOLD,
        f"{what} is printed in white ink, and this blank ({label}) takes none",
        'choose another colour, or set the blank\'s "white" to "layout"',
        Where(field=field),
    )


def _only(severity: Severity, problem: Problem | None) -> Problem | None:
    return problem if problem is not None and problem.severity == severity else None


def _unread(field: model.CodeField, unseen: bool, label: str) -> Problem | None:
    """Why no scanner reads a code in white ink. ``unseen``: nothing about it is dark."""
    kind = SYMBOLOGIES[field.symbology].name
    remedy = 'take "colour" away: a code is black, with a white ground where the blank is dark'
    if unseen:
        what = f"a code in white ink does not show on this blank ({label})"
        return _hold("code-unseen", field, what, remedy)
    if not SYMBOLOGIES[field.symbology].reversible:
        what = f"the {kind} in white ink is light on dark, which scanners need not read"
        return _hold("code-inverted", field, what, remedy)
    return None


def _hold(kind: str, field: model.CodeField, what: str, remedy: str) -> Problem:
    return Problem(kind, Severity.HOLD, what, remedy, Where(field=field.name))


def _warning(kind: str, field: model.CodeField, what: str, remedy: str) -> Problem:
    return Problem(kind, Severity.WARNING, what, remedy, Where(field=field.name))


def _judged(field: model.CodeField, found: Contrast, label: str) -> Problem | None:
    """What a contrast means: bars are read in red light, the other codes by cameras.

    Refused is what its reader cannot see; a warning goes to what only some readers see.
    """
    kind = SYMBOLOGIES[field.symbology]
    red, camera = (percent(part, 0.2, 0.4) for part in (found.red, found.camera))
    remedy = (
        "choose a darker colour (black, blue and green are dark in red light, red and yellow are "
        'light), or write ground = "always"'
    )
    if kind.matrix and grade(found.camera) == 0:
        what = f"a camera sees a contrast of {camera} between the code and this blank ({label})"
        return _hold("code-contrast", field, f"{what}, less than the 20% of grade 1", remedy)
    if not kind.matrix and (grade(found.red) == 0 or found.dull):
        what = f"red scanners see a contrast of {red} between the bars and this blank ({label})"
        return _hold("code-contrast", field, f"{what}, too little for any grade", remedy)
    if found.inverted and not kind.reversible:
        what = f"the {kind.name} is lighter than this blank ({label}), which scanners need not read"
        return _hold("code-inverted", field, what, remedy)
    if grade(found.red) < 2 or (kind.matrix and grade(found.camera) < 2):
        what = (
            f"on this blank ({label}) the code has a contrast of {red} in red light and {camera} "
            "to a camera, less than the 40% of grade 2"
        )
        return _warning("code-contrast", field, what, remedy)
    if found.inverted:
        what = f"the {kind.name} is light on dark on this blank ({label})"
        remedy = "not every scanner reads that: try those that it is for"
        return _warning("code-inverted", field, what, remedy)
    return None
