"""The variable fields of a layout in their places: what they are printed with, where they
may print, what lies below them.

In: a layout and its static pieces. Out: ``Places``, worked out once a job, from which static
marks, the fields themselves and the white of every kind of blank are made. Fields are
numbered as they follow each other, shapes left out.
"""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry.base import BaseGeometry

from vardata.dress import geometry
from vardata.dress.codefield import CodeVariable, reach, spare
from vardata.dress.colourletters import ColourLetters, layer_inks
from vardata.dress.curvelettering import CurveLettering
from vardata.dress.decoration import Decoration, Part
from vardata.dress.framing import framing
from vardata.dress.ink import NO_INK, Ink, Plates
from vardata.dress.layeredtext import DecoratedLettering, LayeredText
from vardata.dress.lettering import Lettering
from vardata.dress.mirroredlettering import MirroredLettering
from vardata.dress.paintedtext import PaintedText
from vardata.dress.picturefield import PictureVariable
from vardata.dress.piece import Piece
from vardata.dress.styledtext import StyledVariable
from vardata.dress.text import Texts
from vardata.dress.variable import TextVariable, Variable
from vardata.job import model
from vardata.job.owncolours import takes_layers
from vardata.job.textstyle import Contour, Outline, Shadow
from vardata.marks import BLACK, Mark, Ref
from vardata.problems import JobError, fail

_SLIVER = 1e-6  # mm2
VariableField = model.TextField | model.CodeField | model.PictureField


