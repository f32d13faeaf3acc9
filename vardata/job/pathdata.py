"""SVG path data that a person writes into a layout: whether it can be read, how far it reaches.

In: text. Out: a yes or no, and a box. Drawing it is the
business of ``dress.outline`` and ``fit.track``.
"""

from __future__ import annotations

import math
import re

_PATH_SIGNS = re.compile(r"[MmZzLlHhVvCcSsQqTtAaEe0-9+\-.,\s]*")


def is_path(data: str) -> bool:
    return bool(_PATH_SIGNS.fullmatch(data)) and path_bounds(data) is not None


def path_bounds(data: str) -> tuple[float, float, float, float] | None:
    """x0, y0, x1, y1 of SVG path data, or None if it cannot be read."""
    from fontTools.pens.boundsPen import BoundsPen
    from fontTools.svgLib.path.parser import parse_path

    pen = BoundsPen(None)
    try:
        parse_path(data, pen)
    except Exception:  # the parser raises what its float() or unpacking raises
        return None
    bounds = pen.bounds
    return tuple(bounds) if bounds and all(map(math.isfinite, bounds)) else None
