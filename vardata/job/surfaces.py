"""Which way round each plate of a layout is printed, and in which order plates are laid down.

In: a layout. Out: plate numbers (places in the layout's list). A first surface is looked at
from the printed side: white, colour, gloss. A second surface is looked at through a clear
blank: everything mirrored, colour before white (common practice, no source). A sandwich has
two plates of the process inks with white between them.
"""

from __future__ import annotations

from typing import Literal

from vardata.job.layout import Layout
from vardata.job.plate import Plate

Surface = Literal["first", "second", "both"]

_LAID = {"first": ("white", "colour", "gloss"), "second": ("colour", "white", "gloss")}


def covers(plate: Plate) -> bool:
    """Whether a plate is white that lies under art or all over: it hides what is behind it."""
    return plate.role == "white" and plate.cover != "none"


def surface_of(layout: Layout) -> Surface:
    """The surface as stated; else the order of the plates says whether colour or white is first."""
    if layout.surface is not None:
        return layout.surface
    if not layout.plate_order or _colours(layout) != 1:
        return "first"
    laid = [layout.plates[i] for i in laid_order(layout)]
    colour = [plate.role for plate in laid].index("colour")
    before, after = any(map(covers, laid[:colour])), any(map(covers, laid[colour:]))
    return "second" if after and not before else "first"


def laid_order(layout: Layout) -> tuple[int, ...]:
    """All plates in the order in which they are laid on the blank."""
    plates = layout.plates
    numbers = range(len(plates))
    if layout.plate_order:
        names = {name: place for place, name in enumerate(layout.plate_order)}
        return tuple(sorted(numbers, key=lambda i: names.get(plates[i].name, len(names))))
    if _colours(layout) > 1:
        return tuple(numbers)
    ranks = _LAID["second" if layout.surface == "second" else "first"]
    return tuple(sorted(numbers, key=lambda i: ranks.index(plates[i].role)))


def mirrored_plates(layout: Layout) -> frozenset[int]:
    """The plates that are printed mirrored: all of a second surface; of a sandwich that is seen
    from both sides, what is laid down before the white."""
    surface = surface_of(layout)
    if surface == "second":
        return frozenset(range(len(layout.plates)))
    if surface == "both":
        return frozenset(_before_white(layout))
    return frozenset()


def face_down(layout: Layout) -> bool:
    """Whether items are looked at through the blank, so that they lie on their face."""
    return surface_of(layout) == "second"


def unseen_plates(layout: Layout) -> frozenset[int]:
    """Plates of a sandwich that its white hides from whoever looks at the item's front; they
    are seen from behind, or when light shines through."""
    if _colours(layout) < 2:
        return frozenset()
    laid = laid_order(layout)
    white = [place for place, i in enumerate(laid) if covers(layout.plates[i])]
    if not white:
        return frozenset()
    hidden = laid[white[0] :] if face_down(layout) else laid[: white[-1]]
    return frozenset(i for i in hidden if layout.plates[i].role == "colour")


def _before_white(layout: Layout) -> tuple[int, ...]:
    laid = laid_order(layout)
    white = [place for place, i in enumerate(laid) if layout.plates[i].role == "white"]
    return laid[: white[0]] if white else ()


def _colours(layout: Layout) -> int:
    return sum(plate.role == "colour" for plate in layout.plates)