class Places:
    """All variable fields: ``fields[n]`` has index ``indices[n]`` in the layout; ``inks[n]`` is
    its own ink, ``parts[n]`` are those of what is drawn round its letters. ``printed``: the
    bed itself has colour below the items."""

    def __init__(
        self,
        layout: model.Layout,
        mode: model.PrintMode,
        plates: Plates,
        pieces: Sequence[Piece],
        file: str,
        printed: bool = False,
    ) -> None:
        self._layout, self._mode, self._plates, self._file = layout, mode, plates, file
        self._pieces, self._printed = pieces, printed
        self._spare = spare(mode)
        variable = [
            (i, f) for i, f in enumerate(layout.fields) if not isinstance(f, model.ShapeField)
        ]
        self.indices = tuple(i for i, _ in variable)
        self.fields: tuple[VariableField, ...] = tuple(f for _, f in variable)
        self.reaches = tuple(self._reach(field) for field in self.fields)
        self.inks = tuple(self._ink(field) for field in self.fields)
        self.parts = tuple(self._parts(field) for field in self.fields)
        self.styles = tuple(self._styles(field) for field in self.fields)
        self.over_colour = tuple(self._over_colour(n) for n in range(len(self.fields)))

    def _reach(self, field: VariableField) -> BaseGeometry:
        """Where a field prints as long as its ink keeps to its box."""
        if isinstance(field, model.CodeField):
            return geometry.rectangle(reach(field, self._mode))
        x, y, w, h = field.box
        box = geometry.rectangle((-w / 2, -h / 2, w / 2, h / 2))
        return geometry.placed(box, x + w / 2, y + h / 2, field.rotation)

    def _ink(self, field: VariableField) -> Ink:
        key = f"fields.{field.name}"
        if isinstance(field, model.PictureField):
            return self._plates.of_paint(BLACK, key)
        ink = self._plates.ink(field.colour, f"{key}.colour")
        if isinstance(field, model.CodeField):
            self._check_code(field, ink, key)
        return ink

    def _parts(self, field: VariableField) -> dict[Part, Ink]:
        if not isinstance(field, model.TextField):
            return {}
        drawn: dict[Part, Contour | Shadow | Outline | None] = {
            "contour": field.contour, "shadow": field.shadow, "outline": field.outline,
        }  # fmt: skip
        return {
            part: self._plates.ink(one.colour, f"fields.{field.name}.{part}.colour")
            for part, one in drawn.items() if one is not None
        }  # fmt: skip

    def _styles(self, field: VariableField) -> tuple[Ink | None, ...]:
        """The inks of a text's styles; None for that of the field."""
        styles = field.styles if isinstance(field, model.TextField) else {}
        return tuple(
            None if style.colour is None
            else self._process(field, style.colour, f"styles.{name}.colour")
            for name, style in styles.items()
        )  # fmt: skip

    def all_inks(self, n: int) -> tuple[Ink, ...]:
        """Every ink of field n, but for those that a record chooses, which are like its own."""
        return (self.inks[n], *self.parts[n].values())

    def coloured(self, n: int) -> bool:
        """Whether field n prints process inks."""
        return any(ink.kind == "colour" for ink in self.all_inks(n))

    def _check_code(self, field: model.CodeField, ink: Ink, key: str) -> None:
        if ink.kind == "white" and field.ground == "always":
            raise fail(
                JobError,
                "white-on-white",
                "a code in white ink on a white ground cannot be read",
                'choose another colour, or set ground = "never"',
                file=self._file,
                key=f"{key}.ground",
            )
        if field.rotation % 90.0 != 0.0:
            raise fail(
                JobError,
                "code-turn",
                f"a code turned by {field.rotation:g} degrees in its item leaves the dots",
                "turn the field, and its slots, by whole quarter turns",
                file=self._file,
                key=f"{key}.rotation",
            )

    def _over_colour(self, n: int) -> bool:
        """Whether colour may have been painted where field n prints. Boxes that only touch,
        or overlap by the dots that a code may be moved, do not count."""
        if self._printed:
            return True
        area = self.box(n)
        below = [p.area for p in self._pieces if p.after <= n and p.ink.kind == "colour"]
        below += [self.box(m) for m in range(n) if self.coloured(m)]
        return any(share(area, other) for other in below)

    def box(self, n: int) -> BaseGeometry:
        """Where field n prints, without the dots that a code may be moved."""
        return self.reaches[n].buffer(-self._spare if self._is_code(n) else 0.0)

    def _is_code(self, n: int) -> bool:
        return isinstance(self.fields[n], model.CodeField)

    def clear_of_codes(self, n: int) -> bool:
        """Whether field n lies where no code of the layout may come, nor its quiet zone."""
        return not any(
            self._is_code(m) and m != n and self.reaches[n].intersects(self.reaches[m])
            for m in range(len(self.fields))
        )

    def amid_colour(self, n: int) -> bool:
        """Whether static colour lies below field n wherever it prints."""
        below = geometry.union(
            p.area for p in self._pieces if p.after <= n and p.ink.kind == "colour"
        )
        amid: bool = below.covers(self.reaches[n])
        return amid

    def variable(self, n: int, texts: Texts) -> Variable:
        """Field n as what dresses records."""
        made = self._variable(n, texts)
        made.density = self.fields[n].white_density / 100
        return made

    def _variable(self, n: int, texts: Texts) -> Variable:
        field, index, ink = self.fields[n], self.indices[n], self.inks[n]
        colour, over = self._plates.colour, self.over_colour[n]
        if isinstance(field, model.TextField):
            lettering = _lettering(field, texts)
            text = self._text(n, field, lettering, texts)
            if any(self.styles[n]) and not self.parts[n]:
                return StyledVariable(text, self.styles[n], colour)
            if takes_layers(self._layout, field) and texts.has_layers():
                return self._coloured_letters(n, field, text, texts)
            return text
        if isinstance(field, model.CodeField):
            return CodeVariable(index, field, ink, colour, over, texts, self._layout, self._mode)
        return PictureVariable(
            index, field, framing(field, self._mode), colour, over
        )

    def _text(
        self, n: int, field: model.TextField, lettering: Lettering, texts: Texts
    ) -> TextVariable:
        """A text field without regard to the colours of its styles."""
        index, ink, over = self.indices[n], self.inks[n], self.over_colour[n]
        if self.parts[n]:
            return self._layered(n, field, lettering, texts)
        if field.colours:
            inks = [self._chosen(field, value) for value in field.colours]
            return PaintedText(index, lettering, ink, inks, self._plates.colour, over)
        return TextVariable(index, lettering, ink, self._plates.colour, over)

    def _coloured_letters(
        self, n: int, field: model.TextField, text: TextVariable, texts: Texts
    ) -> ColourLetters:
        """A text whose letters may have colours of their own."""
        inks = [self.inks[n], *(self._chosen(field, value) for value in field.colours)]
        paints = [ink.paint for ink in inks]
        made = layer_inks(self._plates, f"fields.{field.name}")
        return ColourLetters(text, texts, made, paints, self._plates.colour)

    def _layered(
        self, n: int, field: model.TextField, plain: Lettering, texts: Texts
    ) -> LayeredText:
        """A text with more than its letters."""
        inks = [self.inks[n], *(self._chosen(field, value) for value in field.colours)]
        decoration = Decoration(field, field.mirror)
        lettering = DecoratedLettering(field.box, field.rotation, texts, plain, decoration)
        return LayeredText(
            self.indices[n], lettering, inks, self.parts[n], self._plates.colour,
            self.over_colour[n], self.styles[n],
        )  # fmt: skip

    def _chosen(self, field: model.TextField, value: str) -> Ink:
        """One ink of a field's table."""
        return self._process(field, field.colours[value], f"colours.{value}")

    def _process(self, field: VariableField, wanted: model.Colour, at: str) -> Ink:
        """One of several colours of a text's letters."""
        assert isinstance(field, model.TextField)
        key = f"fields.{field.name}.{at}"
        ink = self._plates.ink(wanted, key)
        own = self._plates.ink(field.colour, f"fields.{field.name}.colour")
        if ink.kind != "colour" or own.kind != "colour":
            what = "a colour that a record chooses is of process inks, and so is the field's own"
            if at.startswith("styles"):
                what = "the colour of a style is of process inks, and so is the field's own"
            remedy = "write it as a name such as blue, as #rrggbb or as [c, m, y, k]"
            raise fail(JobError, "bad-colour", what, remedy, file=self._file, key=key)
        return ink

    def static_colour(self, statics: dict[str, tuple[Mark, ...]]) -> tuple[tuple[Mark, ...], ...]:
        """References to static marks on the colour plates, painted before field 0, 1, ... and
        after the last; the marks themselves go into ``statics``."""
        groups: list[tuple[Mark, ...]] = []
        below: list[BaseGeometry] = [p.area for p in self._pieces] if self._printed else []
        for n in range(len(self.fields) + 1):
            if n and self.coloured(n - 1):
                below.append(self.reaches[n - 1])
            marks: dict[int, list[Mark]] = {plate: [] for plate in self._plates.colour}
            for piece in self._pieces:
                if piece.after == n:
                    _paint(piece, marks, below)
            refs = []
            for plate, painted in marks.items():
                if painted:
                    key = f"p{plate}-art" + (f"-{n}" if n else "")
                    statics[key] = tuple(painted)
                    refs.append(Ref(plate, key))
            groups.append(tuple(refs))
        return tuple(groups)


def share(one: BaseGeometry, other: BaseGeometry) -> bool:
    """Whether two areas have more in common than an edge."""
    shared: bool = one.intersection(other).area > _SLIVER
    return shared


def _lettering(field: model.TextField, texts: Texts) -> Lettering:
    kind = CurveLettering if field.arc is not None or field.along else Lettering
    if field.mirror:
        return MirroredLettering(field.box, field.rotation, texts, kind)
    return kind(field.box, field.rotation, texts)


def _paint(piece: Piece, marks: dict[int, list[Mark]], below: list[BaseGeometry]) -> None:
    """A piece in colour; white ink takes out the colour below it."""
    paint = piece.ink.paint
    if piece.ink.kind == "colour":
        below.append(piece.area)
    elif piece.ink.kind == "white" and any(piece.area.intersects(b) for b in below):
        paint = NO_INK
    else:
        return
    for plate, painted in marks.items():
        painted.append(piece.mark(plate, paint))
