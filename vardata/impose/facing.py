"""Plates that are printed mirrored, because they are looked at through the blank.

In: slots, the bed, the print mode, the layout's surface. Out: places on the bed as seen from
behind, the line about which a page is mirrored, and faults of a jig whose pockets do not suit
the way items lie. An item is dressed as it is seen; only its plates' pages are mirrored, so
that nothing in it has to know.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from vardata.job.model import Bed, PrintMode, Setup
from vardata.job.surfaces import face_down, surface_of
from vardata.marks import Placement
from vardata.problems import Problem, Severity, Where
from vardata.units import MM_PER_INCH

if TYPE_CHECKING:
    from shapely import Polygon

_EVEN = 1e-3  # of the item's area: less than this, left and right are the same


def mirror_width(bed: Bed, mode: PrintMode | None) -> float:
    """The width in mm that x is mirrored in: the bed's, in whole dots, so that what lies on
    dots lies on dots when it is mirrored."""
    if mode is None:
        return bed.width
    dot = MM_PER_INCH / mode.dpi[0]
    return round(bed.width / dot) * dot


def from_behind(place: Placement, width: float) -> Placement:
    """A place on the bed as seen from behind; an item's own left and right stay."""
    return Placement(width - place.cx, place.cy, -place.angle % 360.0)


def lying(setup: Setup, outline: Polygon) -> Polygon:
    """The item's outline as it lies in its pocket, from the outline as it is seen."""
    if not face_down(setup.layout):
        return outline
    return _mirrored(outline, setup.layout.width)


def check_facing(setup: Setup, outline: Polygon) -> list[Problem]:
    """Whether items with an uneven outline have the pockets that they need."""
    layout = setup.layout
    difference = outline.symmetric_difference(_mirrored(outline, layout.width)).area
    if difference <= _EVEN * outline.area:
        return []
    uneven = "the item's left and right differ"
    if surface_of(layout) == "both":
        what = f"{uneven}, so its mirrored side would pass the outline"
        remedy = 'give it an even outline, or another "surface" than "both"'
        return [Problem("facing", Severity.ERROR, what, remedy, Where(setup.layout_file.name))]
    down = face_down(layout)
    if down == setup.jig.face_down:
        return []
    if down:
        what = f"{uneven}, and it lies on its face: its pockets have to be mirrored"
        remedy = "choose a jig that was cut mirrored, and say face_down = true in its file"
    else:
        what = f"{uneven}, and these pockets are cut for items that lie on their face"
        remedy = "choose the jig for items that lie on their back, or say face_down = false"
    return [Problem("facing", Severity.ERROR, what, remedy, Where(setup.job.jig, key="face_down"))]


def _mirrored(outline: Polygon, width: float) -> Polygon:
    from shapely import affinity

    return affinity.affine_transform(outline, (-1.0, 0.0, 0.0, 1.0, width, 0.0))
