"""Rules over the order of a layout's plates and the surface that they are printed on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from vardata.job.claims import Claim
from vardata.job.found import clipped
from vardata.job.lines import KeyPath
from vardata.job.model import Layout
from vardata.job.near import choose
from vardata.job.surfaces import covers, laid_order, surface_of
from vardata.job.toml import Source


def order_claims(
    source: Source, path: KeyPath, kind: str, order: Iterable[str], layout: Layout
) -> Iterator[Claim]:
    """A list that has to name every plate of the layout once."""
    plates, order = [plate.name for plate in layout.plates], tuple(order)
    for index, name in enumerate(order):
        if name not in plates:
            what = f"the layout {layout.name!r} has no plate {clipped(name)}"
            yield Claim(source, (*path, index), "unknown-plate", what, choose(name, plates), name)
        elif name in order[:index]:
            what = f"the plate {name!r} comes twice"
            yield Claim(source, (*path, index), kind, what, "keep one of them", name)
    left = [name for name in plates if name not in order]
    if left and len(order) < len(plates):
        what = f"the plate {left[0]!r} is left out" if len(left) == 1 else (
            f"the plates {', '.join(left)} are left out"
        )  # fmt: skip
        yield Claim(source, path, kind, what, "name every plate once")


def surface_claims(layout: Layout, source: Source) -> Iterator[Claim]:
    """The order of plates, and whether white hides the colour that is to be seen."""
    if layout.plate_order:
        found = list(order_claims(
            source, ("plate_order",), "plate-order", layout.plate_order, layout
        ))  # fmt: skip
        yield from found
        if found:
            return
    laid = [layout.plates[i] for i in laid_order(layout)]
    colour = [place for place, plate in enumerate(laid) if plate.role == "colour"]
    for one, other in pairwise(colour):
        if not any(plate.role == "white" for plate in laid[one:other]):
            what = (
                f"the colour plates {laid[one].name!r} and {laid[other].name!r} are laid down with "
                "no white plate between them"
            )
            remedy = 'keep one, or put a white plate between them with "plate_order"'
            yield Claim(source, ("plates",), "colour-plates", what, remedy)
            return
    if surface_of(layout) == "both":
        yield from _both(layout, source, len(colour))
    elif len(colour) == 1:
        yield from _hidden(layout, source, colour[0])


def _both(layout: Layout, source: Source, colours: int) -> Iterator[Claim]:
    path: KeyPath = ("surface",)
    if colours < 2:
        what = 'surface = "both" needs a colour plate for each side, and there is one'
        remedy = "add a second, with a white plate between them"
        yield Claim(source, path, "surface", what, remedy)
        return
    for index, plate in enumerate(layout.plates):
        if plate.role == "white" and plate.cover in ("art", "knockout"):
            what = f"white that covers {plate.cover!r} cannot serve a mirrored and an upright side"
            remedy = 'write cover = "flood"'
            yield Claim(source, ("plates", index, "cover"), "surface", what, remedy, plate.cover)


def _hidden(layout: Layout, source: Source, colour: int) -> Iterator[Claim]:
    """A stated surface and a stated order that contradict each other."""
    if layout.surface is None or not layout.plate_order:
        return
    laid = [layout.plates[i] for i in laid_order(layout)]
    first = layout.surface == "first"
    for plate in laid[colour:] if first else laid[:colour]:
        if covers(plate):
            when = "after" if first else "before"
            what = f"on a {layout.surface} surface {plate.name!r}, laid {when} the colour, hides it"
            other = "second" if first else "first"
            remedy = f'change "plate_order", or write surface = "{other}"'
            yield Claim(source, ("plate_order",), "surface", what, remedy)
            return
