"""Total ink: is anything printed with more than the print mode takes?

In: a layout's static pieces, the inks of its fields, the limit in percent, 400 being all four
process inks in full. Out: a problem for each thing above it. RGB pictures that are kept as they
are cannot be judged, nor placed pages: what becomes of them is the machine's own doing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vardata.dress.ink import Ink
from vardata.dress.piece import Piece
from vardata.problems import Problem, Severity, Where

_SLACK = 0.5  # percent: rounding of 8-bit pixels


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
        if ink > limit + _SLACK:
            yield Problem(
                "ink-limit",
                Severity.ERROR,
                f"{name!r} has {ink:.0f} % of ink, and the print mode takes at most {limit:g} %",
                "choose a lighter colour, or convert the picture for this machine",
                Where(file=file),
            )


def _total(ink: Ink) -> float:
    return 100.0 * sum(ink.paint) if ink.kind == "colour" else 0.0
