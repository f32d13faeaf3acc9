"""Static print and codes: shapes that cover them, art below them that readers cannot see past.

In: the places of a layout's fields, its static pieces, a kind of blank. Out: ``Problem`` values of
the layout, decided once and not by record: static print lies where it lies, and a code somewhere
in its box. Gloss and white do no harm below a code; variable print is ``crossings``' to judge.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shapely import affinity
from shapely.geometry.base import BaseGeometry

from vardata.dress import geometry
from vardata.dress.contrast import WHITE, contrast, grade, ink_seen
from vardata.dress.piece import Piece
from vardata.dress.places import Places, share
from vardata.job import model
from vardata.job.symbologies import SYMBOLOGIES
from vardata.problems import Problem, Severity, Where

_MIDDLE = 0.5  # of a code's box, each way: no code that fills less leaves this part free
_GROUND = 'write ground = "always" for the code, or lay a plain light shape between them'


def over_codes(places: Places, pieces: Sequence[Piece], file: str) -> Iterator[Problem]:
    """Shapes that are printed over the box of a code: errors (``code-covered``) where they cover
    its middle, else warnings. A logo in a window is none."""
    for n, field in enumerate(places.fields):
        if not isinstance(field, model.CodeField):
            continue
        box = places.box(n)
        found: dict[str, list[BaseGeometry]] = {}
        for piece in pieces:
            if piece.after > n and piece.ink.kind != "gloss" and share(piece.area, box):
                found.setdefault(piece.name, []).append(piece.area)
        hole = affinity.scale(box, field.window / 100, field.window / 100)
        for name, areas in found.items():
            area = geometry.union(areas)
            if not field.window or not hole.covers(area):
                yield _covered(name, field.name, share(area, _middle(box)), file)


def _middle(box: BaseGeometry) -> BaseGeometry:
    return affinity.scale(box, _MIDDLE, _MIDDLE)


def _covered(name: str, code: str, whole: bool, file: str) -> Problem:
    where = Where(file=file, field=name)
    if whole:
        what = f"it is printed over the code {code!r}"
        remedy = "move one of the two, or list the shape before the code"
        return Problem("code-covered", Severity.ERROR, what, remedy, where)
    what = f"it is printed over a part of the box of the code {code!r}"
    remedy = "move one of the two, list the shape before the code, or look at a proof"
    return Problem("code-covered", Severity.WARNING, what, remedy, where)


def under_code(places: Places, pieces: Sequence[Piece], n: int) -> Problem | None:
    """A warning (``art-under-code``) where code n, without a ground, lies on art that it does not
    stand out from, or whose colours nobody knows. What lies topmost counts."""
    field, ink = places.fields[n], places.inks[n]
    if not isinstance(field, model.CodeField) or ink.kind != "colour":
        return None
    bare = places.box(n)
    for m in reversed(range(n)):
        if isinstance(places.fields[m], model.PictureField) and share(places.box(m), bare):
            return _unsure(field, places.fields[m].name)
    modules, matrix = ink_seen(ink.paint, WHITE), SYMBOLOGIES[field.symbology].matrix
    for piece in reversed([p for p in pieces if p.after <= n and p.ink.kind != "gloss"]):
        if not share(piece.area, bare):
            continue
        bare = bare.difference(piece.area)
        if piece.ink.kind == "white":
            continue
        if piece.colour is None:
            return _unsure(field, piece.name)
        found = contrast(modules, ink_seen(piece.colour, WHITE))
        if grade(found.camera if matrix else found.red) < 2:
            what = f"it hardly stands out from {piece.name!r}, on which it lies without a ground"
            return _warned(field, what)
    return None


def _unsure(field: model.CodeField, name: str) -> Problem:
    what = f"it lies on the picture {name!r} without a ground, so it may not stand out everywhere"
    return _warned(field, what)


def _warned(field: model.CodeField, what: str) -> Problem:
    where = Where(field=field.name)
    return Problem("art-under-code", Severity.WARNING, what, _GROUND, where)
