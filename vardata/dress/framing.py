"""How a picture is taken into its box: which part of it, and what of it is painted.

In: art or a picture field of a layout, the machine's dots. Out: a ``Framing``, which together
with a file says all that a ``Picture`` is made from.
"""

from __future__ import annotations

from typing import NamedTuple

from vardata.job.model import Framed, PrintMode

_ANCHORS = {"left": (0.0, 0.5), "right": (1.0, 0.5), "top": (0.5, 1.0), "bottom": (0.5, 0.0)}
COARSE = 150.0  # ppi below which pixels show: common practice, no source
_FINEST = 720.0  # dpi: finer edges of a page are not seen, and cost four times the memory


class Framing(NamedTuple):
    """``aspect`` (width over height) is what the picture is cropped to, None for all of it;
    ``anchor`` is what is kept of it, from 0 (left, bottom) to 1. ``page`` and ``box`` choose the
    part of a PDF. Painted is what is not transparent, or with ``ink`` (from 0 to 1) what has at
    least as much ink. ``dpi`` is how finely a page's painted area is told at ``size`` mm, the
    box; pictures of fewer pixels than ``min_ppi`` there are refused. RGB is converted to the inks
    of the ICC ``profile`` of that path, if one is named; where ink is ``limited``, the most ink
    of its pixels is looked for, RGB that is kept being ``judged_by`` the profile of that path.
    ``soft``: edges that fade stay soft in
    white, and if the picture ``fades`` in colour too."""

    aspect: float | None = None
    anchor: tuple[float, float] = (0.5, 0.5)
    page: int = 1
    box: str = "trim"
    ink: float | None = None
    dpi: float = 300.0
    size: tuple[float, float] = (50.0, 50.0)
    stretch: bool = False
    min_ppi: float = 0.0
    profile: str = ""
    limited: bool = False
    judged_by: str = ""
    soft: bool = False
    fades: bool = False


WHOLE = Framing()


def framing(placed: Framed, mode: PrintMode | None = None) -> Framing:
    """What a layout asks for."""
    _, _, w, h = placed.box
    words = placed.anchor.split("-")
    found = [_ANCHORS[word] for word in words if word in _ANCHORS]
    across = next((x for x, _ in found if x != 0.5), 0.5)
    upwards = next((y for _, y in found if y != 0.5), 0.5)
    return Framing(
        w / h if placed.fit == "cover" else None,
        (across, upwards),
        placed.page,
        placed.page_box,
        placed.ink_from / 100 if placed.white_by == "ink" else None,
        min(max(mode.dpi), _FINEST) if mode else 300.0,
        (w, h),
        placed.fit == "stretch",
        placed.min_ppi,
        soft=placed.soft_edges != "threshold",
        fades=placed.soft_edges == "fade",
    )
