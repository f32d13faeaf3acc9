"""What there is to say where a choke was reduced because something is too thin for it.

In: the field or art, the white plate, the smallest choke that was used. Out: a note.
"""

from __future__ import annotations

from typing import NamedTuple

from vardata.job import model
from vardata.problems import Problem, Severity, Where


class Reduced(NamedTuple):
    """A choke that was reduced: the field's or art's name, the plate's number, mm, the note."""

    name: str
    plate: int
    least: float
    note: Problem


def choke_note(
    name: str, field: model.AnyField | None, white: model.Plate, least: float, *, art: bool
) -> Problem:
    """The note on a field (None: art or a shape), with lengths as exact as anybody needs them."""
    wanted = white.inwards_at_texts if isinstance(field, model.TextField) else white.choke
    thin = "modules" if isinstance(field, model.CodeField) else "strokes"
    return Problem(
        "choke-reduced",
        Severity.NOTE,
        f"on plate {white.name!r} the choke of {wanted:.3g} mm is reduced to as little as "
        f"{least:.3g} mm where {thin} are too thin for it",
        where=Where(file=name) if art else Where(field=name),
    )
