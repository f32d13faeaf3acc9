"""Two-sided pieces: do both sides show one piece, and do turned pieces fit their pockets?

In: a product's setup with its side B, the outlines of both sides as they are seen. Out: every
fault as a ``Problem``. Where side B lies is ``job.turning``'s; whether it keeps to the bed is
asked by ``impose.checks``, as of side A.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from vardata.job.model import Setup, SideB
from vardata.problems import Problem, Severity, Where

if TYPE_CHECKING:
    from shapely import Polygon

_EVEN = 1e-3  # of the item's area: less than this, two outlines are the same
_TOUCH = 1e-3  # mm
_OTHER = {"vertical": "horizontal", "horizontal": "vertical"}
_SWAPPED = {"vertical": "left and right", "horizontal": "top and bottom"}


def check_sides(setup: Setup, outline: Polygon, outline_b: Polygon) -> list[Problem]:
    """Everything wrong with two sides; nothing for one."""
    side, back = setup.job.side_b, setup.side_b
    if side is None or back is None:
        return []
    size = (setup.layout.width, setup.layout.height)
    found = _size(setup, back) or _outline(setup, back, side, outline, outline_b)
    if found:
        return found
    if side.turn == "jig":
        return []  # a pocket is turned with its piece
    cut = _mirrored(outline, size, "vertical") if back.jig.face_down else outline
    if _same(cut, _mirrored(outline, size, side.axis)):
        return []
    return [_pocket(setup, side, outline, size, cut_mirrored=back.jig.face_down)]


def of_side_b(problem: Problem) -> Problem:
    """A problem of side B's slots, which bear the names of side A's."""
    return problem._replace(what=f"on side B {problem.what}")


def _size(setup: Setup, back: Setup) -> list[Problem]:
    a, b = (setup.layout.width, setup.layout.height), (back.layout.width, back.layout.height)
    if max(abs(a[0] - b[0]), abs(a[1] - b[1])) <= _TOUCH:
        return []
    what = f"side B is {b[0]:g} x {b[1]:g} mm, and side A is {a[0]:g} x {a[1]:g} mm"
    where = Where(back.layout_file.name, key="width")
    return [Problem("side-b", Severity.ERROR, what, "give both layouts the piece's size", where)]


def _outline(
    setup: Setup, back: Setup, side: SideB, outline: Polygon, outline_b: Polygon
) -> list[Problem]:
    """Side B has the outline of side A seen from behind."""
    size = (setup.layout.width, setup.layout.height)
    about = "vertical" if side.reads == "book" else "horizontal"
    if _same(outline_b, _mirrored(outline, size, about)):
        return []
    what = f"the outline is not that of side A seen from behind, with {_SWAPPED[about]} changed"
    if _same(outline_b, outline):
        what = f"the outline is that of side A as it is, and not with {_SWAPPED[about]} changed"
    remedy = "write the outline as side B is seen"
    where = Where(back.layout_file.name, key="outline")
    return [Problem("side-b", Severity.ERROR, what, remedy, where)]


def _pocket(
    setup: Setup, side: SideB, outline: Polygon, size: tuple[float, float], *, cut_mirrored: bool
) -> Problem:
    other = _OTHER[side.axis]
    cut = _mirrored(outline, size, "vertical") if cut_mirrored else outline
    if _same(cut, _mirrored(outline, size, other)):
        remedy = f'write axis = "{other}"'
    else:
        remedy = (
            'turn the whole jig (turn = "jig"), or name a jig that was cut mirrored, with '
            "face_down = true in its file, as jig under [side_b]"
        )
    what = (
        f"the item's {_SWAPPED[side.axis]} differ, so turned about its {side.axis} axis it does "
        "not fit its pocket"
    )
    if cut_mirrored:
        what = (
            f"the pockets of side B are cut mirrored from left to right, and a piece turned about "
            f"its {side.axis} axis does not fit them"
        )
    where = Where(setup.job_file.name, key="side_b.axis")
    return Problem("side-b", Severity.ERROR, what, remedy, where)


def _same(one: Polygon, other: Polygon) -> bool:
    return bool(one.symmetric_difference(other).area <= _EVEN * one.area)


def _mirrored(outline: Polygon, size: tuple[float, float], axis: str) -> Polygon:
    from shapely import affinity

    if axis == "vertical":
        return affinity.scale(outline, xfact=-1.0, yfact=1.0, origin=(size[0] / 2, 0.0))
    return affinity.scale(outline, xfact=1.0, yfact=-1.0, origin=(0.0, size[1] / 2))
