"""Which plates a colour is printed on, and which plates print white on which blank.

In: a layout's plates, a colour as a person wrote it, a blank. Out: plate numbers. Rulings:
a plate's own name puts a thing on that plate at full tint; a colour without any process ink
(white) is white ink; process colour goes on every colour plate.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from vardata.dress import colour
from vardata.job import model
from vardata.marks import Blend, Cmyk, Paint, Step
from vardata.problems import JobError, Where, fail

_PARTS = 16  # of a stretch of a blend that a profile bends
NO_INK = Cmyk(0.0, 0.0, 0.0, 0.0)  # on a colour plate: takes out what lies below
Cover = Literal["none", "art", "flood", "knockout", "fields", "inverse"]


class Ink(NamedTuple):
    """What a thing is printed with.

    ``colour``: ``paint`` on the colour plates. ``white``: tint 1 on ``plates``, or on the
    blank's white plates if that is empty, and no colour under it. ``gloss``: on ``plates``.
    """

    kind: Literal["colour", "white", "gloss"]
    paint: Cmyk
    plates: tuple[int, ...] = ()


class Plates:
    """The plates of a layout by role. ``file`` is the layout's name in messages; colours that
    are RGB are converted by the ICC ``profile`` of that path, if there is one."""

    def __init__(self, layout: model.Layout, file: str = "", profile: str = "") -> None:
        self.all = layout.plates
        self._file = file
        self._profile = profile
        self.colour, self.white, self.gloss = (
            tuple(i for i, plate in enumerate(layout.plates) if plate.role == role)
            for role in ("colour", "white", "gloss")
        )

        self._colours = {
            i: frozenset(
                _rounded(self._printed(colour.parse(wanted, Where(file=file, key=key))))
                for key in (f"plates.{plate.name}.colours",)
                for wanted in plate.colours
            )
            for i, plate in enumerate(layout.plates)
        }

    def takes(self, plate: int, paint: Cmyk | None, *, text: bool) -> bool:
        """Whether a white or gloss plate follows a thing of this colour (None: a picture)."""
        under = self.all[plate].under
        if under != "all" and (under == "texts") != text:
            return False
        wanted = self._colours[plate]
        return not wanted or (paint is not None and _rounded(paint) in wanted)

    def ink(self, wanted: model.Colour, key: str) -> Ink:
        """The ink of a colour. Raises ``JobError`` if it is unknown or has no plate."""
        if isinstance(wanted, str):
            for i, plate in enumerate(self.all):
                if plate.name == wanted and plate.role == "white":
                    return Ink("white", NO_INK, (i,))
                if plate.name == wanted and plate.role == "gloss":
                    return Ink("gloss", NO_INK, (i,))
        return self.of_paint(colour.parse(wanted, Where(file=self._file, key=key)), key)

    def of_paint(self, paint: Cmyk | None, key: str) -> Ink:
        """The ink of art: None and no process ink at all stand for white ink."""
        kind: Literal["colour", "white"] = "colour"
        if paint is None or not any(paint):
            kind, paint = "white", NO_INK
        paint = self._printed(paint)
        if not (self.colour if kind == "colour" else self.white):
            raise fail(
                JobError,
                f"no-{kind}-plate",
                f'this needs {kind} ink, and the layout has no plate with role "{kind}"',
                f'add a [[plates]] with role = "{kind}"',
                file=self._file,
                key=key,
            )
        return Ink(kind, paint)

    def _printed(self, paint: Cmyk) -> Cmyk:
        """The inks that are printed for a colour."""
        if not self._profile or not isinstance(paint, colour.FromRgb):
            return paint
        from vardata.dress import icc

        return icc.inks(paint, self._profile)

    def of_blend(self, blend: Blend) -> Blend:
        """The blend in the inks that are printed for it. What a profile makes of red, green and
        blue is no straight line, so a stretch becomes ``_PARTS`` of them."""
        if not self._profile:
            return blend
        steps: list[Step] = []
        for step in blend.steps:
            if not all(isinstance(paint, colour.FromRgb) for paint in step[2:]):
                steps.append(step)
                continue
            # In a stretch the split inks change in straight lines, as red, green and blue do.
            paints = [self._printed(_between(step, i / _PARTS)) for i in range(_PARTS + 1)]
            places = [
                step.start + (step.end - step.start) * i / _PARTS for i in range(_PARTS + 1)
            ]
            steps += map(Step, places, places[1:], paints, paints[1:])
        return blend._replace(steps=tuple(steps))

    def marks_on(self, ink: Ink) -> tuple[tuple[int, Paint], ...]:
        """Colour plates and paints for process ink."""
        return tuple((i, ink.paint) for i in self.colour)

    def covers(self, blank: model.Blank | None) -> dict[int, Cover]:
        """The cover of each white plate on a blank.

        A blank's own wish holds for every plate that covers anything of its own accord, or
        for the first white plate if none does.
        """
        covers: dict[int, Cover] = {i: self.all[i].cover for i in self.white}
        wish = blank.white if blank is not None else "layout"
        if wish == "none":
            return dict.fromkeys(covers, "none")
        if wish != "layout" and covers:
            chosen = [i for i, cover in covers.items() if cover != "none"] or [self.white[0]]
            covers.update(dict.fromkeys(chosen, wish))
        return covers

    def inked(self, blank: model.Blank | None) -> tuple[int, ...]:
        """The white plates that grounds and white ink go on: those that cover anything, or
        the first; none at all on a blank that wants no white."""
        if blank is not None and blank.white == "none":
            return ()
        covers = self.covers(blank)
        return (
            tuple(i for i, cover in covers.items() if cover != "none" and self._for_all(i))
            or self.white[:1]
        )

    def _for_all(self, plate: int) -> bool:
        """Whether a white plate is for more than texts or some colours."""
        return self.all[plate].under != "texts" and not self.all[plate].colours

    def white_plates(self, ink: Ink, blank: model.Blank | None) -> tuple[int, ...]:
        """Where a thing in white ink is printed on a blank."""
        if blank is not None and blank.white == "none":
            return ()
        return ink.plates or self.inked(blank)


def _between(step: Step, share: float) -> Cmyk:
    if share in (0.0, 1.0):
        return step.last if share else step.first
    parts = (one + (other - one) * share for one, other in zip(step.first, step.last))
    return colour.FromRgb(*(round(part, 4) for part in parts))


def _rounded(paint: Cmyk) -> Cmyk:
    return Cmyk(*(round(part, 4) for part in paint))
