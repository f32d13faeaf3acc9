"""Pictures that fade over other colour, which they would take out: ink here is opaque.

In: static pieces, the picture fields that may lie over colour. Out: a problem for each. Placed
pages are left alone, since they keep their own transparency.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from vardata.dress.piece import Piece
from vardata.problems import Problem, Severity, Where

_SLIVER = 1e-6  # mm2


def soft_over_colour(
    pieces: Sequence[Piece], fields: Iterable[str], file: str
) -> Iterator[Problem]:
    """Each picture is named once."""
    told: set[str] = set()
    for n, piece in enumerate(pieces):
        if piece.picture is None or piece.name in told:
            continue
        soft = piece.picture.picture.soft
        if soft is None or not soft.fades:
            continue
        below = (p.area for p in pieces[:n] if p.ink.kind == "colour" and p.after <= piece.after)
        if any(piece.area.intersection(area).area > _SLIVER for area in below):
            told.add(piece.name)
            yield _fault(piece.name, file)
    for name in fields:
        yield _fault(name, file)


def _fault(name: str, file: str) -> Problem:
    what = f"{name!r} fades out over other colour, and its soft edges would take that out"
    remedy = 'place it on bare material, or write soft_edges = "tint"'
    return Problem("soft-over-colour", Severity.ERROR, what, remedy, Where(file=file))
