"""Gloss in a pattern: an SVG tile repeated over the item.

In: a tile, its width, the area that gloss may cover. Out: the places between the pattern, which
are painted without ink after everything else on the plate, so that any gloss, a record's text
too, shows the pattern. Tiles stand in rows from the item's lower left corner.
"""

from __future__ import annotations

import math

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from vardata.dress import choke as chokes
from vardata.dress import geometry, stroke
from vardata.dress.drawing import Shape
from vardata.job.model import Plate, Setup
from vardata.marks import Commands
from vardata.problems import JobError, fail

_MOST_TILES = 20_000
_MARGIN = 1.0  # mm around the area, for what renderers paint beyond edges


def between(setup: Setup, plate: Plate, area: BaseGeometry) -> Commands:
    """The outline of all places that the pattern leaves free. Raises ``JobError``."""
    from vardata.dress import svg
    from vardata.svg.values import Matrix

    name = plate.pattern or ""
    read = svg.read(setup.files[name].read_bytes(), name)
    scale = plate.pattern_size / read.width
    wide, high = plate.pattern_size, read.height * scale
    parts = svg.parts(read, Matrix(scale, 0.0, 0.0, scale, 0.0, 0.0), None)
    tile = geometry.union(_area(part) for part in parts if isinstance(part, Shape))
    if tile.is_empty:
        what = "the tile of the gloss pattern shows nothing"
        raise fail(JobError, "pattern", what, "draw filled shapes in it", file=name)
    x0, y0, x1, y1 = chokes.grow(area, _MARGIN).bounds
    # A tile may reach beyond its own box, by as much as one more on every side shows.
    columns = range(math.floor(x0 / wide) - 1, math.ceil(x1 / wide) + 1)
    rows = range(math.floor(y0 / high) - 1, math.ceil(y1 / high) + 1)
    if len(columns) * len(rows) > _MOST_TILES:
        what = f"the gloss pattern has {len(columns) * len(rows)} tiles on an item"
        remedy = f'raise "pattern_size": at most {_MOST_TILES} are drawn'
        raise fail(JobError, "pattern", what, remedy, file=name)
    tiles = [affinity.translate(tile, i * wide, j * high) for j in rows for i in columns]
    free = geometry.rectangle((x0, y0, x1, y1)).difference(shapely.union_all(tiles))
    return geometry.commands(geometry.areas(free))


def _area(part: Shape) -> BaseGeometry:
    if part.stroke > 0:
        return stroke.covered(part.commands, part.stroke, part.cap, part.join, part.miter)
    return geometry.area(part.commands, part.even_odd)
