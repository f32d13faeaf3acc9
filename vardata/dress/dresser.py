"""Dresses records: from fits to the marks of an item, white and gloss derived.

In: the setup, the font book, static art as drawings; then a record's fits and its slot. Out:
``Statics`` once, and an ``Item`` a record. Within each plate the marks come in painting
order; art first, then the fields in the layout's order.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import TypeAlias

from vardata.dress import geometry, outline, pattern
from vardata.dress.atonce import Judge, judges
from vardata.dress.blanks import Blanks, OnBlank
from vardata.dress.chokenote import Reduced, choke_note
from vardata.dress.codefield import CodeVariable
from vardata.dress.colourletters import ColourLetters
from vardata.dress.coverings import over_codes, under_code
from vardata.dress.craft import CraftCheck
from vardata.dress.crossings import Crossings
from vardata.dress.density import Put, putting
from vardata.dress.drawing import Drawing
from vardata.dress.geometry import Bounds
from vardata.dress.gloss import GlossPlate
from vardata.dress.glyphs import Glyphs
from vardata.dress.ink import Ink, Plates
from vardata.dress.inklimit import over_limit
from vardata.dress.limits import Limits
from vardata.dress.picturefield import PictureVariable
from vardata.dress.piece import pieces
from vardata.dress.places import Places
from vardata.dress.sheet import Sheet
from vardata.dress.softfaults import soft_over_colour
from vardata.dress.text import Texts
from vardata.dress.textpairs import TextPairs
from vardata.dress.variable import Pictures, Surroundings, TextVariable, Variable
from vardata.fit.fontbook import FontBook
from vardata.fit.result import CodeFit, FieldFit, PictureFit, TextFit
from vardata.job import model
from vardata.marks import Item, Mark, Placement, Statics
from vardata.memo import Memo
from vardata.problems import Problem, Severity, Where
from vardata.units import MM_PER_INCH

# How a field comes on a kind of blank: its place among the fits, how it puts its marks down, what
# is near it, and the static art above it.
_Way: TypeAlias = tuple[int, Put, Surroundings, tuple[Mark, ...]]


class Dresser:
    """Dresses the records of one job.

    ``reports`` counts notes for a person, by field or art: where the choke was reduced.
    Raises ``JobError`` if the layout asks for ink that no plate prints.
    """

    def __init__(
        self,
        setup: model.Setup,
        book: FontBook,
        art: tuple[tuple[model.Art, Drawing], ...],
        memo: Memo | None = None,
    ) -> None:
        """``memo`` is for the geometry of glyphs, shared by the workers of a run."""
        layout, file = setup.layout, setup.layout_file.name
        self._layout, self._file = layout, file
        self._files = {placed.file for placed, _ in art}
        plates = Plates(layout, file, setup.colours_by)
        self._setup, self._plates = setup, plates
        self._pieces = pieces(layout, art, plates, file)
        printed = any(entry.under_items for entry in setup.jig.background)
        self._places = Places(layout, setup.mode, plates, self._pieces, file, printed)
        dot = max(MM_PER_INCH / dpi for dpi in setup.mode.dpi)
        glyphs = Glyphs(book, dot, memo)
        texts = Texts(glyphs)
        craft = layout.craft
        self._craft = CraftCheck(layout, craft, book, glyphs) if craft is not None else None
        self._fields = tuple(
            self._places.variable(n, texts) for n in range(len(self._places.fields))
        )
        self.pairs = TextPairs(self._places, self._fields)
        self._crossings = Crossings(self._places, self._fields, dot)
        self._statics: dict[str, tuple[Mark, ...]] = {}
        self._colour = self._places.static_colour(self._statics)
        self._gloss = tuple(self._gloss_plate(index) for index in plates.gloss)
        made = Blanks(layout, plates, self._pieces, self._places, self._gloss, file)
        blanks = {**setup.job.blanks, "": model.Blank()}
        self._on = {key: self._together(made.on(blank)) for key, blank in blanks.items()}
        used = {key: blanks[key] for key in _used(setup.job)}
        self._dressing = {key: (on, self._ways(on)) for key, on in self._on.items()}
        self._glossed = any(not plate.bare for plate in self._gloss)
        self._warnings = [
            warned for key, blank in used.items() for n in range(len(self._fields))
            if (warned := made.warning(n, blank, self._on[key])) is not None
        ]  # fmt: skip
        self._covered = tuple(over_codes(self._places, self._pieces, file))
        self._warnings += [p for p in self._covered if p.severity == Severity.WARNING]
        self._warnings += self._on_art(used)
        self.reports: Counter[Problem] = Counter()
        self._kinds = {field.name: field for field in self._places.fields}
        self._notes: dict[tuple[str, int, float], Problem] = {}
        for on in self._on.values():
            self._take(on)
        self._limits = Limits(layout, dot, file)
        self._inside = tuple(self._keeps_inside(n) for n in range(len(self._fields)))
        self._at_once = {id(on): self._judges(on) for on in self._on.values()}

    # ------------------------------------------------------------ once a job

    def _gloss_plate(self, index: int) -> GlossPlate:
        plate = self._layout.plates[index]
        flood = outline.flood(self._layout, plate.bleed, self._file)
        between = pattern.between(self._setup, plate, flood[1]) if plate.pattern else ()
        gloss = GlossPlate(index, plate.cover, flood, self._pieces, self._plates, between)
        self._statics.update(gloss.statics)
        return gloss

    def _on_art(self, used: Iterable[str]) -> Iterator[Problem]:
        """Codes that lie on art on one of the blanks that are used, without a ground."""
        for n in range(len(self._fields)):
            if any(not self._on[key].near[n].ground for key in used):
                found = under_code(self._places, self._pieces, n)
                if found is not None:
                    yield found

    def _together(self, on: OnBlank) -> OnBlank:
        near = (field.together(at, on.whites) for field, at in zip(self._fields, on.near))
        return on._replace(near=tuple(near))

    def _ways(self, on: OnBlank) -> tuple[_Way, ...]:
        """How each field comes on a kind of blank, in painting order."""
        return tuple(
            (field.index, putting(field), near, above)
            for field, near, above in zip(self._fields, on.near, self._colour[1:])
        )

    def _take(self, on: OnBlank) -> None:
        """Static white of one kind of blank, and what is to be said about it."""
        for white in on.whites:
            self._statics.update(white.statics)
            for name, least in white.thin.items():
                self.reports[self._note(name, white.index, least)] = 1

    def _note(self, name: str, plate: int, least: float) -> Problem:
        key = (name, plate, least)
        if key not in self._notes:
            white, art = self._layout.plates[plate], name in self._files
            self._notes[key] = choke_note(name, self._kinds.get(name), white, least, art=art)
        return self._notes[key]

    def take_reports(self) -> tuple[Reduced, ...]:
        """What there is to say since the last call, each once; forgets it."""
        told = tuple(
            Reduced(*key, note) for key, note in self._notes.items() if note in self.reports
        )
        self.reports.clear()
        return told

    def _keeps_inside(self, n: int) -> bool:
        """Whether a field cannot pass the limits as long as its ink keeps to its box."""
        reach, field = self._places.reaches[n], self._fields[n]
        if isinstance(field, CodeVariable):
            return self._limits.holds_code(field.reach)
        return self._limits.holds(reach)

    def statics(self) -> Statics:
        """What every item shares: marks by key, for every kind of blank."""
        return Statics(dict(self._statics))

    def static_bounds(self) -> Bounds | None:
        """The box round all static ink of all plates, in item mm; None without any."""
        areas = [piece.area for piece in self._pieces]
        flooded = {
            white.index
            for on in self._on.values()
            for white in on.whites
            if white.cover in ("flood", "knockout")
        } | {gloss.index for gloss in self._gloss if gloss.cover in ("flood", "inverse")}
        for index in sorted(flooded):
            bleed = self._layout.plates[index].bleed
            areas.append(outline.flood(self._layout, bleed, self._file)[1])
        joined = geometry.union(areas)
        if joined.is_empty:
            return None
        bounds: Bounds = joined.bounds
        return bounds

    @property
    def gloss_alone(self) -> bool:
        """Whether anything is printed in gloss and nothing else, so that gloss must be seen."""
        inks = [ink for _, ink in self._printed()] + [piece.ink for piece in self._pieces]
        return any(ink.kind == "gloss" for ink in inks)

    def _printed(self) -> Iterator[tuple[str, Ink]]:
        """Each field's name with each of its inks."""
        for n, field in enumerate(self._places.fields):
            inks = (*self._places.all_inks(n), *self._places.styles[n])
            yield from ((field.name, ink) for ink in inks if ink is not None)

    def problems(self) -> list[Problem]:
        """Static ink that passes the item's outline and bleed or covers codes, and more ink than
        the print mode takes; nothing can be printed then."""
        fields = list(self._printed())
        limit = self._setup.mode.ink_limit
        heavy = over_limit(limit, self._pieces, fields, self._file)
        fading = [
            f.name for f, over in zip(self._places.fields, self._places.over_colour)
            if over and isinstance(f, model.PictureField) and f.soft_edges == "fade"
        ]  # fmt: skip
        soft = soft_over_colour(self._pieces, fading, self._file)
        covered = (p for p in self._covered if p.severity == Severity.ERROR)
        return [*self._limits.static_problems(self._pieces), *heavy, *soft, *covered]

    def warnings(self) -> list[Problem]:
        """What a person should know of the fields on the job's blanks before they are printed."""
        where = Where(file=self._file)
        return [w._replace(where=where._replace(field=w.where.field)) for w in self._warnings]

    # ------------------------------------------------------------ a record at a time

    def _of(self, blank: str) -> OnBlank:
        return self._on.get(blank) or self._on[""]

    def check(
        self, blank: str, fits: Sequence[FieldFit], pictures: Pictures | None = None
    ) -> Problem | None:
        """The reason why a record must be held before it takes a slot, or None.

        Kinds: ``no-ground``, ``no-white``, ``ink-outside``, ``ink-limit``, ``code-crossed``, and
        those of ``CraftCheck``.
        Without ``pictures`` a picture is taken to fill its box.
        """
        on = self._of(blank)
        if all(fits[n] is None or fine(fits[n]) for n, fine in self._at_once[id(on)]):
            return self._crossings.problem(fits, on.near, pictures) if self._crossings else None
        for n, field in enumerate(self._fields):
            fit = fits[field.index]
            if fit is None:
                continue
            if on.refused[n] is not None:
                return on.refused[n]
            if not self._holds(n, field, fit, on.near[n].ground, pictures):
                return self._limits.field_problem(self._places.fields[n].name)
            if isinstance(field, ColourLetters) and isinstance(fit, TextFit):
                limit, name = self._setup.mode.ink_limit, self._places.fields[n].name
                heavy = field.too_heavy(fit, limit, name)
                if heavy is not None:
                    return heavy
            if self._craft is not None and isinstance(fit, TextFit) and fit.runs:
                problem = self._fine(self._craft, n, field, fit, on)
                if problem is not None:
                    return problem
        return self._crossings.problem(fits, on.near, pictures) if self._crossings else None

    def _judges(self, on: OnBlank) -> list[tuple[int, Judge]]:
        def holds(n: int, fit: FieldFit) -> bool:
            return self._holds(n, self._fields[n], fit, on.near[n].ground, None)

        return judges(self._fields, self._inside, on, self._craft is not None, holds)

    def _fine(
        self, craft: CraftCheck, n: int, field: Variable, fit: TextFit, on: OnBlank
    ) -> Problem | None:
        """Whether a text is too fine for the machine."""
        if not isinstance(field, TextVariable):
            return None
        below = [on.whites[number].choke_texts for number, _ in on.near[n].under]
        lettering = field.lettering
        return craft.problem(
            self._places.fields[n].name, fit, field.ink, below, lettering.bounds(fit.ink),
            lambda: lettering.area(fit), field.edges,
        )

    def _holds(
        self, n: int, field: Variable, fit: FieldFit, ground: bool, pictures: Pictures | None
    ) -> bool:
        """Whether a field's ink keeps within the limits."""
        limits, inside = self._limits, self._inside[n]
        if isinstance(field, TextVariable) and isinstance(fit, TextFit):
            lettering = field.lettering
            if not fit.runs or (inside and lettering.inside(fit.ink)):
                return True
            return limits.holds_ink(lettering.bounds(fit.ink), lambda: lettering.area(fit))
        if isinstance(field, CodeVariable) and isinstance(fit, CodeFit):
            bounds = field.snapper.bounds(fit, ground)
            return (inside and field.reaches(bounds)) or limits.holds_code(bounds)
        if isinstance(field, PictureVariable) and isinstance(fit, PictureFit) and not inside:
            return pictures is not None and limits.holds(field.area(field.find(fit, pictures)))
        return True

    def dress(
        self,
        key: str,
        blank: str,
        fits: Sequence[FieldFit],
        placement: Placement,
        pictures: Pictures,
    ) -> Item:
        """The marks of one record in one slot."""
        on, ways = self._dressing.get(blank) or self._dressing[""]
        sheet = self._put(Sheet(on.whites, False), ways, fits, placement, pictures)
        if sheet.loose:
            sheet = self._put(Sheet(on.whites, True), ways, fits, placement, pictures)
        marks = sheet.colour
        if sheet.layers:
            marks += self._white(sheet)
        else:
            marks += on.idle
        marks += sheet.alone
        if sheet.glossy or self._glossed:
            marks += sheet.gloss(self._gloss)
        return Item(key, tuple(marks))

    def _white(self, sheet: Sheet) -> list[Mark]:
        """The white plates of a record that has more than static white."""
        marks: list[Mark] = []
        for number, plate in enumerate(sheet.whites):
            layer = sheet.layers.get(number)
            if layer is None:
                marks += plate.idle
                continue
            for waiting in layer.settle():
                thing = waiting.thing
                wanted = layer.plate.choke if waiting.wanted is None else waiting.wanted
                if thing.role == "under" and thing.least < wanted:
                    self._report(waiting.field, layer.plate.index, thing.least)
            marks += layer.marks()
        return marks

    def _put(
        self,
        sheet: Sheet,
        ways: Sequence[_Way],
        fits: Sequence[FieldFit],
        placement: Placement,
        pictures: Pictures,
    ) -> Sheet:
        """The sheet with the marks of all fields on it."""
        report, colour = self._report, sheet.colour
        colour += self._colour[0]
        for index, put, near, above in ways:
            fit = fits[index]
            if fit is not None:
                put(sheet, fit, near, placement, pictures, report)
            colour += above
        return sheet

    def _report(self, field: int, plate: int, least: float) -> None:
        self.reports[self._note(self._layout.fields[field].name, plate, least)] += 1


def _used(job: model.Job) -> Sequence[str]:
    """The keys of the blanks that a product is printed on, "" where the job has none."""
    one = job.blank
    return (one,) if one in job.blanks else tuple(job.blanks) or ("",)
