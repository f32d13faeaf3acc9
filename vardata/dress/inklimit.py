"""Total ink: is anything printed with more than the print mode takes?

In: a layout's static pieces, the inks of its fields, the limit in percent, 400 being all four
process inks in full. Out: a problem for each thing above it. RGB that is kept as it is counts as
what the machine's profile makes of it; without a profile nobody knows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vardata.dress.ink import Ink
from vardata.dress.piece import Piece
from vardata.problems import Problem, Severity, Where

SLACK = 0.5  # percent: rounding of 8-bit pixels
LIGHTER = "choose a lighter colour, or convert the picture for this machine"


def over_limit(
    limit: float | None, pieces: Sequence[Piece], fields: Sequence[tuple[str, Ink]], file: str
) -> Iterator[Problem]:
    """Each thing is named once, with the most ink that it has."""
    if limit is None:
        return
    most: dict[str, float] = {}
    for piece in pieces:
        ink = piece.picture.picture.heaviest if piece.picture else _total(piece.ink)
        most[piece.name] = max(most.get(piece.name, 0.0), ink)
    for name, used in fields:
        most[name] = max(most.get(name, 0.0), _total(used))
    for name, ink in most.items():
        if ink > limit + SLACK:
            yield Problem(
                "ink-limit",
                Severity.ERROR,
                f"{name!r} {too_much(ink, limit)}",
                LIGHTER,
                Where(file=file),
            )


def too_much(ink: float, limit: float) -> str:
    """What is wrong, without the name of the thing."""
    return f"has {ink:.0f} % of ink, and the print mode takes at most {limit:g} %"


def unjudged(what: str, where: Where) -> Problem:
    """The warning that an ink limit says nothing about RGB."""
    said = f"nobody knows how much ink the RGB of this {what} becomes, so no ink limit is kept"
    remedy = 'name the "profile" of the machine under [output], or convert it to its inks'
    return Problem("ink-unjudged", Severity.WARNING, said, remedy, where)


def _total(ink: Ink) -> float:
    return 100.0 * sum(ink.paint) if ink.kind == "colour" else 0.0
