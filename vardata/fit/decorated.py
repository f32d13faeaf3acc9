"""Texts with an outline, a contour or a shadow: they fit if all of that lies in the box.

In: how a text is fitted into a box, and the room that its decoration takes. Out: the same for the
whole box. What is drawn round the letters is mm wide, whatever their size, so the letters are
fitted into what is left of the box.
"""

from __future__ import annotations

from collections.abc import Callable

from vardata.fit.result import FieldFit, TextFit
from vardata.job.model import TextField
from vardata.job.textstyle import Margins, margins
from vardata.problems import Problem

Fitted = FieldFit | Problem
FitOne = Callable[[str], Fitted]


def room_of(field: TextField) -> Margins:
    """The room round the letters. Letters on a line that bends keep the middle of their box, so
    they have the same room on every side."""
    room = margins(field)
    return Margins(*[max(room)] * 4) if field.arc is not None or field.along else room


def inner(field: TextField) -> TextField:
    """The field with what is left of its box for letters."""
    left, bottom, right, top = room_of(field)
    x, y, w, h = field.box
    box = (x + left, y + bottom, w - left - right, h - bottom - top)
    return field.model_copy(update={"box": box})


class DecoratedFitter:
    """Fits texts of a field by what fits them into its inner field."""

    def __init__(self, field: TextField, fitter: Callable[[TextField], FitOne]) -> None:
        self._room = room_of(field)
        self.field = inner(field)
        self.fit = fitter(self.field)

    def __call__(self, text: str) -> Fitted:
        return self.whole(self.fit(text))

    def whole(self, found: Fitted) -> Fitted:
        """The same in the whole box."""
        return moved(found, self._room) if isinstance(found, TextFit) else found


def moved(fit: TextFit, room: Margins) -> TextFit:
    """A fit of the inner box in the whole box; its ink is that of the decoration too."""
    left, bottom, right, top = room
    runs = tuple(
        run._replace(x=round(run.x + left, 4), y=round(run.y + bottom, 4)) for run in fit.runs
    )
    x0, y0, x1, y1 = fit.ink
    return fit._replace(runs=runs, ink=(x0, y0, x1 + left + right, y1 + bottom + top))
